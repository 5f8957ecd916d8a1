package mount

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
)

// What the observations must be for a term to be looked for: how many, over how much of the sky. An arc of the Moon
// alone tells the zeros; leans show themselves only on the other side of the sky.
const (
	observationsForSag  = 6
	observationsForLean = 8
	observationsForAz   = 10 // an encoder off centre
	spreadForSag        = 25 // degrees of elevation between the lowest and the highest
	spanForLean         = 180
)

// A term is taken up where it is as good as certain that the mount has it and all that were taken up before it;
// and, in the order of their chances, where the model would be off without it at the observations themselves. Both
// limits are chosen by trials: a false term in at most 5 % of surveys, of mounts with weak terms too, and a model that
// is good where the sky was covered, though terms that resemble each other can't be told apart. A crude mount, with
// terms three times as large, still gets a false one in about one survey of ten: the second rule takes it. Without
// that rule, or with a limit of 2 and of 0.1 for the chance, it would be one in 25, and the model off by twice the
// scatter in the midst of the observations.
const (
	falseTerms = 0.03 // chance of one the mount does not have
	maxAmiss   = 0.83 // root mean square over the scatter of the observations
)

// What the errors told of the observations are worth beside what is left of them: as much as so many degrees of
// freedom.
const toldFreedom = 4

// needs says what the observations lack for a term; empty for nothing.
func (t Term) needs(used []Observation) string {
	needed := map[Term]int{
		TermLeanNorth: observationsForLean, TermLeanEast: observationsForLean, TermCollimation: observationsForSag,
		TermAxesSkew: observationsForSag,
		TermSag:      observationsForSag, TermAzSin: observationsForAz, TermAzCos: observationsForAz,
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
		az = append(az, used[i].Boresight.Az.Mod1().Deg())
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
		low, high = min(low, used[i].Boresight.El.Deg()), max(high, used[i].Boresight.El.Deg())
	}
	return high - low
}

// choose takes up the terms that are worth having, the zeros always, and says of the others why they are held.
func (f *Fit) choose(used []Observation, e *evidence) []Term {
	b := &f.belief
	terms, doubt := []Term{TermAzZero, TermElZero}, 0.0
	for _, t := range likeliestFirst(b) {
		f.Terms[t] = FittedTerm{Term: t, Held: t.needs(used)}
		if f.Terms[t].Held != "" {
			continue
		}
		doubt += 1 - b.has[t]
		switch {
		case doubt <= falseTerms || e.amiss(terms, b) > maxAmiss:
			terms = append(terms, t)
		case math.Sqrt(b.covariance.At(int(t), int(t))) > t.usual()/2*math.Pi/180:
			f.Terms[t].Held = "this part of the sky can't tell it"
		default:
			f.Terms[t].Held = fmt.Sprintf("only %.0f %% likely", 100*b.has[t])
		}
	}
	slices.Sort(terms)
	return terms
}

// likeliestFirst are all terms but the zeros.
func likeliestFirst(b *belief) []Term {
	terms := allTerms()[TermLeanNorth:]
	slices.SortStableFunc(terms, func(t, u Term) int { return cmp.Compare(b.has[u], b.has[t]) })
	return terms
}

// amiss is how far the model of some terms is from what is believed, at the observations: root mean square over
// their scatter.
func (e *evidence) amiss(terms []Term, b *belief) float64 {
	var s solution
	s.solve(e, terms, makes[len(makes)-1], b.scatter)
	mean, _ := s.values(len(terms))
	var model [termCount]float64
	for i, t := range terms {
		model[t] = mean[i]
	}
	return e.off(&model, &b.mean) / math.Sqrt(b.scatter)
}

// design is the system of equations for some terms: both coordinates of each observation, over its error.
func design(used []Observation, terms []Term) (a *mat.Dense, b *mat.VecDense) {
	a, b = mat.NewDense(2*len(used), len(terms), nil), mat.NewVecDense(2*len(used), nil)
	for i := range used {
		o := &used[i]
		c := o.correction()
		for half, v := range [2]float64{c.Cross.Rad(), c.El.Rad()} {
			weight := 1 / max(o.Sigma[half].Rad(), minSigma*math.Pi/180)
			for j, t := range terms {
				cross, el := t.rows(o.Boresight)
				a.Set(2*i+half, j, weight*[2]float64{cross, el}[half])
			}
			b.SetVec(2*i+half, weight*v)
		}
	}
	return a, b
}

// solve fits these terms.
func (f *Fit) solve(used []Observation, terms []Term) error {
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
		return errors.New("the fit does not come to an end")
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
	for j, t := range terms {
		value, sigma := x.At(j, 0)/length[j], math.Sqrt(f.inverse.At(j, j))
		*t.of(&f.Model) = unit.Angle(value)
		f.Terms[t] = FittedTerm{Term: t, Value: unit.Angle(value), Sigma: unit.Angle(sigma)}
	}
	f.correlate()
	return nil
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
