package peak

import (
	"math"
	"slices"

	"beamhelm/app/message"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// Point is a level at a place along the way of a sweep.
type Point struct {
	Off   unit.Angle // from the target, true angle along the way
	Power float64    // linear, to an arbitrary scale
	// Up says that the sweep went towards greater Off.
	Up bool
	// Odd says that the fit left it out: it stands far from the curve, as interference does.
	Odd bool
}

// Fit is a curve laid through the points of one axis: level, slope and height
// in the points' scale of power.
type Fit struct {
	Centre, CentreError unit.Angle
	// Stretch is the width over that which beam and disc should make; StretchError 0 where it was not fitted.
	Stretch, StretchError float64
	Base, Slope, Height   float64 // Slope a radian, about the middle of the points
	HeightError           float64
	// BaseVariance is that of Base, BaseHeight the covariance of both, in the square of the points' scale of power.
	BaseVariance, BaseHeight float64
	// Scatter is the standard deviation of the points about the curve.
	Scatter float64
	Middle  unit.Angle // where Base holds
	// Apart is how far the centres of the two directions differ: a lag, or play that the encoder does not see. NaN
	// where only one was swept.
	Apart unit.Angle
}

// Power is the curve's level at a place.
func (f Fit) Power(s Shape, off unit.Angle) float64 {
	return f.Base*s.background(off.Rad()) + f.Slope*(off-f.Middle).Rad() + f.Height*s.at((off-f.Centre).Rad()/f.Stretch)
}

// What is fitted besides centre, base and height.
type free uint8

const (
	freeSlope free = 1 << iota
	freeWidth
)

// What a peak must be to be of use.
const (
	MinStretch, MaxStretch = 0.7, 1.5
	MinSignal              = 10 // heights over their own error
	oddAfter               = 4  // standard deviations
	// A strong signal shows that no beam is quite Gaussian: within this part of the height no level is odd.
	oddPart = 0.04
	// Two directions that differ by more than this part of the width don't agree.
	maxApart = 0.2
)

// errFew says that a fit has too little to go by.
var errFew = message.Of("peak.few")

// solve lays the best level, slope and height through the points for a centre and a stretch, and
// returns the sum of squares.
func solve(points []Point, s Shape, centre, stretch, middle float64, what free) (linear [3]float64, squares float64,
	ok bool) {
	columns := 2
	if what&freeSlope != 0 {
		columns = 3
	}
	used := 0
	for i := range points {
		if !points[i].Odd {
			used++
		}
	}
	if used < columns+1 {
		return linear, 0, false
	}
	a, b := mat.NewDense(used, columns, nil), mat.NewVecDense(used, nil)
	row := 0
	for i := range points {
		if points[i].Odd {
			continue
		}
		x := points[i].Off.Rad()
		a.Set(row, 0, s.background(x))
		a.Set(row, 1, s.at((x-centre)/stretch))
		if columns == 3 {
			a.Set(row, 2, (x-middle)/s.Width.Rad())
		}
		b.SetVec(row, points[i].Power)
		row++
	}
	var found mat.VecDense
	if err := found.SolveVec(a, b); err != nil {
		return linear, 0, false
	}
	for i := range columns {
		linear[i] = found.AtVec(i)
	}
	var left mat.VecDense
	left.MulVec(a, &found)
	left.SubVec(&left, b)
	return linear, mat.Dot(&left, &left), true
}

// fit lays a curve through the points. It marks those that stand far from it as odd.
func fit(points []Point, s Shape, what free) (Fit, error) {
	for i := range points {
		points[i].Odd = math.IsNaN(points[i].Power) || math.IsInf(points[i].Power, 0)
	}
	minimum := 6
	if what&freeWidth == 0 {
		minimum = 3
	}
	if len(points) < minimum {
		return Fit{}, errFew
	}
	var f Fit
	for round := 0; ; round++ {
		var err error
		if f, err = fitOnce(points, s, what); err != nil {
			return Fit{}, err
		}
		if round == 4 || !leaveOut(points, s, &f) {
			break
		}
	}
	if err := deviations(points, s, what, &f); err != nil {
		return Fit{}, err
	}
	return f, nil
}

// fitOnce searches centre and width by the simplex, from the best of a coarse row of centres.
func fitOnce(points []Point, s Shape, what free) (Fit, error) {
	low, high := points[0].Off.Rad(), points[0].Off.Rad()
	for _, p := range points {
		low, high = min(low, p.Off.Rad()), max(high, p.Off.Rad())
	}
	middle, width := (low+high)/2, s.Width.Rad()
	squares := func(x []float64) float64 {
		stretch := 1.0
		if what&freeWidth != 0 {
			stretch = math.Exp(x[1])
		}
		linear, sum, ok := solve(points, s, x[0]*width, stretch, middle, what)
		// A dip is no peak, and neither is one far outside what was swept.
		if !ok || linear[1] <= 0 || math.Abs(x[0]*width-middle) > high-low || stretch < 0.2 || stretch > 5 {
			return math.Inf(1)
		}
		return sum
	}
	begin, best := []float64{math.NaN(), 0}, math.Inf(1)
	for i := range 41 {
		x := []float64{(low + (high-low)*float64(i)/40) / width, 0}
		if sum := squares(x); sum < best {
			begin, best = x, sum
		}
	}
	if math.IsInf(best, 1) {
		return Fit{}, message.Of("peak.nothing")
	}
	if what&freeWidth == 0 {
		begin = begin[:1]
	}
	found, err := optimize.Minimize(optimize.Problem{Func: squares}, begin,
		&optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-14 * best, Iterations: 60},
			MajorIterations: 2000},
		&optimize.NelderMead{SimplexSize: 0.05})
	if err != nil {
		return Fit{}, message.Of("peak.no-curve", err)
	}
	f := Fit{Centre: unit.Angle(found.X[0] * width), Stretch: 1, Middle: unit.Angle(middle),
		Apart: unit.Angle(math.NaN())}
	if what&freeWidth != 0 {
		f.Stretch = math.Exp(found.X[1])
	}
	linear, sum, _ := solve(points, s, f.Centre.Rad(), f.Stretch, middle, what)
	f.Base, f.Height, f.Slope = linear[0], linear[1], linear[2]/width
	f.Scatter = math.Sqrt(sum / max(1, float64(count(points)-parameters(what))))
	return f, nil
}

func parameters(what free) int {
	n := 3
	for _, bit := range [...]free{freeSlope, freeWidth} {
		if what&bit != 0 {
			n++
		}
	}
	return n
}

func count(points []Point) int {
	n := 0
	for i := range points {
		if !points[i].Odd {
			n++
		}
	}
	return n
}

// leaveOut marks the points that stand far from the curve, by the middle of all
// distances, which interference does not move; it reports whether any changed.
func leaveOut(points []Point, s Shape, f *Fit) bool {
	distance := make([]float64, 0, len(points))
	for i := range points {
		if d := math.Abs(points[i].Power - f.Power(s, points[i].Off)); !math.IsNaN(d) {
			distance = append(distance, d)
		}
	}
	if len(distance) < 12 {
		return false
	}
	slices.Sort(distance)
	const normal = 1.4826 // standard deviation over the middle distance, of a normal distribution
	limit := max(oddAfter*normal*distance[len(distance)/2], oddPart*f.Height)
	changed := false
	for i := range points {
		odd := !(math.Abs(points[i].Power-f.Power(s, points[i].Off)) <= limit)
		changed = changed || odd != points[i].Odd
		points[i].Odd = odd
	}
	return changed
}

// deviations works out the errors of the fit from the scatter of its points.
func deviations(points []Point, s Shape, what free, f *Fit) error {
	n, k := count(points), parameters(what)
	if n <= k {
		f.CentreError, f.HeightError = unit.Angle(math.Inf(1)), math.Inf(1)
		return nil
	}
	width := s.Width.Rad()
	jacobian := mat.NewDense(n, k, nil)
	row := 0
	for i := range points {
		if points[i].Odd {
			continue
		}
		off := points[i].Off
		slope := func(change func(*Fit, float64), h float64) float64 {
			up, down := *f, *f
			change(&up, h)
			change(&down, -h)
			return (up.Power(s, off) - down.Power(s, off)) / (2 * h)
		}
		h := 2 * s.step / width
		jacobian.Set(row, 0, slope(func(f *Fit, h float64) { f.Centre += unit.Angle(h * width) }, h))
		jacobian.Set(row, 1, s.background(off.Rad()))
		jacobian.Set(row, 2, s.at((off-f.Centre).Rad()/f.Stretch))
		column := 3
		if what&freeSlope != 0 {
			jacobian.Set(row, column, (off-f.Middle).Rad()/width)
			column++
		}
		if what&freeWidth != 0 {
			jacobian.Set(row, column, slope(func(f *Fit, h float64) { f.Stretch *= math.Exp(h) }, 0.01))
		}
		row++
	}
	var normal mat.SymDense
	normal.SymOuterK(1, jacobian.T())
	var inverse mat.Cholesky
	var covariance mat.SymDense
	if !inverse.Factorize(&normal) || inverse.InverseTo(&covariance) != nil {
		return message.Of("peak.undecided")
	}
	sigma := func(i int) float64 { return f.Scatter * math.Sqrt(covariance.At(i, i)) }
	f.CentreError, f.HeightError = unit.Angle(sigma(0)*width), sigma(2)
	variance := f.Scatter * f.Scatter
	f.BaseVariance, f.BaseHeight = variance*covariance.At(1, 1), variance*covariance.At(1, 2)
	if what&freeWidth != 0 {
		f.StretchError = f.Stretch * sigma(k-1)
	}
	return nil
}

// Sweep fits the sweeps of one axis, with base, slope and width free. Both
// directions are fitted together; how far their centres differ is told.
func Sweep(points []Point, s Shape) (Fit, error) {
	f, err := fit(points, s, freeSlope|freeWidth)
	if err != nil {
		return f, err
	}
	var centres [2]unit.Angle
	for i, up := range [...]bool{true, false} {
		var one []Point
		for _, p := range points {
			if p.Up == up && !p.Odd {
				one = append(one, p)
			}
		}
		g, err := fit(one, s, freeSlope|freeWidth)
		if err != nil {
			return f, nil
		}
		centres[i] = g.Centre
	}
	f.Apart = centres[0] - centres[1]
	// What the directions don't agree about is no better known.
	f.CentreError = unit.Angle(math.Hypot(f.CentreError.Rad(), f.Apart.Rad()/2))
	if s.Bend != [2]float64{} {
		// How the air's and the ground's noise bend is known to a part of it alone.
		straight := s
		straight.Bend = [2]float64{}
		if g, err := fit(slices.Clone(points), straight, freeSlope|freeWidth); err == nil {
			f.CentreError = unit.Angle(math.Hypot(f.CentreError.Rad(), bendShare*(g.Centre-f.Centre).Rad()))
		}
	}
	return f, nil
}

// AboveBase is how far the top of the curve lies above the noise beside it, dB, with its standard deviation by the
// covariance of the fit; NaN where the noise beside it isn't above nothing.
func (f Fit) AboveBase() (db, deviation float64) {
	top := f.Base + f.Height
	if !(f.Base > 0 && top > 0) {
		return math.NaN(), math.NaN()
	}
	const perPart = 10 / math.Ln10 // dB for a part of a power
	byHeight, byBase := perPart/top, perPart*(1/top-1/f.Base)
	variance := byHeight*byHeight*f.HeightError*f.HeightError + byBase*byBase*f.BaseVariance +
		2*byHeight*byBase*f.BaseHeight
	return 10 * math.Log10(top/f.Base), math.Sqrt(max(0, variance))
}

// bendShare is the share of error of a bend that is worked out (common practice, no source).
const bendShare = 0.2

// Stops fits levels taken at a few places of one axis, by the width that beam and disc make.
func Stops(points []Point, s Shape) (Fit, error) { return fit(points, s, 0) }

// Judge says why a fit is of no use; empty where it is.
func Judge(points []Point, f Fit, s Shape, swept bool) message.Message {
	low, high := points[0].Off, points[0].Off
	for _, p := range points {
		low, high = min(low, p.Off), max(high, p.Off)
	}
	switch {
	case !(f.Height > MinSignal*f.HeightError) && swept:
		return message.Of("peak.faint", f.Height/f.HeightError, MinSignal)
	case swept && !(f.Stretch >= MinStretch && f.Stretch <= MaxStretch):
		return message.Of("peak.width", f.Stretch, MinStretch, MaxStretch)
	case swept && math.Abs(f.Apart.Rad()) > maxApart*s.Width.Rad():
		return message.Of("peak.apart", unit.Angle(math.Abs(f.Apart.Rad())))
	case !(f.Centre > low && f.Centre < high):
		return message.Of("peak.outside")
	case swept && float64(len(points)-count(points)) > 0.25*float64(len(points)):
		return message.Of("peak.interference")
	}
	return message.Message{}
}
