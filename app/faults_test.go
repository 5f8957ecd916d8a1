package main

import (
	"context"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/practice"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/ephem"
)

// Each fault that the menu offers can be injected, is told to stand, and is cleared; the clock's moves the time of
// the sky.
func TestFaultsOfTheMenu(t *testing.T) {
	sky, err := ephem.New(assets.Ephemeris(), station.SkyConfig(settings.Practice().Clock))
	if err != nil {
		t.Fatal(err)
	}
	dish, err := practice.New(settings.Practice(), sky, practice.Config{From: practiceBegins(), Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	served, err := dish.Serve(settings.Practice().Link.Baud)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { // what was opened is closed
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		_ = served.Run(ctx)
	})
	ahead := new(atomic.Int64)
	faults := dishFaults{served, ahead}
	now := skyClock(practice.NewTime(practiceBegins(), nil), time.Now(), ahead)
	for _, group := range faults.Kinds() {
		for _, kind := range group.Kinds {
			if err := faults.Put(kind.Name); err != nil {
				t.Fatalf("%s: %v", kind.Name, err)
			}
			if got := faults.Standing(); !slices.Equal(got, []string{kind.Name}) {
				t.Errorf("%s: %q stand", kind.Name, got)
			}
			if at, _ := now(); (at.Sub(practiceBegins()) > clockBy/2) != (kind.Name == clockFault) {
				t.Errorf("%s: the sky's time is %v", kind.Name, at)
			}
			if err := faults.Mend(kind.Name); err != nil || len(faults.Standing()) > 0 {
				t.Errorf("%s is not cleared: %q, %v", kind.Name, faults.Standing(), err)
			}
		}
	}
	for _, name := range []string{practice.LinkCut, clockFault, "storm"} {
		if err := faults.Put(name); err != nil {
			t.Fatal(err)
		}
	}
	if err := faults.Mend(""); err != nil || len(faults.Standing()) > 0 {
		t.Errorf("all cleared: %q, %v", faults.Standing(), err)
	}
}
