package chart

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
	"pgregory.net/rapid"
)

// Whatever is zoomed and moved, the place that it is zoomed about stays where it is, what is shown stays within the
// whole, and it is no narrower than the least part of it.
func TestSpanStaysWithinTheWhole(t *testing.T) {
	const most = 16
	rapid.Check(t, func(t *rapid.T) {
		whole := Span{rapid.Float64Range(-10, 10).Draw(t, "from"), 0}
		whole.To = whole.From + rapid.Float64Range(0.1, 100).Draw(t, "width")
		s := whole
		for range 6 {
			part := rapid.Float64Range(0, 1).Draw(t, "part")
			about := s.At(part)
			zoomed := s.Zoomed(rapid.Float64Range(0.2, 5).Draw(t, "factor"), about)
			if at := zoomed.Part(about); math.Abs(at-part) > 1e-6 {
				t.Fatalf("the place at %v of the plot comes to %v", part, at)
			}
			s = zoomed.Moved(rapid.Float64Range(-3, 3).Draw(t, "by")).Within(whole, most)
			width, rounding := s.To-s.From, 1e-9*(whole.To-whole.From)+1e-12
			if s.From < whole.From-rounding || s.To > whole.To+rounding ||
				width < (whole.To-whole.From)/most-rounding {
				t.Fatalf("%+v of %+v", s, whole)
			}
		}
	})
}

func TestNotches(t *testing.T) {
	for dy, want := range map[float32]int{3: 1, 0.1: 1, 0: 0, -25: -1} {
		event := &fyne.ScrollEvent{Scrolled: fyne.NewDelta(5, dy)}
		if got := TakeWheel(widget.Context{}, widget.NewLabel(""), event); got != want {
			t.Errorf("the wheel by %v: %d, want %d", dy, got, want)
		}
	}
	for letter, want := range map[rune]int{'+': 1, '-': -1, '−': -1, '0': 0, 'e': 0} {
		if got := NotchesOf(letter); got != want {
			t.Errorf("%q: %d, want %d", letter, got, want)
		}
	}
	if in, out := Factor(1, 1.5), Factor(-1, 1.5); math.Abs(in-1/1.5) > 1e-12 || math.Abs(out-1.5) > 1e-12 {
		t.Errorf("a notch in: %v, out: %v", in, out)
	}
}
