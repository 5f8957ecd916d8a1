package watching

import (
	"strings"
	"testing"
	"time"

	"beamhelm/app/wear"
	"beamhelm/drive/enclosure"
)

// What is usual of a reading is told whether it is within it or not, of the circumstances met last, and says how far it
// is learned.
func TestBaselinesOfReadings(t *testing.T) {
	s, at := &State{}, time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	block := func(c wear.Circumstances, value float64, blocks int) {
		for range blocks * wear.Of(c.Kind).Samples {
			at = at.Add(time.Second)
			s.Past.Usual.Sample(c, value, at)
		}
	}
	block(wear.Circumstances{Kind: wear.CoolantFlow}, 6.1, 7)
	for _, in := range []string{"slow up", "fast up", "slow down", "fast down"} {
		block(wear.Circumstances{Kind: wear.MotorCurrent, Of: "Elevation", In: in}, 2, 2)
	}
	block(wear.Circumstances{Kind: wear.LinkErrors, In: "not transmitting"}, 1, 3) // of no reading
	if len(s.Unusual()) > 0 {
		t.Fatalf("unusual: %v", s.Unusual())
	}
	var told []string
	for _, b := range s.Baselines() {
		if want := map[bool]int{true: enclosure.CoolantFlow, false: enclosure.ElevationPeakCurrent}[strings.Contains(
			b.Words.String(), "oolant")]; b.Reading != want {
			t.Errorf("%q is of reading %d, want %d", b.Words, b.Reading, want)
		}
		told = append(told, b.Words.String())
	}
	want := []string{
		"Elevation motor current 2.0 A at 16:09 on 14 Apr, fast down; baseline 2.0 A " +
			"(learned from 2 of 6 blocks so far)",
		"Elevation motor current 2.0 A at 16:08 on 14 Apr, slow down; baseline 2.0 A " +
			"(learned from 2 of 6 blocks so far)",
		"Elevation motor current 2.0 A at 16:08 on 14 Apr, fast up; baseline 2.0 A (learned from 2 of 6 blocks so far)",
		"Coolant flow 6.1 L/min at 16:07 on 14 Apr; baseline 6.1 L/min",
	}
	if strings.Join(told, "\n") != strings.Join(want, "\n") {
		t.Errorf("told\n%s\nwant\n%s", strings.Join(told, "\n"), strings.Join(want, "\n"))
	}
	block(wear.Circumstances{Kind: wear.CoolantFlow}, 5.9, 1)
	if first := s.Baselines()[0].Words.String(); !strings.HasPrefix(first, "Coolant flow 5.9 L/min at 16:10") {
		t.Errorf("a block later the first is %q", first)
	}
}
