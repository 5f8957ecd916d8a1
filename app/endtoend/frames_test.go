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

// TestFrames: every frame costs the whole window. At rest there is one a second, with the clock;
// while the dish moves at most one a tick.
func TestFrames(t *testing.T) {
	count := countFrames(t)
	e, p := openBoth(t, t.TempDir(), station{30, 0}, nil)
	p.await(10*time.Second, "the first readings", goodLink)
	time.Sleep(5 * time.Second) // what the start says has been said
	const atRest = 1.6          // with room for an event or two
	if rate := count.over(15 * time.Second); rate > atRest {
		t.Errorf("%.2f frames a second at rest, at most %.1f", rate, atRest)
	} else {
		t.Logf("%.2f frames a second at rest", rate)
	}
	p.slew(e)
	if rate := count.over(6 * time.Second); rate < 3 || rate > 11 {
		t.Errorf("%.2f frames a second while the dish slews, want up to 10", rate)
	} else {
		t.Logf("%.2f frames a second while the dish slews", rate)
	}
	if !e.now().driven() {
		t.Error("the slew had ended")
	}
}
