//go:build window

package endtoend

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// frames counts the frames that the program really paints, by what Mesa, the graphics library,
// writes of itself: a rate about every second in which there was a frame.
type frames struct {
	t    *testing.T
	file string
}

// countFrames has the programs that the test starts from now on be counted.
func countFrames(t *testing.T) frames {
	folder := t.TempDir()
	for name, value := range map[string]string{
		"GALLIUM_HUD": "fps", "GALLIUM_HUD_PERIOD": "1", "GALLIUM_HUD_VISIBLE": "false", "GALLIUM_HUD_DUMP_DIR": folder,
	} {
		t.Setenv(name, value)
	}
	return frames{t, filepath.Join(folder, "fps")}
}

// rates returns the rates written so far, frames per second.
func (f frames) rates() (rates []float64) {
	text, err := os.ReadFile(f.file)
	if err != nil {
		f.t.Fatal(err)
	}
	for _, line := range strings.Fields(string(text)) {
		rate, err := strconv.ParseFloat(line, 64)
		if err != nil {
			f.t.Fatalf("a rate of frames: %v", err)
		}
		rates = append(rates, rate)
	}
	return rates
}

// over returns the mean rate over so long from now.
func (f frames) over(d time.Duration) float64 {
	before := len(f.rates())
	time.Sleep(d) // the time that is measured
	newest := f.rates()[before:]
	sum := 0.0
	for _, rate := range newest {
		sum += rate
	}
	if len(newest) == 0 {
		f.t.Fatalf("no frame in %v: the clock should tick", d)
	}
	return sum / float64(len(newest))
}

// within measures a rate until it lies between two bounds, four times at most: a computer with other work draws late,
// and what the window then says of lateness and of the link costs frames of its own.
func (f frames) within(minimum, maximum float64, when string, measure func() float64) {
	f.t.Helper()
	var rates []float64
	for range 4 {
		rate := measure()
		f.t.Logf("%.2f frames a second %s", rate, when)
		if rate >= minimum && rate <= maximum {
			return
		}
		rates = append(rates, rate)
	}
	f.t.Errorf("frames a second %s: %.2f, want %.1f to %.1f", when, rates, minimum, maximum)
}

// TestFrames: every frame costs the whole window. At rest there is one a second, with the clock;
// while the dish moves at most one a tick.
func TestFrames(t *testing.T) {
	count := countFrames(t)
	e, p := openBoth(t, t.TempDir(), station{30, 0}, nil)
	p.await(10*time.Second, "the first readings", goodLink)
	time.Sleep(5 * time.Second) // what the start says has been said
	// At rest there is room for an event or two.
	count.within(0, 1.6, "at rest", func() float64 { return count.over(15 * time.Second) })
	count.within(3, 11, "while the dish slews", func() float64 {
		p.slew(e)
		return count.over(6 * time.Second)
	})
	if !e.now().driven() {
		t.Error("the slew had ended")
	}
}
