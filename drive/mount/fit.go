package mount

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
)

// Term is one term of a Model that can be fitted.
type Term uint8

// The terms, in the order in which they are taken up: the first two always.
const (
	TermAzZero Term = iota
	TermElZero
	TermLeanNorth
	TermLeanEast
	TermCollimation
	TermAxesSkew
	TermSag
	TermAzSin
	TermAzCos
	termCount
)

var termNames = [termCount]string{
	"azimuth zero", "elevation zero", "lean to the north", "lean to the east", "collimation error", "axes not square",
	"sag", "azimuth encoder, sine", "azimuth encoder, cosine",
}

// String names the term.
func (t Term) String() string {
	if t < termCount {
		return termNames[t]
	}
	return "no term"
}

// of is the term's place in a model.
func (t Term) of(m *Model) *unit.Angle {
	return [...]*unit.Angle{&m.AzZero, &m.ElZero, &m.LeanNorth, &m.LeanEast, &m.Collimation, &m.AxesSkew, &m.Sag,
		&m.AzSin, &m.AzCos}[t]
}

// FittedTerm is a term as the fit has it.
type FittedTerm struct {
	Term  Term
	Value unit.Angle
	// Sigma is its standard deviation, from the scatter of what is left. 0 where Held.
	Sigma unit.Angle
	// Held says why the term is held at zero; empty where it is fitted.
	Held string
}

// Residual is what is left of one observation, on the sky: where the beam was
// with most noise, less where the model would have put it.
type Residual struct {
	Before, After Offset // without any model, and with the fitted one
	Suspect       bool   // far from the others
}

// Fit is a mount model laid through observations.
type Fit struct {
	Model Model
	Terms []FittedTerm
	// Correlation of the fitted terms, in the order of those that are not held.
	Correlation [][]float64
	// Before and After are the root mean squares on the sky of what is not excluded.
	Before, After unit.Angle
	// Residuals, one for each observation, the excluded ones too.
	Residuals []Residual
	// Used is the number of observations that count.
	Used int
	// Next is where another observation would help most.
	Next Boresight

	fitted  []Term
	inverse *mat.SymDense // of the normal matrix of the fitted terms
	scatter float64       // variance of what is left over that of the observations' own errors
	belief  belief
}

const (
	minObservations = 4
	minSigma        = 1e-3 // degrees: no peak is believed to be better
	suspectAfter    = 4.5  // standard deviations
)

// rows are the two lines of a term's design matrix for a direction: on the sky,
// cross-elevation and elevation.
func (t Term) rows(d Boresight) (cross, el float64) {
	var m Model
	*t.of(&m) = 1
	dAz, dEl := m.Correction(d.Az, d.El)
	return dAz.Rad() * d.El.Cos(), dEl.Rad()
}

// correction is what an observation says must be added to the true direction, on the sky.
func (o *Observation) correction() Offset {
	turned := unit.Angle(math.Remainder((o.Axes.Az - o.Boresight.Az).Rad(), 2*math.Pi))
	return Offset{Cross: turned.Mul(o.Boresight.El.Cos()), El: o.Axes.El - o.Boresight.El}
}

// Validate says what is wrong with an observation; nil for nothing.
func (o *Observation) Validate() error {
	for _, a := range [...]unit.Angle{o.Boresight.Az, o.Boresight.El, o.Axes.Az, o.Axes.El, o.Sigma[0], o.Sigma[1]} {
		if math.IsNaN(a.Rad()) || math.IsInf(a.Rad(), 0) {
			return errors.New("an angle is not a number")
		}
	}
	if o.Sigma[0] < 0 || o.Sigma[1] < 0 {
		return errors.New("an error is below zero")
	}
	if math.Abs(o.Boresight.El.Deg()) > 89 {
		return errors.New("it is too near the zenith")
	}
	return nil
}

// FitModel lays a model through the observations that are not excluded, by
// weighted least squares. Terms that this part of the sky can't tell, or that the
// mount may well be without, are held at zero.
func FitModel(observations []Observation) (Fit, error) {
	var used []Observation
	for i := range observations {
		if observations[i].Excluded {
			continue
		}
		if err := observations[i].Validate(); err != nil {
			return Fit{}, fmt.Errorf("observation %d: %w", i+1, err)
		}
		used = append(used, observations[i])
	}
	if len(used) < minObservations {
		return Fit{}, fmt.Errorf("%d observations: at least %d are needed", len(used), minObservations)
	}
	f := Fit{Used: len(used), Terms: make([]FittedTerm, termCount)}
	e := weigh(used)
	f.belief = e.believe()
	if err := f.solve(used, f.choose(used, e)); err != nil {
		return Fit{}, err
	}
	f.residuals(observations)
	f.Next = f.helpsMost()
	return f, nil
}

func (f *Fit) correlate() {
	k := len(f.fitted)
	f.Correlation = make([][]float64, k)
	for i := range k {
		f.Correlation[i] = make([]float64, k)
		for j := range k {
			f.Correlation[i][j] = f.inverse.At(i, j) / math.Sqrt(f.inverse.At(i, i)*f.inverse.At(j, j))
		}
	}
}

// residuals works out what is left of each observation, and which are suspect.
func (f *Fit) residuals(observations []Observation) {
	f.Residuals = make([]Residual, len(observations))
	var before, after float64
	var distances []float64
	for i := range observations {
		o := &observations[i]
		r := &f.Residuals[i]
		if o.Validate() != nil {
			continue
		}
		r.Before = o.correction()
		dAz, dEl := f.Model.Correction(o.Boresight.Az, o.Boresight.El)
		r.After = Offset{Cross: r.Before.Cross - dAz.Mul(o.Boresight.El.Cos()), El: r.Before.El - dEl}
		if !o.Excluded {
			before += square(r.Before)
			after += square(r.After)
			distances = append(distances, math.Sqrt(square(r.After)))
		}
	}
	f.Before, f.After = unit.Angle(math.Sqrt(before/float64(f.Used))), unit.Angle(math.Sqrt(after/float64(f.Used)))
	slices.Sort(distances)
	// The middle distance of a two-dimensional normal distribution is 1.177 standard deviations.
	limit := max(suspectAfter*distances[len(distances)/2]/1.177, 3*minSigma*math.Pi/180)
	for i := range f.Residuals {
		f.Residuals[i].Suspect = math.Sqrt(square(f.Residuals[i].After)) > limit
	}
}

func square(o Offset) float64 { return o.Cross.Rad()*o.Cross.Rad() + o.El.Rad()*o.El.Rad() }
