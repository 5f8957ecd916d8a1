package echotest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"beamhelm/app/echotest"
	"beamhelm/app/echotest/trials"
)

// Each place's strength is what its cycles were given, within the error told beside it: over many recordings the
// departures over their errors have the standard deviation 1, and no place is high or low on the average.
func TestDetectPlaces(t *testing.T) {
	const perPlace, runs = 4, 4
	weaker := []float64{0, 3, 1, 6, 12}
	c := trials.Recipe{MHz: 1296, SpreadHz: 12, CN0DBHz: 22, Cycles: perPlace * len(weaker), RateHz: 12000}
	var places []int
	for place, db := range weaker {
		for range perPlace {
			places, c.WeakerDB = append(places, place), append(c.WeakerDB, db)
		}
	}
	squares, count := 0.0, 0.0
	sums := make([]float64, len(weaker))
	for seed := range uint64(runs) {
		recording, plan, want := trials.Simulate(rand.New(rand.NewPCG(seed, 5)), c)
		r, strengths, err := echotest.DetectPlaces(recording, plan, places, len(weaker))
		if err != nil || !r.Detected || len(strengths) != len(weaker) {
			t.Fatalf("%+v, %v, %v", r, strengths, err)
		}
		for place, s := range strengths {
			sent := math.Pow(10, (want.CN0DBHz-weaker[place])/10)
			off := (s.CN0Hz - sent) / s.ErrorHz(sent)
			squares, count, sums[place] = squares+off*off, count+1, sums[place]+off/runs
			if s.Cycles != perPlace {
				t.Errorf("place %d: %d cycles", place, s.Cycles)
			}
		}
	}
	rms := math.Sqrt(squares / count)
	t.Logf("departures over their errors: %.2f rms, means %.2f", rms, sums)
	if rms < 0.6 || rms > 1.5 {
		t.Errorf("the departures are %.2f times their errors", rms)
	}
	for place, mean := range sums {
		if math.Abs(mean) > 1.5 {
			t.Errorf("place %d is off by %.2f errors on the average", place, mean)
		}
	}
}

// Of noise there are no strengths; what can't belong to a plan is refused.
func TestDetectPlacesRefuses(t *testing.T) {
	c := trials.Recipe{MHz: 1296, SpreadHz: 12, CN0DBHz: math.NaN(), Cycles: 5, RateHz: 12000}
	recording, plan, _ := trials.Simulate(rand.New(rand.NewPCG(1, 6)), c)
	if r, strengths, err := echotest.DetectPlaces(recording, plan, []int{0, 1, 2, 3, 4}, 5); err != nil || r.Detected ||
		strengths != nil {
		t.Errorf("of noise: %+v, %v, %v", r, strengths, err)
	}
	for name, places := range map[string][]int{"too few": {0, 1}, "beyond": {0, 1, 2, 3, 5},
		"below": {0, 1, 2, 3, -1}} {
		if _, _, err := echotest.DetectPlaces(recording, plan, places, 5); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	plan.SpreadHz = -1
	if _, _, err := echotest.DetectPlaces(recording, plan, []int{0, 1, 2, 3, 4}, 5); err == nil {
		t.Error("a wrong plan was taken")
	}
}
