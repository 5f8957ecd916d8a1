package receiver

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// visited are stops at places of these levels, there and back, with a gain that changes with time in minutes.
func visited(levels []float64, gain func(minutes float64) float64) (stops []Stop, middles []time.Time) {
	begin := time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)
	n := len(levels)
	for i := range 2*n - 1 {
		place := min(i, 2*n-2-i)
		power := levels[place] * gain(float64(i)*0.25)
		stops = append(stops, Stop{Power: power, Scatter: 0.002 * power, N: 60})
		middles = append(middles, begin.Add(time.Duration(i)*15*time.Second))
	}
	return stops, middles
}

// An even drift falls out of the ratios, also where the way back takes longer.
func TestAnEvenDriftFallsOut(t *testing.T) {
	levels := []float64{1, 1.02, 1.05, 1.1, 1.3}
	stops, middles := visited(levels, func(m float64) float64 { return 7 * (1 + 0.01*min(m, 1) + 0.02*max(0, m-1)) })
	for i := 5; i < len(middles); i++ {
		middles[i] = middles[4].Add(time.Duration(i-4) * 30 * time.Second)
	}
	means, err := ThereAndBack(stops, middles)
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range means {
		if ratio := m.Power / means[0].Power; math.Abs(ratio-levels[i]/levels[0]) > 2e-4 {
			t.Errorf("place %d: ratio %.6f, in truth %.6f", i, ratio, levels[i])
		}
		if m.Error < 0.003 || m.Error > 0.02 {
			t.Errorf("place %d: error %.4f with a drift of 2 %%", i, m.Error)
		}
	}
}

// A gain that wanders is in the errors: the ratios to the mean are off by no more than these say, over many draws.
func TestAWanderingGainIsInTheErrors(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	levels := []float64{1, 1.02, 1.05, 1.1, 1.2, 1.3, 1.4, 1.5}
	pull, count := 0.0, 0
	for range 300 {
		gain, walk := make([]float64, 15), 1.0
		for i := range gain {
			walk += 0.002 * r.NormFloat64()
			gain[i] = walk
		}
		means, err := ThereAndBack(visited(levels, func(m float64) float64 { return gain[int(math.Round(m*4))] }))
		if err != nil {
			t.Fatal(err)
		}
		mean := 0.0
		for i, m := range means {
			mean += m.Power / levels[i] / float64(len(means))
		}
		for i, m := range means {
			pull += math.Pow((m.Power/levels[i]/mean-1)/m.Error, 2)
			count++
		}
	}
	if pull /= float64(count); pull > 1.2 {
		t.Errorf("the mean square pull is %.2f", pull)
	}
}

func TestThereAndBackRefuses(t *testing.T) {
	stops, middles := visited([]float64{1, 2, 3}, func(float64) float64 { return 1 })
	for name, c := range map[string]struct {
		stops   []Stop
		middles []time.Time
	}{
		"none":          {nil, nil},
		"one way":       {stops[:4], middles[:4]},
		"no times":      {stops, middles[:2]},
		"no level":      {append([]Stop{{N: 3}}, stops[1:]...), middles},
		"a single mean": {append([]Stop{{Power: 1, N: 1}}, stops[1:]...), middles},
	} {
		if _, err := ThereAndBack(c.stops, c.middles); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
}
