package trials

import (
	"math/rand/v2"
	"testing"
)

// A mount gets a term that it hasn't in 5 % of surveys at the most, whether it has other terms or none, and over the
// whole sky the error told holds in nine cases of ten. Caution costs little: the middle error over the whole sky stays
// below the scatter of the observations where the survey covers most of it.
func TestTrials(t *testing.T) {
	const scatter = 0.03
	for _, s := range Surveys() {
		for _, size := range []float64{ZerosAlone, Good} {
			r, err := Run(s, 400, scatter, size, rand.New(rand.NewPCG(1, 17)))
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%s, terms %v: false %.3f, inside %.3f, worst %.2f°, median %.3f°", s.Name, size, r.False, r.Inside,
				r.Worst, r.Median)
			if r.False > 0.05 {
				t.Errorf("%s, terms %v: false terms in %.1f %% of the trials", s.Name, size, 100*r.False)
			}
			if s.Name != "arc of 120°" && r.Median > scatter {
				t.Errorf("%s, terms %v: off by %.3f° in the middle", s.Name, size, r.Median)
			}
			if r.Inside < 0.9 {
				t.Errorf("%s, terms %v: the error told holds in %.1f %% of directions", s.Name, size, 100*r.Inside)
			}
		}
	}
}
