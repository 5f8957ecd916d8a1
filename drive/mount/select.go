package mount

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// What the observations must be for a term to be looked for: how many, over how much of the sky. An arc of the Moon alone tells the
// zeros; leans show themselves only on the other side of the sky.
const (
	observationsForSag  = 6
	observationsForLean = 8
	observationsForAz   = 10 // an encoder off centre
	spreadForSag        = 25 // degrees of elevation between the lowest and the highest
	spanForLean         = 180
	mostCondition       = 100 // of the columns brought to the same length
)

// falseTerms is the chance of one false term or more that is accepted in a model: shared among the terms that are looked for.
// Less than the 5 % that are promised, for a term is looked at more than once while others are taken out. It holds for mounts
// whose other terms are nothing. Where a mount has weak terms, one in six surveys takes a term that stands for a mixture of
// them. To ask that every good explanation needs the term (all subsets compared) brings that below 1 %, but finds fewer of the
// true ones: over the whole sky the middle error then grows from 0.018 to 0.026 degree in the trials. The beam matters more.
const falseTerms = 0.03

// What the errors told of the observations are worth beside what is left of them: as much as so many degrees of freedom.
const toldFreedom = 4

// needs says what the observations lack for a term; empty for nothing.
func (t Term) needs(used []Observation) string {
	needed := map[Term]int{
		TermLeanNorth: observationsForLean, TermLeanEast: observationsForLean, TermCollimation: observationsForSag, TermAxesSkew: observationsForSag,
		TermSag: observationsForSag, TermAzSin: observationsForAz, TermAzCos: observationsForAz,
	}[t]
	switch {
	case len(used) < needed:
		return fmt.Sprintf("needs %d observations", needed)
	case needed >= observationsForLean && azimuthSpan(used) <= spanForLean:
		return fmt.Sprintf("needs more than %d° of azimuth", spanForLean)
	case needed == observationsForSag && elevationSpread(used) < spreadForSag:
		return fmt.Sprintf("needs %d° of elevation", spreadForSag)
	}
	return ""
}

// azimuthSpan is how much of the circle the observations cover, degrees: all but the largest gap.
func azimuthSpan(used []Observation) float64 {
	var az []float64
	for i := range used {
		az = append(az, used[i].Sky.Az.Mod1().Deg())
	}
	slices.Sort(az)
	gap := az[0] + 360 - az[len(az)-1]
	for i := 1; i < len(az); i++ {
		gap = max(gap, az[i]-az[i-1])
	}
	return 360 - gap
}

func elevationSpread(used []Observation) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range used {
		low, high = min(low, used[i].Sky.El.Deg()), max(high, used[i].Sky.El.Deg())
	}
	return high - low
}

// eliminate fits, and takes out a term at a time until all that are left are worth having.
func (f *Fit) eliminate(used []Observation, terms []Term) error {
	looked := max(1, len(terms)-2)
	for {
		weak, condition, err := f.solve(used, terms, looked)
		if err != nil {
			return err
		}
		if weak < 0 {
			return nil
		}
		held := &f.Terms[terms[weak]]
		held.Value, held.Sigma = 0, 0
		held.Held = "not told from nothing"
		if condition > mostCondition {
			held.Held = "this part of the sky can't tell it"
		}
		terms = slices.Delete(slices.Clone(terms), weak, weak+1)
	}
}

// design is the system of equations for some terms: both coordinates of each observation, over its error.
func design(used []Observation, terms []Term) (a *mat.Dense, b *mat.VecDense) {
	a, b = mat.NewDense(2*len(used), len(terms), nil), mat.NewVecDense(2*len(used), nil)
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
	return a, b
}

// solve fits these terms and returns the weakest that should be held, -1 for none.
func (f *Fit) solve(used []Observation, terms []Term, looked int) (weak int, condition float64, err error) {
	a, b := design(used, terms)
	n, k := a.Dims()
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
	if condition = svd.Cond(); condition > mostCondition {
		return f.unseen(&svd, terms), condition, nil
	}
	var x mat.Dense
	svd.SolveTo(&x, b, k)
	var left mat.VecDense
	left.MulVec(a, x.ColView(0))
	left.SubVec(&left, b)
	freedom := float64(n - k + toldFreedom)
	f.scatter = (mat.Dot(&left, &left) + toldFreedom) / freedom
	f.Model, f.fitted, f.inverse = Model{}, terms, mat.NewSymDense(k, nil)
	f.inverse.ScaleSym(f.scatter, inverseOf(&svd, length))
	// How many errors a term must be away from nothing.
	leastPart := distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(1 - falseTerms/float64(looked-k+3)/2)
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
