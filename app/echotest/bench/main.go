// Command bench measures how the search for the station's own echoes does in synthetic recordings: what it finds by
// how far echoes stand over the noise, how far off its figures are, and what it takes for an echo where there is
// none.
package main

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"time"

	"beamhelm/app/echotest"
	"beamhelm/app/echotest/trials"
)

// emptyShare is how many recordings without an echo are tried for each with one of a class.
const emptyShare = 3

func main() {
	seed := flag.Uint64("seed", 70001, "the first seed; each round of recordings takes the next")
	minutes := flag.Float64("minutes", 5, "how long recordings are tried")
	flag.Parse()
	if flag.NArg() != 0 {
		flag.Usage()
		os.Exit(2)
	}
	var all tally
	if err := all.try(*seed, time.Duration(*minutes*float64(time.Minute))); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
	all.print(*seed)
	bounds(*seed)
}

// tally is what was found.
type tally struct {
	rounds               uint64
	classes              [len(trials.Classes)]trials.Score
	bands                [len(trials.Classes)][len(trials.Bands)]trials.Score
	empty, alarms        map[string]int
	emptyBand, alarmBand [len(trials.Bands)]int
	spent                time.Duration
	looks                int
}

// try takes whole rounds until the time is over.
func (t *tally) try(seed uint64, long time.Duration) error {
	t.empty, t.alarms = map[string]int{}, map[string]int{}
	for until := time.Now().Add(long); time.Now().Before(until); t.rounds++ {
		if err := t.round(seed + t.rounds); err != nil {
			return err
		}
	}
	return nil
}

// round tries each band with an echo of each class and without.
func (t *tally) round(seed uint64) error {
	for b, band := range trials.Bands {
		for class := range len(trials.Classes) + emptyShare {
			r := rand.New(rand.NewPCG(seed, uint64(10*class+b)))
			recipe := trials.Empty
			if class < len(trials.Classes) {
				recipe = trials.Classes[class].Echo
			}
			c := recipe(r, band)
			recording, plan, want := trials.Simulate(r, c)
			began := time.Now()
			found, err := echotest.Detect(recording, plan)
			if err != nil {
				return err
			}
			t.add(class, b, c.Kind(), found, want, time.Since(began))
		}
	}
	return nil
}

func (t *tally) add(class, band int, kind string, found echotest.Result, want trials.Truth, took time.Duration) {
	t.looks++
	t.spent += took
	if class < len(trials.Classes) {
		t.classes[class].Add(found, want)
		t.bands[class][band].Add(found, want)
		return
	}
	t.empty[kind]++
	t.emptyBand[band]++
	if found.Detected {
		t.alarms[kind]++
		t.alarmBand[band]++
	}
}

func (t *tally) print(seed uint64) {
	fmt.Printf("%d synthetic recordings, seeds %d to %d; a look took %.0f ms\n", t.looks, seed, seed+t.rounds-1,
		t.spent.Seconds()*1000/float64(max(1, t.looks)))
	for i, class := range trials.Classes {
		line(fmt.Sprintf("%s (goal: %g %% found)", class.Name, 100*class.Goal), &t.classes[i])
		for b, band := range trials.Bands {
			line(fmt.Sprintf("  %g MHz, spread %g Hz", band.MHz, band.SpreadHz), &t.bands[i][b])
		}
	}
	empty, alarms := 0, 0
	for _, kind := range trials.Kinds {
		empty, alarms = empty+t.empty[kind], alarms+t.alarms[kind]
	}
	fmt.Printf("without an echo (goal: %g %% taken for one): %d of %d\n", 100*trials.FalseAlarms, alarms, empty)
	for _, kind := range trials.Kinds {
		fmt.Printf("  %s: %d of %d\n", kind, t.alarms[kind], t.empty[kind])
	}
	for b, band := range trials.Bands {
		fmt.Printf("  %g MHz, spread %g Hz: %d of %d\n", band.MHz, band.SpreadHz, t.alarmBand[b], t.emptyBand[b])
	}
}

func line(name string, s *trials.Score) {
	fmt.Printf("%-34s found %d of %d", name, s.Found, s.Tried)
	if s.Found > 0 {
		fmt.Printf("; off, rms: strength %.2f dB (mean %+.2f; from what was present %.2f), frequency %.2f of "+
			"max(0.6 Hz, 6 %% of the spread), spread %.2f octaves, delay %.0f ms", s.StrengthDB(), s.BiasDB(),
			s.PresentDB(), s.Tolerances(), s.Octaves(), s.DelayMS())
	}
	fmt.Println()
}

// bounds prints what no search can exceed in the narrow bands, where an echo fades for whole cycles.
func bounds(seed uint64) {
	const tries = 1000
	middle := (trials.Classes[2].Low + trials.Classes[2].High) / 2
	fmt.Printf("z %g, no interference: found by an ideal search that knows strength and spread, with %g %% of "+
		"false alarms (%d recordings each)\n", middle, 100*trials.FalseAlarms, tries)
	for _, c := range []struct {
		band   trials.Band
		cycles []int
	}{{trials.Bands[0], []int{10, 20, 30}}, {trials.Bands[1], []int{5, 10, 20, 30}}, {trials.Bands[2], []int{5, 20}}} {
		fmt.Printf("  %g MHz, spread %g Hz:", c.band.MHz, c.band.SpreadHz)
		for _, cycles := range c.cycles {
			r := rand.New(rand.NewPCG(seed, math.MaxUint64))
			fmt.Printf(" %d cycles %.0f %%", cycles,
				100*trials.Bound(r, c.band, middle, cycles, tries, trials.FalseAlarms))
		}
		fmt.Println()
	}
}
