package mount

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// evidence is what the observations say about all terms of a mount: their normal equations, over the errors told.
type evidence struct {
	normal  [termCount][termCount]float64
	right   [termCount]float64
	squares float64 // of what is to be explained
	rows    int     // how many those are
}

func weigh(used []Observation) *evidence {
	a, b := design(used, allTerms())
	e := &evidence{squares: mat.Dot(b, b), rows: b.Len()}
	for t := range termCount {
		e.right[t] = mat.Dot(a.ColView(int(t)), b)
		for u := range termCount {
			e.normal[t][u] = mat.Dot(a.ColView(int(t)), a.ColView(int(u)))
		}
	}
	return e
}

func allTerms() []Term {
	all := make([]Term, termCount)
	for t := range termCount {
		all[t] = t
	}
	return all
}

// solution is what the observations make of some terms: the lower triangle of the precision (Cholesky), and its
// solution half way.
type solution struct {
	lower [termCount][termCount]float64
	half  [termCount]float64
}

// solve solves for some terms, which are expected to be so many times the usual, where the variance of the scatter is
// so many times that of the errors told. It returns the logarithm of the likelihood, over all values of the terms.
func (s *solution) solve(e *evidence, terms []Term, make, scatter float64) (log float64) {
	log = -(float64(e.rows+toldFreedom)*math.Log(scatter) + (e.squares+toldFreedom)/scatter) / 2
	for i, t := range terms {
		right, width := e.right[t]/scatter, make*t.usual()*math.Pi/180
		for j, u := range terms[:i+1] {
			sum := e.normal[t][u] / scatter
			if i == j {
				sum += 1 / (width * width)
			}
			for k := range j {
				sum -= s.lower[i][k] * s.lower[j][k]
			}
			if i == j {
				s.lower[i][i] = math.Sqrt(max(sum, math.SmallestNonzeroFloat64))
				break
			}
			s.lower[i][j] = sum / s.lower[j][j]
			right -= s.lower[i][j] * s.half[j]
		}
		s.half[i] = right / s.lower[i][i]
		log += s.half[i]*s.half[i]/2 - math.Log(s.lower[i][i]*width)
	}
	return log
}

// values are the terms' mean and covariance, of the first k.
func (s *solution) values(k int) (mean [termCount]float64, covariance [termCount][termCount]float64) {
	var up [termCount][termCount]float64 // the inverse of lower
	for i := range k {
		up[i][i] = 1 / s.lower[i][i]
		for j := range i {
			for m := j; m < i; m++ {
				up[i][j] -= s.lower[i][m] * up[m][j] / s.lower[i][i]
			}
		}
	}
	for i := range k {
		for m := i; m < k; m++ {
			mean[i] += up[m][i] * s.half[m]
			for j := range i + 1 {
				covariance[i][j] += up[m][i] * up[m][j]
			}
		}
		for j := range i {
			covariance[j][i] = covariance[i][j]
		}
	}
	return mean, covariance
}

// off is how far two sets of values lie apart at the observations, root mean square over the errors told.
func (e *evidence) off(a, b *[termCount]float64) float64 {
	sum := 0.0
	for t := range termCount {
		for u := range termCount {
			sum += (a[t] - b[t]) * (a[u] - b[u]) * e.normal[t][u]
		}
	}
	return math.Sqrt(max(0, sum) / float64(e.rows))
}
