package chart

import (
	"math"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
)

// Span is the part of a range that is shown, from one edge of the plot to the other.
type Span struct{ From, To float64 }

// Zoomed is the span widened (above 1) or narrowed about a place, which stays where it is in the plot.
func (s Span) Zoomed(factor, about float64) Span {
	return Span{about - (about-s.From)*factor, about + (s.To-about)*factor}
}

// Moved is the span moved towards higher figures.
func (s Span) Moved(by float64) Span { return Span{s.From + by, s.To + by} }

// Within is the span within the whole of what there is, and no narrower than a part of it.
func (s Span) Within(whole Span, most float64) Span {
	width := whole.To - whole.From
	width = max(width/most, min(width, s.To-s.From))
	from := max(whole.From, min(s.From, whole.To-width))
	return Span{from, from + width}
}

// At is the place at a part of the plot, from 0 at its first edge to 1.
func (s Span) At(part float64) float64 { return s.From + (s.To-s.From)*part }

// Part is the inverse of At.
func (s Span) Part(at float64) float64 { return (at - s.From) / (s.To - s.From) }

// TakeWheel takes a turn of the wheel over an object and says which way: 1 magnifies, -1 shows more, 0 is neither. In a
// window without room for all it scrolls instead, unless the object has the keyboard or with.Scroll leaves it alone.
func TakeWheel(with widget.Context, over fyne.CanvasObject, event *fyne.ScrollEvent) int {
	control, is := over.(interface{ Focused() bool })
	switch focused := is && control.Focused(); {
	case !focused && with.Scroll != nil && with.Scroll(over, event):
		return 0
	case event.Scrolled.DY > 0:
		return 1
	case event.Scrolled.DY < 0:
		return -1
	}
	return 0
}

// NotchesOf is TakeWheel for the letters that do the same; 0 for any other.
func NotchesOf(letter rune) int {
	switch letter {
	case '+':
		return 1
	case '-', '−':
		return -1
	}
	return 0
}

// Factor is by how much a turn of the wheel widens a span, by the factor of one notch.
func Factor(notches int, one float64) float64 { return math.Pow(one, -float64(notches)) }
