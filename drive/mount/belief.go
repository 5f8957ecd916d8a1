package mount

import (
	"errors"
	"math"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
)

// belief is what is believed of all terms, those held at zero too: before any observation a mount's terms
// are small, and the observations add what they tell.
type belief struct {
	mean       [termCount]float64 // radians, less the model's terms
	covariance *mat.SymDense
}

// usual is the standard deviation of a term of a home-built mount before it is measured, degrees (common practice, no source).
// The zeros may be anything.
func (t Term) usual() float64 {
	return [termCount]float64{
		TermAzZero: 100, TermElZero: 100, TermLeanNorth: 0.15, TermLeanEast: 0.15, TermCollimation: 0.2, TermAxesSkew: 0.1, TermSag: 0.1, TermAzSin: 0.05, TermAzCos: 0.05,
	}[t]
}

// believe works out what is believed of all terms after the observations.
func (f *Fit) believe(used []Observation) error {
	all := make([]Term, termCount)
	for t := range termCount {
		all[t] = t
	}
	a, b := design(used, all)
	var normal mat.SymDense
	normal.SymOuterK(1/f.scatter, a.T())
	var right mat.VecDense
	right.MulVec(a.T(), b)
	right.ScaleVec(1/f.scatter, &right)
	for t := range termCount {
		// A term that was found larger than usual is no surprise any more.
		width := max(t.usual()*math.Pi/180, math.Abs(t.of(&f.Model).Rad()))
		normal.SetSym(int(t), int(t), normal.At(int(t), int(t))+1/(width*width))
	}
	var factor mat.Cholesky
	f.belief.covariance = mat.NewSymDense(int(termCount), nil)
	if !factor.Factorize(&normal) || factor.InverseTo(f.belief.covariance) != nil {
		return errors.New("the fit does not come to an end")
	}
	var mean mat.VecDense
	mean.MulVec(f.belief.covariance, &right)
	for t := range termCount {
		f.belief.mean[t] = mean.AtVec(int(t)) - t.of(&f.Model).Rad()
	}
	return nil
}

// Uncertain is the error to be expected on the sky of what the model says for a direction, root mean square: what the
// observations leave open of all terms, those that are held at zero too.
func (f *Fit) Uncertain(d Direction) unit.Angle {
	cross, el := mat.NewVecDense(int(termCount), nil), mat.NewVecDense(int(termCount), nil)
	var acrossOff, upOff float64
	for t := range termCount {
		c, e := t.rows(d)
		cross.SetVec(int(t), c)
		el.SetVec(int(t), e)
		acrossOff += c * f.belief.mean[t]
		upOff += e * f.belief.mean[t]
	}
	return unit.Angle(math.Sqrt(mat.Inner(cross, f.belief.covariance, cross) + mat.Inner(el, f.belief.covariance, el) + acrossOff*acrossOff + upOff*upOff))
}

// nineTenths is by how many times its root mean square an error stays in nine cases of ten: 1.645 along one
// axis, 1.517 where both are alike.
const nineTenths = 1.6

// Within is the error on the sky that the model for a direction should stay within in nine cases of ten.
func (f *Fit) Within(d Direction) unit.Angle { return f.Uncertain(d).Mul(nineTenths) }

// The part of the sky over which a model is judged.
const lowestJudged, highestJudged = 15, 75 // degrees of elevation

// helpsMost is the direction about which the model knows least.
func (f *Fit) helpsMost() Direction {
	var best Direction
	most := -1.0
	for az := 0; az < 360; az += 15 {
		for el := lowestJudged; el <= highestJudged; el += 10 {
			d := Direction{unit.AngleFromDeg(float64(az)), unit.AngleFromDeg(float64(el))}
			if u := f.Uncertain(d).Rad(); u > most*(1+1e-9) {
				best, most = d, u
			}
		}
	}
	return best
}

// Judged is how well a model is known over the sky, in nine cases of ten.
type Judged struct {
	// Measured is the greatest error at the observations, Worst that of the whole sky from 15 to 75 degrees of elevation, at At.
	Measured, Worst unit.Angle
	At              Direction
}

// Judge says how well the model is known.
func (f *Fit) Judge(observations []Observation) Judged {
	j := Judged{At: f.Next, Worst: f.Within(f.Next)}
	for i := range observations {
		if !observations[i].Excluded {
			j.Measured = max(j.Measured, f.Within(observations[i].Sky))
		}
	}
	return j
}
