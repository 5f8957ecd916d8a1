package noise

import (
	"math"
	"testing"
	"time"
)

// Where reports stand on both sides they alone count; beyond them the nearest one and the quiet spectrum do.
func TestFluxFrom(t *testing.T) {
	day := []FluxPoint{{1415, 62}, {2695, 84}}
	between, share, err := FluxFrom(day, 2304)
	want, _ := FluxAt(day, 2304)
	if err != nil || between != want || share != 0.05 {
		t.Errorf("between: %v ±%v, %v", between, share, err)
	}
	for _, row := range []struct{ mhz, low, high, share float64 }{
		{1296, 57, 61, 0.06},    // just below the lowest: the same activity
		{5760, 135, 150, 0.17},  // an octave above
		{10368, 285, 305, 0.22}, // two
	} {
		sfu, share, err := FluxFrom(day, row.mhz)
		if err != nil || sfu < row.low || sfu > row.high || math.Abs(share-row.share) > 0.02 {
			t.Errorf("%v MHz: %.1f ±%.3f, %v", row.mhz, sfu, share, err)
		}
	}
	if _, _, err := FluxFrom([]FluxPoint{{1415, 62}}, 24048); err == nil {
		t.Error("a flux at 1415 MHz tells that at 24 GHz")
	}
	if _, _, err := FluxFrom(nil, 1296); err == nil {
		t.Error("nothing tells something")
	}
	// The index alone at its quiet value is the quiet Sun.
	for _, mhz := range []float64{1296, 5760} {
		sfu, _, _ := FluxFrom([]FluxPoint{{IndexMHz, QuietFlux(IndexMHz)}}, mhz)
		near(t, "quiet", sfu, QuietFlux(mhz), 1e-9)
	}
}

// A maximum is 2 to 3 times the minimum around 2 GHz and 1.1 times it at 15 GHz (from memory), and the error says
// how little the phase of the cycle tells.
func TestExpectedFlux(t *testing.T) {
	minimum, maximum := time.Date(2019, 12, 15, 0, 0, 0, 0, time.UTC), time.Date(2024, 10, 1, 0, 0, 0, 0, time.UTC)
	for _, row := range []struct{ mhz, low, high float64 }{{1415, 2, 3}, {2695, 2, 3}, {15400, 1.05, 1.2}} {
		minimum, _ := ExpectedFlux(row.mhz, minimum)
		maximum, share := ExpectedFlux(row.mhz, maximum)
		near(t, "minimum", minimum, QuietFlux(row.mhz), 0.02*minimum)
		if r := maximum / minimum; r < row.low || r > row.high {
			t.Errorf("at %v MHz a maximum is %.2f times a minimum", row.mhz, r)
		}
		if share < 0.15 || share > 0.45 {
			t.Errorf("at %v MHz the maximum is said to be good to %.2f", row.mhz, share)
		}
	}
	// It goes round, without a step.
	before := 0.0
	for at := minimum; at.Year() < 2045; at = at.AddDate(0, 1, 0) {
		index, _ := ExpectedIndex(at)
		if index < quietIndex-1e-9 || before != 0 && math.Abs(index-before) > 5 {
			t.Fatalf("%s: index %.1f after %.1f", at.Format(time.DateOnly), index, before)
		}
		before = index
	}
	if sfu, _ := ExpectedFlux(144, maximum); sfu != 0 {
		t.Error("144 MHz is below what is known")
	}
}
