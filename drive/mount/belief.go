package mount

import (
	"math"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
)

// belief is what is believed of all terms after the observations. Every set of terms may be what the mount has; each
// counts as far as the observations bear it out, less where values are far from the usual or terms more than needed.
// Source: the mean over models by their posterior chances, Hoeting, Madigan, Raftery & Volinsky 1999, Statistical
// Science 14, 382.
type belief struct {
	has        [termCount]float64 // the chance that the mount has the term
	mean       [termCount]float64 // radians
	covariance *mat.SymDense
	scatter    float64 // variance of the observations over that of the errors told
}

// chanceOfTerm is the chance that a mount has a term, before any observation.
const chanceOfTerm = 0.5

// makes are by how many times the usual the terms of a mount may be: those of a good one, and of a crude one.
var makes = [...]float64{1, 3}

// The scatters that are tried, about the one that the fit of all terms leaves.
const (
	scatterStep             = 0.5 // in the logarithm
	lowestStep, highestStep = -2, 3
	minWeight               = 1e-6 // less than this part of the likeliest counts nothing
)

// usual is the standard deviation of a term of a home-built mount before it is measured, degrees (common practice, no
// source). The zeros may be anything.
func (t Term) usual() float64 {
	return [termCount]float64{
		TermAzZero: 100, TermElZero: 100, TermLeanNorth: 0.15, TermLeanEast: 0.15, TermCollimation: 0.2,
		TermAxesSkew: 0.1, TermSag: 0.1, TermAzSin: 0.05, TermAzCos: 0.05,
	}[t]
}

// explanation is a set of terms of a mount of some make, with a scatter, and the logarithm of its likelihood.
type explanation struct {
	terms              []Term
	make, scatter, log float64
}

// explanations are all sets of terms with all scatters.
func (e *evidence) explanations() (all []explanation) {
	var s solution
	s.solve(e, allTerms(), makes[0], minWeight) // as good as without any belief beforehand
	mean, _ := s.values(int(termCount))
	explained := e.off(&mean, new([termCount]float64))
	freedom := float64(max(0, e.rows-int(termCount)) + toldFreedom)
	middle := (max(0, e.squares-explained*explained*float64(e.rows)) + toldFreedom) / freedom
	for set := range 1 << (termCount - TermLeanNorth) {
		terms := []Term{TermAzZero, TermElZero}
		chance := 1.0
		for t := TermLeanNorth; t < termCount; t++ {
			if set>>(t-TermLeanNorth)&1 == 1 {
				terms = append(terms, t)
				chance *= chanceOfTerm
			} else {
				chance *= 1 - chanceOfTerm
			}
		}
		for _, width := range makes {
			for step := lowestStep; step <= highestStep; step++ {
				scatter := middle * math.Exp(scatterStep*float64(step))
				all = append(all, explanation{terms, width, scatter,
					math.Log(chance) + s.solve(e, terms, width, scatter)})
			}
		}
	}
	return all
}

// believe works out what is believed of all terms after the observations: all explanations, by their likelihood.
func (e *evidence) believe() (b belief) {
	all := e.explanations()
	likeliest := math.Inf(-1)
	for _, x := range all {
		likeliest = max(likeliest, x.log)
	}
	var s solution
	var square [termCount][termCount]float64
	total := 0.0
	for _, x := range all {
		weight := math.Exp(x.log - likeliest)
		if weight < minWeight {
			continue
		}
		s.solve(e, x.terms, x.make, x.scatter)
		mean, covariance := s.values(len(x.terms))
		total += weight
		b.scatter += weight * x.scatter
		for i, t := range x.terms {
			b.has[t] += weight
			b.mean[t] += weight * mean[i]
			for j, u := range x.terms {
				square[t][u] += weight * (covariance[i][j] + mean[i]*mean[j])
			}
		}
	}
	b.scatter /= total
	b.covariance = mat.NewSymDense(int(termCount), nil)
	for t := range termCount {
		b.has[t] /= total
		b.mean[t] /= total
		for u := range t + 1 {
			b.covariance.SetSym(int(t), int(u), square[t][u]/total-b.mean[t]*b.mean[u])
		}
	}
	return b
}

// Uncertain is the error to be expected on the sky of what the model says for a direction, root mean square: what the
// observations leave open of all terms, those that are held at zero too.
func (f *Fit) Uncertain(d Boresight) unit.Angle {
	cross, el := mat.NewVecDense(int(termCount), nil), mat.NewVecDense(int(termCount), nil)
	var acrossOff, upOff float64
	for t := range termCount {
		c, e := t.rows(d)
		cross.SetVec(int(t), c)
		el.SetVec(int(t), e)
		beside := f.belief.mean[t] - t.of(&f.Model).Rad()
		acrossOff += c * beside
		upOff += e * beside
	}
	return unit.Angle(math.Sqrt(mat.Inner(cross, f.belief.covariance, cross) + mat.Inner(el, f.belief.covariance, el) +
		acrossOff*acrossOff + upOff*upOff))
}

// nineTenths is by how many times its root mean square an error stays in nine cases of ten: 1.645 along one
// axis, 1.517 where both are alike.
const nineTenths = 1.6

// Within is the error on the sky that the model for a direction should stay within in nine cases of ten.
func (f *Fit) Within(d Boresight) unit.Angle { return f.Uncertain(d).Mul(nineTenths) }

// The part of the sky over which a model is judged.
const lowestJudged, highestJudged = 15, 75 // degrees of elevation

// helpsMost is the direction about which the model knows least.
func (f *Fit) helpsMost() Boresight {
	var best Boresight
	maximum := -1.0
	for az := 0; az < 360; az += 15 {
		for el := lowestJudged; el <= highestJudged; el += 10 {
			d := Boresight{unit.AngleFromDeg(float64(az)), unit.AngleFromDeg(float64(el))}
			if u := f.Uncertain(d).Rad(); u > maximum*(1+1e-9) {
				best, maximum = d, u
			}
		}
	}
	return best
}

// Judged is how well a model is known over the sky, in nine cases of ten.
type Judged struct {
	// Measured is the greatest error at the observations, Worst that of the whole sky from 15 to 75 degrees of
	// elevation, at At.
	Measured, Worst unit.Angle
	At              Boresight
}

// Judge says how well the model is known.
func (f *Fit) Judge(observations []Observation) Judged {
	j := Judged{At: f.Next, Worst: f.Within(f.Next)}
	for i := range observations {
		if !observations[i].Excluded {
			j.Measured = max(j.Measured, f.Within(observations[i].Boresight))
		}
	}
	return j
}
