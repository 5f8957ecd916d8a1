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
	"azimuth zero", "elevation zero", "lean to the north", "lean to the east", "beam aside of square", "axes not square", "sag", "azimuth encoder, sine", "azimuth encoder, cosine",
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
	return [...]*unit.Angle{&m.AzZero, &m.ElZero, &m.LeanNorth, &m.LeanEast, &m.Collimation, &m.AxesSkew, &m.Sag, &m.AzSin, &m.AzCos}[t]
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
	Next Direction

	fitted  []Term
	inverse *mat.SymDense // of the normal matrix of the fitted terms
}

// What a term must be to be fitted.
const (
	leastObservations = 4
	leastPart         = 2    // its value over its error
	mostCondition     = 1e3  // of the columns brought to the same length
	leastSigma        = 1e-3 // degrees: no peak is believed to be better
	suspectAfter      = 4.5  // standard deviations
)

// rows are the two lines of a term's design matrix for a direction: on the sky,
// cross-elevation and elevation.
func (t Term) rows(d Direction) (cross, el float64) {
	var m Model
	*t.of(&m) = 1
	dAz, dEl := m.Correction(d.Az, d.El)
	return dAz.Rad() * d.El.Cos(), dEl.Rad()
}

// correction is what an observation says must be added to the true direction, on the sky.
func (o *Observation) correction() Offset {
	turned := unit.Angle(math.Remainder((o.Axes.Az - o.Sky.Az).Rad(), 2*math.Pi))
	return Offset{Cross: turned.Mul(o.Sky.El.Cos()), El: o.Axes.El - o.Sky.El}
}

// Validate says what is wrong with an observation; nil for nothing.
func (o *Observation) Validate() error {
	for _, a := range [...]unit.Angle{o.Sky.Az, o.Sky.El, o.Axes.Az, o.Axes.El, o.Sigma[0], o.Sigma[1]} {
		if math.IsNaN(a.Rad()) || math.IsInf(a.Rad(), 0) {
			return errors.New("an angle is not a number")
		}
	}
	if o.Sigma[0] < 0 || o.Sigma[1] < 0 {
		return errors.New("an error is below zero")
	}
	if math.Abs(o.Sky.El.Deg()) > 89 {
		return errors.New("it is too near the zenith")
	}
	return nil
}

// FitModel lays a model through the observations that are not excluded, by
// weighted least squares. Terms that this part of the sky can't tell, or that come out
// smaller than twice their error, are held at zero.
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
	if len(used) < leastObservations {
		return Fit{}, fmt.Errorf("%d observations: at least %d are wanted", len(used), leastObservations)
	}
	f := Fit{Used: len(used), Terms: make([]FittedTerm, termCount)}
	var terms []Term
	for t := range termCount {
		f.Terms[t].Term = t
		if 2*len(used)-int(t)-1 >= 3 { // three degrees of freedom are left
			terms = append(terms, t)
		} else {
			f.Terms[t].Held = "too few observations"
		}
	}
	if err := f.eliminate(used, terms); err != nil {
		return Fit{}, err
	}
	f.residuals(observations)
	f.Next = f.helpsMost()
	return f, nil
}

// eliminate fits, and takes out a term at a time until all that are left are worth having.
func (f *Fit) eliminate(used []Observation, terms []Term) error {
	for {
		weak, condition, err := f.solve(used, terms)
		if err != nil {
			return err
		}
		if weak < 0 {
			return nil
		}
		held := &f.Terms[terms[weak]]
		held.Value, held.Sigma = 0, 0
		held.Held = "smaller than its error"
		if condition > mostCondition {
			held.Held = "this part of the sky can't tell it"
		}
		terms = slices.Delete(slices.Clone(terms), weak, weak+1)
	}
}

// solve fits these terms and returns the weakest that should be held, -1 for none.
func (f *Fit) solve(used []Observation, terms []Term) (weak int, condition float64, err error) {
	n, k := 2*len(used), len(terms)
	a, b := mat.NewDense(n, k, nil), mat.NewVecDense(n, nil)
	for i := range used {
		o := &used[i]
		c := o.correction()
		for half, v := range [2]float64{c.Cross.Rad(), c.El.Rad()} {
			weight := 1 / max(o.Sigma[half].Rad(), leastSigma*math.Pi/180)
			for j, t := range terms {
				cross, el := t.rows(o.Sky)
				a.Set(2*i+half, j, weight*[2]float64{cross, el}[half])
			}
			b.SetVec(2*i+half, weight*v)
		}
	}
	length := make([]float64, k) // of each column
	for j := range k {
		length[j] = max(mat.Norm(a.ColView(j), 2), 1e-300)
		for i := range n {
			a.Set(i, j, a.At(i, j)/length[j])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return 0, 0, errors.New("the fit does not come to an end")
	}
	condition = svd.Cond()
	if condition > mostCondition {
		return f.unseen(&svd, terms), condition, nil
	}
	var x mat.Dense
	svd.SolveTo(&x, b, k)
	var left mat.VecDense
	left.MulVec(a, x.ColView(0))
	left.SubVec(&left, b)
	scatter := mat.Dot(&left, &left) / float64(n-k)
	inverse := inverseOf(&svd, length)
	f.Model, f.fitted, f.inverse = Model{}, terms, mat.NewSymDense(k, nil)
	f.inverse.ScaleSym(scatter, inverse)
	weak = -1
	least := math.Inf(1)
	for j, t := range terms {
		value, sigma := x.At(j, 0)/length[j], math.Sqrt(f.inverse.At(j, j))
		*t.of(&f.Model) = unit.Angle(value)
		f.Terms[t] = FittedTerm{Term: t, Value: unit.Angle(value), Sigma: unit.Angle(sigma)}
		if part := math.Abs(value) / sigma; t > TermElZero && part < leastPart && part < least {
			least, weak = part, j
		}
	}
	f.correlate()
	return weak, condition, nil
}

// unseen is the term that takes the greatest part in what the sky can't tell; never a zero.
func (f *Fit) unseen(svd *mat.SVD, terms []Term) int {
	var v mat.Dense
	svd.VTo(&v)
	last := len(terms) - 1
	worst, most := last, -1.0
	for j, t := range terms {
		// Of two that can't be told apart the later one goes.
		if part := math.Abs(v.At(j, last)); t > TermElZero && part > 0.8*most {
			worst, most = j, max(part, most)
		}
	}
	return worst
}

// inverseOf is the inverse of the normal matrix from the decomposition of the scaled one.
func inverseOf(svd *mat.SVD, length []float64) *mat.SymDense {
	k := len(length)
	var v mat.Dense
	svd.VTo(&v)
	values := svd.Values(nil)
	inverse := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			sum := 0.0
			for s, value := range values[:k] {
				sum += v.At(i, s) * v.At(j, s) / value / value
			}
			inverse.SetSym(i, j, sum/length[i]/length[j])
		}
	}
	return inverse
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
		dAz, dEl := f.Model.Correction(o.Sky.Az, o.Sky.El)
		r.After = Offset{Cross: r.Before.Cross - dAz.Mul(o.Sky.El.Cos()), El: r.Before.El - dEl}
		if !o.Excluded {
			before += square(r.Before)
			after += square(r.After)
			distances = append(distances, math.Sqrt(square(r.After)))
		}
	}
	f.Before, f.After = unit.Angle(math.Sqrt(before/float64(f.Used))), unit.Angle(math.Sqrt(after/float64(f.Used)))
	slices.Sort(distances)
	// The middle distance of a two-dimensional normal distribution is 1.177 standard deviations.
	limit := max(suspectAfter*distances[len(distances)/2]/1.177, 3*leastSigma*math.Pi/180)
	for i := range f.Residuals {
		f.Residuals[i].Suspect = math.Sqrt(square(f.Residuals[i].After)) > limit
	}
}

func square(o Offset) float64 { return o.Cross.Rad()*o.Cross.Rad() + o.El.Rad()*o.El.Rad() }

// Uncertain is the standard deviation on the sky of what the model says for a direction.
func (f *Fit) Uncertain(d Direction) unit.Angle {
	k := len(f.fitted)
	cross, el := mat.NewVecDense(k, nil), mat.NewVecDense(k, nil)
	for j, t := range f.fitted {
		c, e := t.rows(d)
		cross.SetVec(j, c)
		el.SetVec(j, e)
	}
	return unit.Angle(math.Sqrt(mat.Inner(cross, f.inverse, cross) + mat.Inner(el, f.inverse, el)))
}

// helpsMost is the direction between 15 and 75 degrees of elevation about which the model knows least.
func (f *Fit) helpsMost() Direction {
	var best Direction
	most := -1.0
	for az := 0; az < 360; az += 15 {
		for el := 15; el <= 75; el += 10 {
			d := Direction{unit.AngleFromDeg(float64(az)), unit.AngleFromDeg(float64(el))}
			if u := f.Uncertain(d).Rad(); u > most*(1+1e-9) {
				best, most = d, u
			}
		}
	}
	return best
}
