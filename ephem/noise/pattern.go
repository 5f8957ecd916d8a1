package noise

import (
	"errors"
	"math"

	"github.com/soniakeys/unit"
)

// Dish is an antenna on one frequency.
type Dish struct {
	Hz, DiameterM float64
	// Efficiency of the aperture without its surface errors, 0 to 1; 0.55 is common practice.
	Efficiency float64
	// HalfPower is the full half-power width; 0: that of HalfPower.
	HalfPower unit.Angle
	// SurfaceM is the surface's error, root mean square, as half the path; good to a loss of 3 dB (Ruze).
	SurfaceM float64
}

// Pattern is where an antenna listens: a Gaussian main lobe, and side lobes at the average
// level of Recommendation ITU-R F.1245, scaled so that the whole sphere comes to 1.
//
// Left out: legs of the feed, spill past the rim and leaks of the mesh, which raise
// side lobes by 10 dB and more in places. F.1245 is written for 1 to 70 GHz and is stretched below.
type Pattern struct {
	Dish
	gain    float64 // over isotropic, linear
	waves   float64 // diameter over wavelength
	law     sideLobes
	edge    float64   // tx: where the main lobe ends, radians
	lobe    float64   // m: the share of all power within it
	scaling float64   // kappa: by which the side lobes are raised
	rings   [2][]ring // of the side lobes, by Fineness
}

// maxMainBeam is the most of its power that a dish can have in its main beam: with more, its
// gain and beamwidth contradict each other.
const maxMainBeam = 0.95

var (
	errContradiction = errors.New("gain and beamwidth contradict each other")
	errNoPattern     = errors.New("too small or too rough a dish for a pattern")
)

// NewPattern works out a pattern. It fails where efficiency and beamwidth contradict each
// other, and where surface or size leave no main lobe.
func NewPattern(d Dish) (*Pattern, error) {
	if d.HalfPower == 0 {
		d.HalfPower = HalfPower(d.Hz, d.DiameterM)
	}
	p := &Pattern{Dish: d, waves: d.DiameterM * d.Hz / lightMps}
	p.gain = math.Pow(10, p.GainDBI()/10)
	if p.MainBeamEfficiency() > maxMainBeam {
		return nil, errContradiction
	}
	p.law = newSideLobes(p.waves, p.GainDBI())
	if math.IsNaN(p.law.from) {
		return nil, errNoPattern
	}
	p.edge = p.mainLobeEnd()
	p.lobe = integral(func(t float64) float64 { return p.gaussian(t) * 2 * math.Pi * math.Sin(t) }, 0, p.edge)
	p.scaling = (1 - p.lobe) / (p.law.power(p.edge) / 2)
	if !(p.lobe < 1) {
		return nil, errContradiction
	}
	for f := range p.rings {
		p.rings[f] = p.ringsOf(Fineness(f).grid().ratio)
	}
	return p, nil
}

// GainDBI is the gain over isotropic with the surface's loss, dB.
func (p *Pattern) GainDBI() float64 {
	return GainDB(p.Hz, p.DiameterM, p.Efficiency) - SurfaceLossDB(p.Hz, p.SurfaceM)
}

// MainBeamEfficiency is the share of all power that a Gaussian beam of this gain and width holds.
func (p *Pattern) MainBeamEfficiency() float64 {
	b := p.HalfPower.Rad()
	return p.gain / 4 * b * b / (4 * math.Ln2)
}

// gaussian is the main lobe's weight a steradian at an angle from the axis.
func (p *Pattern) gaussian(t float64) float64 {
	x := 2 * t / p.HalfPower.Rad()
	return p.gain / (4 * math.Pi) * math.Exp2(-x*x)
}

// Weight is the share of what is received that comes from a steradian at an angle from the axis.
func (p *Pattern) Weight(off unit.Angle) float64 {
	t := off.Rad()
	if t < p.edge {
		return p.gaussian(t)
	}
	return p.scaling * p.law.gain(t) / (4 * math.Pi)
}

// mainLobeEnd is the smallest angle, from where the side-lobe law begins, at which it
// reaches the Gaussian.
func (p *Pattern) mainLobeEnd() float64 {
	over := func(t float64) float64 { return p.law.gain(t) - 4*math.Pi*p.gaussian(t) }
	low := p.law.from
	step := p.HalfPower.Rad() / 500
	for over(low+step) < 0 {
		low += step
	}
	if over(low) >= 0 {
		return low
	}
	high := low + step
	for range 50 {
		if middle := (low + high) / 2; over(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// sideLobes are the average side lobes of Recommendation ITU-R F.1245 for a dish of some
// wavelengths across: dBi, angles in degrees.
type sideLobes struct {
	from, shelf float64 // radians: where the law begins, and where its shelf ends; alike without one
	near        float64 // dBi of the shelf
	slope, far  float64 // dBi at 1 degree, falling 25 dB a decade to 48 degrees; beyond
}

func newSideLobes(waves, maxDBI float64) sideLobes {
	near := 2 + 15*math.Log10(waves)
	from := 20 / waves * math.Sqrt(maxDBI-near)
	if waves <= 100 {
		size := 5 * math.Log10(waves)
		return sideLobes{from: from * degree, shelf: from * degree, near: near, slope: 39 - size, far: -3 - size}
	}
	shelf := max(from, 12.02*math.Pow(waves, -0.6))
	return sideLobes{from: from * degree, shelf: shelf * degree, near: near, slope: 29, far: -13}
}

const (
	degree     = math.Pi / 180
	farFrom    = 48 * degree // where the law is level
	degreesRad = 1 / degree
)

// gain of the side lobes over isotropic at an angle, linear.
func (s *sideLobes) gain(t float64) float64 {
	dbi := s.far
	switch {
	case t < s.shelf:
		dbi = s.near
	case t < farFrom:
		dbi = s.slope - 25*math.Log10(t*degreesRad)
	}
	return math.Pow(10, dbi/10)
}

// power is the integral of gain times sine from an angle to the back.
func (s *sideLobes) power(from float64) float64 {
	sum := 0.0
	edges := [...]float64{from, max(from, s.shelf), max(from, farFrom), math.Pi}
	for i := 1; i < len(edges); i++ {
		// Within a piece, not on its end: there the law steps.
		if low, high := edges[i-1], edges[i]; high > low {
			sum += integral(func(x float64) float64 {
				t := math.Exp(x)
				return s.gain(t) * math.Sin(t) * t
			}, math.Log(low)+1e-12, math.Log(high)-1e-12)
		}
	}
	return sum
}

// integral is Simpson's rule over 400 intervals.
func integral(of func(float64) float64, from, to float64) float64 {
	const n = 400
	h := (to - from) / n
	sum := of(from) + of(to)
	for i := 1; i < n; i++ {
		sum += of(from+float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}
