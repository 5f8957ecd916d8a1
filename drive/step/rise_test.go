package step

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
)

// TestWhereAMarkWasEntered moves an axis past a mark from 100 to 106 counts, or nearly so, as an enclosure sees it:
// an entry is latched whenever the mark begins to show while the last count went up. Only what comes from
// well below enters it at its near edge.
func TestWhereAMarkWasEntered(t *testing.T) {
	scale := mount.Scale{Step: unit.AngleFromDeg(0.1), Direction: 1}
	const near, far = 100.0, 106.0
	ramp := func(from, to float64) (way []float64) {
		for n := int(math.Abs(to-from) * 10); n >= 0; n-- {
			way = append(way, to+(from-to)*float64(n)/max(1, math.Abs(to-from)*10))
		}
		return way
	}
	rocking := func(about, by float64) (way []float64) {
		for k := range 400 {
			way = append(way, about+by*math.Sin(float64(k)/5))
		}
		return way
	}
	join := func(parts ...[]float64) (way []float64) {
		for _, p := range parts {
			way = append(way, p...)
		}
		return way
	}
	drift := func(from, to, by float64) (way []float64) { // slowly down, rocking
		for k := range 2000 {
			way = append(way, from+(to-from)*float64(k)/2000+by*math.Sin(float64(k)/7))
		}
		return way
	}
	for name, row := range map[string]struct {
		way     []float64
		entries int // those that may be believed
	}{
		"up through it":                     {ramp(50, 150), 1},
		"down through it":                   {ramp(150, 50), 0},
		"slowly down, rocking":              {drift(115, 95, 0.7), 0},
		"slowly down, rocking by two":       {drift(115, 95, 2), 0},
		"up, and rocking at the far edge":   {join(ramp(50, 106.1), rocking(106, 0.4)), 1},
		"up, down out of it, up again":      {join(ramp(50, 104), ramp(104, 80), ramp(80, 104)), 2},
		"a little down, and up again":       {join(ramp(50, 104), ramp(104, 98.5), ramp(98.5, 104)), 1},
		"from just below it":                {join(ramp(97, 104)), 0},
		"past it, and slowly down, rocking": {join(ramp(50, 115), drift(115, 95, 0.7)), 1},
		"up through it, one turn further":   {join(ramp(50, 150), ramp(150, 450)), 2}, // another turn's mark at 400
	} {
		var r Rise
		believed, was, last, up := 0, false, int32(math.Floor(row.way[0])), false
		for _, at := range row.way {
			counts := int32(math.Floor(at))
			if counts != last {
				up, last = counts > last, counts
			}
			on := at >= near && at < far || at >= near+300 && at < far+300
			r.take(&scale, counts, on)
			if on && !was && up {
				if r.entered(&scale, counts) {
					believed++
					if off := math.Mod(float64(counts)-near, 300); math.Abs(off) > 1 {
						t.Errorf("%s: believed at %d", name, counts)
					}
				}
			}
			was = on
		}
		if believed != row.entries {
			t.Errorf("%s: %d entries are believed, want %d", name, believed, row.entries)
		}
	}
}

// TestARiseOverTheWrap: counts wrap at 32 bits, and a rise goes on.
func TestARiseOverTheWrap(t *testing.T) {
	scale := mount.Scale{Step: unit.AngleFromDeg(0.1), Direction: 1}
	var r Rise
	counts := int32(math.MaxInt32 - 20)
	for range 40 {
		r.take(&scale, counts, false)
		counts++
	}
	if !r.entered(&scale, counts) {
		t.Errorf("%+v at %d is no rise", r, counts)
	}
}
