package mount

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
)

// table is a synthetic case worked out apart from this program (numpy): azimuth
// zero 0.850, elevation zero -0.320, lean north 0.060, lean east -0.040, axes not square 0.050, beam aside
// 0.120, sag -0.090 degrees; azimuth, elevation, corrections of azimuth and elevation, degrees.
var table = [][4]float64{
	{80, 12, 0.99734, -0.43701}, {100, 22, 1.02069, -0.45326}, {120, 33, 1.04631, -0.46012},
	{150, 44, 1.06062, -0.45670},
	{180, 50, 1.04860, -0.43785}, {210, 44, 1.00268, -0.41670}, {240, 33, 0.97882, -0.39084},
	{260, 22, 0.97295, -0.37447},
	{280, 12, 0.97223, -0.35822}, {95, 60, 1.27409, -0.41008}, {140, 68, 1.31371, -0.42539},
	{185, 72, 1.25348, -0.40410},
	{225, 66, 1.09851, -0.37075}, {265, 58, 1.05523, -0.33307}, {120, 15, 0.99619, -0.47157},
	{200, 20, 0.97475, -0.44727},
}

var tableModel = Model{
	AzZero: deg(0.850), ElZero: deg(-0.320), LeanNorth: deg(0.060), LeanEast: deg(-0.040), AxesSkew: deg(0.050),
	Collimation: deg(0.120), Sag: deg(-0.090),
}

// observed are observations of a mount with these errors at the places of the table.
func observed(m Model, scatter float64, chance *rand.Rand) []Observation {
	var all []Observation
	for _, row := range table {
		d := Boresight{deg(row[0]), deg(row[1])}
		axes := m.Apply(d)
		if chance != nil {
			axes.Az += deg(scatter * chance.NormFloat64()).Div(d.El.Cos())
			axes.El += deg(scatter * chance.NormFloat64())
		}
		all = append(all, Observation{Boresight: d, Axes: axes,
			Sigma: [2]unit.Angle{deg(max(scatter, 0.01)), deg(max(scatter, 0.01))}})
	}
	return all
}

func TestCorrectionsOfTheTable(t *testing.T) {
	for _, row := range table {
		dAz, dEl := tableModel.Correction(deg(row[0]), deg(row[1]))
		if math.Abs(dAz.Deg()-row[2]) > 6e-6 || math.Abs(dEl.Deg()-row[3]) > 6e-6 {
			t.Errorf("%v: %.5f %.5f", row, dAz.Deg(), dEl.Deg())
		}
	}
}

func TestFitFindsAllTermsWithoutNoise(t *testing.T) {
	f, err := FitModel(observed(tableModel, 0, nil))
	if err != nil {
		t.Fatal(err)
	}
	for term := range termCount {
		got, want := *term.of(&f.Model), *term.of(&tableModel)
		if math.Abs((got - want).Deg()) > 1e-6 {
			t.Errorf("%s: %.8f, want %.8f (%s)", term, got.Deg(), want.Deg(), f.Terms[term].Held)
		}
	}
	if f.After.Deg() > 1e-6 || f.Before.Deg() < 0.5 {
		t.Errorf("left %.7f of %.3f", f.After.Deg(), f.Before.Deg())
	}
}

// With noise the single terms are poorly known, but what the model says inside
// the sky that was covered is good.
func TestFitWithNoisePredicts(t *testing.T) {
	chance := rand.New(rand.NewPCG(3, 3))
	const scatter = 0.03
	worst, squares, count := 0.0, 0.0, 0
	for range 40 {
		f, err := FitModel(observed(tableModel, scatter, chance))
		if err != nil {
			t.Fatal(err)
		}
		for az := 90.0; az <= 270; az += 30 {
			for el := 20.0; el <= 60; el += 20 {
				d := Boresight{deg(az), deg(el)}
				gotAz, gotEl := f.Model.Correction(d.Az, d.El)
				wantAz, wantEl := tableModel.Correction(d.Az, d.El)
				off := math.Hypot((gotAz-wantAz).Deg()*d.El.Cos(), (gotEl - wantEl).Deg())
				worst, squares, count = max(worst, off), squares+off*off, count+1
			}
		}
	}
	if rms := math.Sqrt(squares / float64(count)); rms > scatter || worst > 4*scatter {
		t.Errorf("prediction off by %.4f rms, %.4f at worst, for peaks of %.2f", rms, worst, scatter)
	}
}

// A short arc can't tell all: what it can't is held at zero and says so.
func TestShortArcHoldsTerms(t *testing.T) {
	chance := rand.New(rand.NewPCG(5, 5))
	var arc []Observation
	for i := range 10 {
		d := Boresight{deg(150 + 6*float64(i)), deg(38 + 4*math.Sin(float64(i)/3))}
		axes := tableModel.Apply(d)
		axes.Az += deg(0.02 * chance.NormFloat64())
		axes.El += deg(0.02 * chance.NormFloat64())
		arc = append(arc, Observation{Boresight: d, Axes: axes, Sigma: [2]unit.Angle{deg(0.02), deg(0.02)}})
	}
	f, err := FitModel(arc)
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	for _, term := range f.Terms {
		if term.Held != "" {
			held++
			if term.Value != 0 || *term.Term.of(&f.Model) != 0 {
				t.Errorf("%s is held and %v", term.Term, term.Value)
			}
		}
	}
	if held < 4 {
		t.Errorf("only %d terms are held: %+v", held, f.Terms)
	}
	if f.After.Deg() > 0.05 {
		t.Errorf("left %.3f", f.After.Deg())
	}
	// The next one should be far from the arc.
	if math.Abs(math.Remainder(f.Next.Az.Deg()-177, 360)) < 60 && math.Abs(f.Next.El.Deg()-38) < 20 {
		t.Errorf("next at %.0f, %.0f", f.Next.Az.Deg(), f.Next.El.Deg())
	}
}

func TestOutlierIsSuspectAndCanBeExcluded(t *testing.T) {
	chance := rand.New(rand.NewPCG(8, 8))
	all := observed(tableModel, 0.01, chance)
	all[5].Axes.El += deg(0.6)
	f, err := FitModel(all)
	if err != nil {
		t.Fatal(err)
	}
	if !f.Residuals[5].Suspect {
		t.Errorf("not suspect: %+v", f.Residuals[5])
	}
	all[5].Excluded = true
	again, err := FitModel(all)
	if err != nil {
		t.Fatal(err)
	}
	if again.Used != len(all)-1 || again.After > f.After/3 {
		t.Errorf("left %.4f without it, %.4f with it", again.After.Deg(), f.After.Deg())
	}
}

func TestFitRefuses(t *testing.T) {
	good := observed(tableModel, 0.01, rand.New(rand.NewPCG(1, 1)))
	with := func(change func(*Observation)) []Observation {
		all := append([]Observation(nil), good...)
		change(&all[2])
		return all
	}
	same := make([]Observation, 6)
	for i := range same {
		same[i] = good[0]
	}
	for name, c := range map[string]struct {
		all  []Observation
		want string
	}{
		"none":  {nil, "0 observations"},
		"three": {good[:3], "3 observations"},
		"not numbers": {with(func(o *Observation) { o.Axes.Az = unit.Angle(math.NaN()) }),
			"observation 3: an angle is not a number"},
		"below zero": {with(func(o *Observation) { o.Sigma[1] = deg(-1) }), "below zero"},
		"zenith":     {with(func(o *Observation) { o.Boresight.El = deg(89.9) }), "too near the zenith"},
	} {
		if _, err := FitModel(c.all); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	// The same place over and over tells the zeros, and nothing else.
	f, err := FitModel(same)
	if err != nil {
		t.Fatal(err)
	}
	for _, term := range f.Terms[2:] {
		if term.Held == "" {
			t.Errorf("one place tells %s", term.Term)
		}
	}
}

// A crude mount, with a lean of two degrees and nothing else, gets that lean and no other term.
func TestLargeTermIsFoundAlone(t *testing.T) {
	crude := Model{AzZero: deg(-140), ElZero: deg(3), LeanEast: deg(2)}
	f, err := FitModel(observed(crude, 0.03, rand.New(rand.NewPCG(2, 9))))
	if err != nil {
		t.Fatal(err)
	}
	for _, term := range f.Terms[TermLeanNorth:] {
		if (term.Held == "") != (term.Term == TermLeanEast) {
			t.Errorf("%s: %q, %.3f", term.Term, term.Held, term.Value.Deg())
		}
	}
	if off := math.Abs((f.Model.LeanEast - crude.LeanEast).Deg()); off > 0.05 {
		t.Errorf("the lean is off by %.3f", off)
	}
}

// The solution of all terms is that of the library's factorisation of the same normal equations.
func TestSolutionAgainstTheLibrary(t *testing.T) {
	e := weigh(observed(tableModel, 0.03, rand.New(rand.NewPCG(4, 4))))
	terms := []Term{TermAzZero, TermElZero, TermLeanEast, TermCollimation, TermSag}
	var s solution
	s.solve(e, terms, 1, 2)
	mean, covariance := s.values(len(terms))
	precision, right := mat.NewSymDense(len(terms), nil), mat.NewVecDense(len(terms), nil)
	for i, term := range terms {
		right.SetVec(i, e.right[term]/2)
		for j := i; j < len(terms); j++ {
			precision.SetSym(i, j, e.normal[term][terms[j]]/2)
		}
		precision.SetSym(i, i, precision.At(i, i)+1/math.Pow(term.usual()*math.Pi/180, 2))
	}
	var factor mat.Cholesky
	var inverse mat.SymDense
	var want mat.VecDense
	if !factor.Factorize(precision) || factor.InverseTo(&inverse) != nil || factor.SolveVecTo(&want, right) != nil {
		t.Fatal("no solution")
	}
	for i := range terms {
		if math.Abs(mean[i]/want.AtVec(i)-1) > 1e-6 {
			t.Errorf("%s: %v, want %v", terms[i], mean[i], want.AtVec(i))
		}
		for j := range terms {
			scale := math.Sqrt(inverse.At(i, i) * inverse.At(j, j))
			if math.Abs(covariance[i][j]-inverse.At(i, j)) > 1e-6*scale {
				t.Errorf("covariance of %s and %s: %v, want %v", terms[i], terms[j], covariance[i][j], inverse.At(i, j))
			}
		}
	}
}
