package commission

import (
	"cmp"
	"math"
)

// Figures is what the pushes and turns of an axis come to. Angles are by the
// known rotation, where there is one, else by the settings.
type Figures struct {
	// DegPerCount is signed: positive where counts rise with the angle.
	DegPerCount float64
	// Turned: it is from a known rotation.
	Turned bool
	// CountsFollow is +1 where counts rise with a positive demand, -1 where they fall, 0 not known.
	CountsFollow int
	// Top is the speed at full drive, degrees a second, and Dead the drive below
	// which the axis does not turn, with HasTop; Reached: full drive was pushed.
	Top, Dead float64
	HasTop    bool
	Reached   bool
	// Least is the least drive at which the counts flowed, Uneven the most at which they did not; 0 for none.
	Min, Uneven float64
	// Acceleration, degrees a second squared; 0 where it can't be told.
	Acceleration float64
	// RanOn is the way after the drive ended, degrees, of the fastest push at FromDegPerS.
	RanOn, FromDegPerS float64
	// Backlash is the backlash, degrees, from Plays reversals; Scatter how far they are apart.
	Backlash, Scatter float64
	Reversals         int
	// CurrentA is the mean current of the fastest push; 0 where not known.
	CurrentA float64
}

// rotationError is by what part the counts a degree of the known rotation of axis i
// differ from the settings, positive where more counts came, and the part that
// one count of it is: no rotation tells more. Both are 0 without a rotation.
func (s *State) rotationError(c *Config, i int) (off, within float64) {
	t := s.Rotations[i]
	if t.Deg == 0 || t.By == 0 {
		return 0, 0
	}
	one := math.Abs(c.stepDeg(i) / t.Deg)
	return math.Abs(float64(t.By))*one - 1, one
}

// Figures works them out for axis i.
func (s *State) Figures(c *Config, i int) (f Figures) {
	f.DegPerCount = c.stepDeg(i)
	if t := s.Rotations[i]; t.Deg != 0 {
		f.DegPerCount, f.Turned = t.Deg/float64(t.By), true
	}
	per := math.Abs(f.DegPerCount)
	var steady []Push
	sense := 0
	for _, p := range s.Pushes {
		if p.Axis != i {
			continue
		}
		switch {
		case p.Counts > 2 && p.Drive > 0, p.Counts < -2 && p.Drive < 0:
			sense++
		case p.Counts > 2, p.Counts < -2:
			sense--
		}
		if p.Steady && math.Abs(p.PerS) > 0.2 {
			steady = append(steady, p)
		}
		f.takeEven(p)
	}
	f.CountsFollow = cmp.Compare(sense, 0)
	f.takeSpeeds(steady, per)
	f.takeBacklash(steady, per)
	return f
}

// takeEven takes in how evenly an axis went at one drive.
func (f *Figures) takeEven(p Push) {
	u := math.Abs(p.Drive)
	switch {
	case !p.Steady:
	case p.Even && (f.Min == 0 || u < f.Min):
		f.Min = u
	case !p.Even:
		f.Uneven = max(f.Uneven, u)
	}
}

// takeSpeeds lays speed = slope (drive - dead) through the steady pushes.
func (f *Figures) takeSpeeds(steady []Push, per float64) {
	var n, u, v, uu, uv, maximum, fastest float64
	for _, p := range steady {
		x, y := math.Abs(p.Drive), math.Abs(p.PerS)*per
		n, u, v, uu, uv, maximum = n+1, u+x, v+y, uu+x*x, uv+x*y, max(maximum, x)
		if y >= fastest {
			fastest, f.RanOn, f.FromDegPerS, f.CurrentA = y, p.RanOn*per, y, p.CurrentA
			if p.AccelerationTimeS > 0 {
				f.Acceleration = 0.8 * y / p.AccelerationTimeS
			}
		}
	}
	if n == 0 {
		return
	}
	f.HasTop, f.Reached = true, maximum > 0.95
	if d := n*uu - u*u; d > n*n*0.005 { // drives spread by 0.07 and more about their mean
		k := (n*uv - u*v) / d
		if at0 := (v - k*u) / n; k > 0 {
			f.Dead = max(0, -at0/k)
			f.Top = k + at0
			return
		}
	}
	f.Top = v / u
}

// takeBacklash compares what pushes after a turn-round owe with what pushes on in
// the same direction do at the like drive: the difference is the backlash.
func (f *Figures) takeBacklash(steady []Push, per float64) {
	var found []float64
	for _, p := range steady {
		if !p.Reversed {
			continue
		}
		sum, n := 0.0, 0.0
		for _, q := range steady {
			if !q.Reversed && math.Abs(math.Abs(q.Drive)-math.Abs(p.Drive)) < 0.15*math.Abs(p.Drive) {
				sum, n = sum+q.Owed, n+1
			}
		}
		if n > 0 {
			found = append(found, (p.Owed-sum/n)*per)
		}
	}
	if f.Reversals = len(found); f.Reversals == 0 {
		return
	}
	low, high := found[0], found[0]
	for _, v := range found {
		f.Backlash += v / float64(len(found))
		low, high = min(low, v), max(high, v)
	}
	f.Backlash, f.Scatter = max(0, f.Backlash), high-low
}
