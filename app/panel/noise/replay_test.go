package noise

import (
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// The strip of a replay is whole up to its moment, has nothing after it, a gap where nothing was heard, and goes back
// and to another replay. The strip of now is another.
func TestStripOfAReplay(t *testing.T) {
	begin := time.Date(2027, 4, 14, 15, 0, 0, 0, time.UTC)
	levels := func(from, to int, dB float64) (all []desk.NoiseSample) {
		for s := from; s <= to; s++ {
			n := desk.NoiseSample{At: begin.Add(time.Duration(s) * time.Second), LevelDB: dB, Clean: true,
				Since: time.Second}
			if s == from {
				n.Since = 0
			}
			all = append(all, n)
		}
		return all
	}
	heard := append(levels(0, 20, 28), levels(40, 60, 30)...)
	p := &Pane{}
	p.history.add(desk.NoiseSample{At: begin.Add(time.Hour), LevelDB: 99, Clean: true})
	show := func(seconds float64, heard []desk.NoiseSample) {
		p.replay.take(view.Now{Status: &desk.Status{At: begin.Add(time.Duration(seconds * float64(time.Second)))},
			Replay: "Replay", Heard: heard})
	}
	at := func(seconds float64) float32 {
		return p.shown().cell(numberOf(begin.Add(time.Duration(seconds * float64(time.Second))))).maximum
	}
	check := func(what string, want map[float64]float32) {
		t.Helper()
		for s, level := range want {
			if got := at(s); got != level && !(got != got && level != level) {
				t.Errorf("%s: %v after %v s, want %v", what, got, s, level)
			}
		}
	}
	none := empty().maximum
	for i := range 551 { // tick by tick: no part of a second is left out
		show(float64(i)/10, heard)
	}
	check("forwards", map[float64]float32{5: 28, 5.5: 28, 19.25: 28, 30: none, 45.75: 30, 55: 30, 56: none, 60: none})
	if newest := p.shown().newest; newest != numberOf(begin.Add(55*time.Second)) {
		t.Errorf("it ends at cell %d", newest-numberOf(begin))
	}
	show(10, heard)
	check("back", map[float64]float32{9.5: 28, 11: none, 45: none})
	show(30, heard)
	if newest := p.shown().newest; newest != numberOf(begin.Add(30*time.Second)) {
		t.Errorf("with nothing heard it ends at cell %d, not at the moment", newest-numberOf(begin))
	}
	show(30, levels(0, 10, 25))
	check("another", map[float64]float32{5: 25, 15: none})
	p.replay.take(view.Now{})
	if p.shown() != &p.history || p.history.newest != numberOf(begin.Add(time.Hour)) {
		t.Error("after it the strip of now isn't what it was")
	}
}
