package mount

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// Sample is a moment of a pass: where the axes should be. On the way in,
// azimuth may be folded to a circle; on the way out it runs over the cable wrap.
type Sample struct {
	At time.Duration
	AxisAngles
}

// Unwrap is a turn back of the azimuth axis in the middle of a pass.
type Unwrap struct {
	// At is when it begins, Lasts how long the dish is off the target.
	At, Lasts time.Duration
	// Turns is by how many whole turns, + clockwise.
	Turns int
}

// Zenith is a passage so near the zenith that azimuth cannot keep up.
type Zenith struct {
	// From and To are when the dish leaves the target's azimuth and has it again.
	From, To time.Duration
	// Worst is the greatest angle on the sky by which it is off meanwhile.
	Worst unit.Angle
}

// Plan is the way of the axes through a pass.
type Plan struct {
	// Samples are those of the pass with azimuth on the cable wrap, within the
	// limits, and no faster than the axis.
	Samples []Sample
	Unwraps []Unwrap
	Zeniths []Zenith
	// Beyond is true where some sample has no place within the azimuth limits.
	Beyond bool
}

// Route chooses the branch of the cable wrap for a whole pass, so that it need
// not unwrap in the middle where any branch allows that, and then the one
// nearest to where azimuth stands now; where none does, it stays on the
// branch that lasts longest and unwraps at its end. Where the azimuth would
// have to go faster than speed (a second), it goes at that speed through the
// zenith passage, with the beam as little off the target as that allows. Between two samples
// azimuth takes the shorter way: nearer than a degree to the zenith they must be close.
func Route(pass []Sample, azimuth Limits, now, speed unit.Angle) Plan {
	plan := Plan{Samples: unfold(pass)}
	for from := 0; from < len(plan.Samples); {
		from = plan.branch(from, azimuth, &now, speed)
	}
	plan.slow(speed)
	return plan
}

// unfold removes the jumps of a folded azimuth.
func unfold(pass []Sample) []Sample {
	out := append([]Sample(nil), pass...)
	for i := 1; i < len(out); i++ {
		step := math.Remainder((out[i].Az - out[i-1].Az).Rad(), 2*math.Pi)
		out[i].Az = out[i-1].Az + unit.Angle(step)
	}
	return out
}

// branch puts the samples from one on, as many as one branch holds, on the
// best branch, and returns the first that it does not hold.
func (p *Plan) branch(from int, l Limits, now *unit.Angle, speed unit.Angle) int {
	const turn = 2 * math.Pi
	first := p.Samples[from].Az
	base := math.Round((*now - first).Rad() / turn)
	bestTurns, bestHolds, bestWay := 0.0, -1, math.Inf(1)
	for k := base - 3; k <= base+3; k++ {
		holds := from
		for holds < len(p.Samples) && l.Inside(p.Samples[holds].Az+unit.Angle(k*turn)) {
			holds++
		}
		way := math.Abs((first + unit.Angle(k*turn) - *now).Rad())
		if holds > bestHolds || holds == bestHolds && way < bestWay {
			bestTurns, bestHolds, bestWay = k, holds, way
		}
	}
	if bestHolds == from {
		p.Beyond = true
		p.Samples[from].Az = l.Clamp(first + unit.Angle(base*turn))
		return from + 1
	}
	if from > 0 {
		turns := math.Round((first + unit.Angle(bestTurns*turn) - *now).Rad() / turn)
		p.Unwraps = append(p.Unwraps, Unwrap{
			At: p.Samples[from].At, Turns: int(turns),
			Lasts: time.Duration(bestWay / speed.Rad() * float64(time.Second)),
		})
	}
	for i := from; i < bestHolds; i++ {
		p.Samples[i].Az += unit.Angle(bestTurns * turn)
	}
	*now = p.Samples[bestHolds-1].Az
	return bestHolds
}

// slow puts straight lines of the axis's top speed through the parts of the
// way that are faster.
func (p *Plan) slow(speed unit.Angle) {
	s := p.Samples
	for i := 1; i < len(s); i++ {
		if p.unwraps(s[i].At) || !fast(s[i-1], s[i], speed) {
			continue
		}
		last := i
		for last+1 < len(s) && fast(s[last], s[last+1], speed) {
			last++
		}
		from, to, worst := straight(s, i-1, last, speed)
		a, b := s[from], s[to]
		for k := from + 1; k < to; k++ {
			s[k].Az = between(a, b, s[k].At)
		}
		p.Zeniths = append(p.Zeniths, Zenith{a.At, b.At, worst})
		i = to
	}
}

func (p *Plan) unwraps(at time.Duration) bool {
	for _, u := range p.Unwraps {
		if u.At == at {
			return true
		}
	}
	return false
}

func fast(a, b Sample, speed unit.Angle) bool {
	return math.Abs((b.Az - a.Az).Rad()) > speed.Rad()*(b.At-a.At).Seconds()*(1+1e-9)
}

// between is the azimuth of the straight way from a to b at a moment.
func between(a, b Sample, at time.Duration) unit.Angle {
	return a.Az + (b.Az - a.Az).Mul(float64(at-a.At)/float64(b.At-a.At))
}

// straight returns the pair of samples around those from first to last between
// which the straight way is slow enough and least off the target, and that angle.
func straight(s []Sample, first, last int, speed unit.Angle) (from, to int, worst unit.Angle) {
	from, to, worst = 0, len(s)-1, math.Pi
	end := last
	for a := first; a >= 0; a-- {
		for end < len(s)-1 && fast(s[a], s[end], speed) {
			end++
		}
		if fast(s[a], s[end], speed) {
			continue
		}
		b := end
		for b > last && !fast(s[a], s[b-1], speed) {
			b--
		}
		off := unit.Angle(0)
		for k := a + 1; k < b && off < worst; k++ {
			off = max(off, Between(s[k].Az, s[k].El, between(s[a], s[b], s[k].At), s[k].El))
		}
		if off < worst {
			from, to, worst = a, b, off
		}
		if s[first].At-s[a].At > 2*(s[to].At-s[from].At) {
			break
		}
	}
	return from, to, worst
}
