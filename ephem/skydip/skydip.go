// Package skydip works out opacity, spill and receiver temperature from the noise level at several elevations. Pure.
//
// The level is G·(receiver + spill + sky·e^(−τX) + air·(1 − e^(−τX))) at airmass X. Levels alone
// give only ratios: what sets the scale is a level on something warm that fills the beam, and what
// is believed beforehand of the air and the receiver. All of it enters one fit, each with its
// error, so that a result that rests on belief alone has the error of that belief.
package skydip

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Point is a level, linear power in any unit, at an airmass, with its standard error.
type Point struct{ Airmass, Level, Error float64 }

// Value is a figure with its standard error.
type Value struct{ Value, Error float64 }

// Question is what is measured and what is believed beforehand.
type Question struct {
	Points []Point
	// Warm is the level on an absorber or on the ground that fills the beam, at WarmK; an Error of 0: not measured.
	Warm  Value
	WarmK float64
	// SkyK is the sky behind the air, AirK the air's mean temperature.
	SkyK, AirK float64
	// Opacity at the zenith in neper, ReceiverK with the loss before it, SpillK: as believed beforehand.
	Opacity, ReceiverK, SpillK Value
}

// How well the figures are known beforehand, as shares of them (common practice, no source). They are wide, for a dip
// is made to find what isn't as expected: a receiver gone bad, wet air, a feed that spills over. With narrow ones a
// receiver twice as noisy as believed came out three of its errors away.
const (
	opacityShare  = 1.0
	receiverShare = 0.6
	spillShare    = 0.8
	minSpillK     = 3.0 // the error of the spill at least
)

// Believed is a question with what is believed beforehand: the opacity of the usual air at the zenith in neper, the
// receiver of the settings, the spill of the antenna's model.
func Believed(opacity, receiverK, spillK float64) Question {
	return Question{
		Opacity:   Value{opacity, opacityShare * opacity},
		ReceiverK: Value{receiverK, receiverShare * receiverK},
		SpillK:    Value{spillK, math.Max(minSpillK, spillShare*spillK)},
	}
}

// Answer is what comes out.
type Answer struct {
	Opacity, ReceiverK, SpillK Value
	// Gain is the level of a kelvin.
	Gain Value
	// ChiSquare by degree of freedom: well above 1 says that something else than air changes with elevation.
	ChiSquare float64
	// Misfit is chi-square itself, beliefs in it.
	Misfit float64
}

// Why there is no answer.
var (
	errFew    = errors.New("at least 4 elevations are needed, from airmass 1.5 or less to 3 or more")
	errErrors = errors.New("each level and each belief needs an error above 0")
	errFit    = errors.New("the levels don't fit: they don't rise with airmass as air does")
)

// Airmass is that of a plane-parallel atmosphere, good to 1 % above 10 degrees of elevation.
func Airmass(elevationDeg float64) float64 { return 1 / math.Sin(elevationDeg*math.Pi/180) }

// Fit answers a question by weighted least squares, in steps of Gauss and Newton.
func Fit(q Question) (Answer, error) {
	if err := q.validate(); err != nil {
		return Answer{}, err
	}
	x := [4]float64{0, q.Opacity.Value, q.ReceiverK.Value, q.SpillK.Value} // gain, opacity, receiver, spill
	x[0] = q.Points[0].Level / q.kelvin(q.Points[0].Airmass, x)
	var inverse mat.Dense
	for range 50 {
		var normal [4][4]float64
		var right [4]float64
		for _, row := range q.rows(x) {
			for i := range 4 {
				right[i] += row.by[i] * row.residual
				for j := range 4 {
					normal[i][j] += row.by[i] * row.by[j]
				}
			}
		}
		// Scaled to ones on the diagonal: the gain is in other units than the rest.
		scaled := mat.NewDense(4, 4, nil)
		for i := range 4 {
			for j := range 4 {
				scaled.Set(i, j, normal[i][j]/math.Sqrt(normal[i][i]*normal[j][j]))
			}
		}
		if err := inverse.Inverse(scaled); err != nil {
			return Answer{}, errFit
		}
		largest := 0.0
		for i := range 4 {
			step := 0.0
			for j := range 4 {
				inv := inverse.At(i, j) / math.Sqrt(normal[i][i]*normal[j][j])
				step += inv * right[j]
				if i == j {
					inverse.Set(i, j, inv)
				}
			}
			for j := range 4 {
				if i != j {
					inverse.Set(i, j, inverse.At(i, j)/math.Sqrt(normal[i][i]*normal[j][j]))
				}
			}
			x[i] += step
			largest = math.Max(largest, math.Abs(step)/math.Sqrt(inverse.At(i, i)))
		}
		if largest < 1e-6 {
			return q.answer(x, &inverse)
		}
	}
	return Answer{}, errFit
}

func (q Question) validate() error {
	low, high := math.Inf(1), 0.0
	for _, p := range q.Points {
		if !(p.Error > 0) || !(p.Level > 0) || !(p.Airmass >= 1) {
			return errErrors
		}
		low, high = math.Min(low, p.Airmass), math.Max(high, p.Airmass)
	}
	for _, belief := range []Value{q.Opacity, q.ReceiverK, q.SpillK} {
		if !(belief.Error > 0) {
			return errErrors
		}
	}
	if len(q.Points) < 4 || low > 1.5 || high < 3 {
		return errFew
	}
	return nil
}

// kelvin is the system noise at an airmass.
func (q Question) kelvin(airmass float64, x [4]float64) float64 {
	through := math.Exp(-x[1] * airmass)
	return x[2] + x[3] + q.SkyK*through + q.AirK*(1-through)
}

// Level is what an answer makes of an airmass, in the unit of the question's levels.
func (a Answer) Level(q Question, airmass float64) float64 {
	return a.Gain.Value * q.kelvin(airmass, [4]float64{0, a.Opacity.Value, a.ReceiverK.Value, a.SpillK.Value})
}

// row is a measurement or a belief: its residual and how it changes with each unknown, in standard errors.
type row struct {
	residual float64
	by       [4]float64
}

func (q Question) rows(x [4]float64) (all []row) {
	for _, p := range q.Points {
		kelvin, through := q.kelvin(p.Airmass, x), math.Exp(-x[1]*p.Airmass)
		all = append(all, row{(p.Level - x[0]*kelvin) / p.Error, [4]float64{
			kelvin / p.Error, x[0] * p.Airmass * through * (q.AirK - q.SkyK) / p.Error, x[0] / p.Error, x[0] / p.Error,
		}})
	}
	if q.Warm.Error > 0 {
		all = append(all, row{(q.Warm.Value - x[0]*(x[2]+q.WarmK)) / q.Warm.Error,
			[4]float64{(x[2] + q.WarmK) / q.Warm.Error, 0, x[0] / q.Warm.Error, 0}})
	}
	for i, belief := range []Value{q.Opacity, q.ReceiverK, q.SpillK} {
		r := row{residual: (belief.Value - x[i+1]) / belief.Error}
		r.by[i+1] = 1 / belief.Error
		all = append(all, r)
	}
	return all
}

func (q Question) answer(x [4]float64, covariance *mat.Dense) (Answer, error) {
	if !(x[0] > 0) || !(x[1] > -0.05) {
		return Answer{}, errFit
	}
	value := func(i int) Value { return Value{x[i], math.Sqrt(covariance.At(i, i))} }
	a := Answer{Gain: value(0), Opacity: value(1), ReceiverK: value(2), SpillK: value(3)}
	all := q.rows(x)
	for _, r := range all {
		a.Misfit += r.residual * r.residual
	}
	a.ChiSquare = a.Misfit / float64(len(all)-4)
	return a, nil
}
