package sky

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/soniakeys/unit"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Cursor implements desktop.Cursorable.
func (s *slider) Cursor() desktop.Cursor {
	if s.axis == view.Azimuth {
		return desktop.HResizeCursor
	}
	return desktop.VResizeCursor
}

// arrange places what depends on size and scene.
func (s *slider) arrange() {
	low, high := s.limits()
	from, to := s.end(low), s.end(high)
	if s.axis == view.Azimuth {
		s.travel.Move(fyne.NewPos(from, middle-2))
		s.travel.Resize(fyne.NewSize(to-from, 4))
	} else {
		s.travel.Move(fyne.NewPos(middle-2, to))
		s.travel.Resize(fyne.NewSize(4, from-to))
	}
}

// length is that of the plot along the slider.
func (s *slider) length() float64 {
	if s.axis == view.Azimuth {
		return s.pane.plot().Width
	}
	return s.pane.plot().Height
}

// end is where an angle lies along the slider, at its end for one that isn't seen.
func (s *slider) end(angle unit.Angle) float32 {
	return float32(math.Round(max(overhang, min(s.along(angle), s.length()+overhang))))
}

// holds says whether a place along the slider is beside what is seen.
func (s *slider) holds(place float64) bool {
	return place >= overhang-0.5 && place <= s.length()+overhang+0.5
}

// show puts handle and triangle in their places.
func (s *slider) show() {
	axis := s.pane.now.Axes[s.axis]
	old := !s.pane.now.Shown()
	if s.old != old {
		s.old = old
		widget.Redraw(s.position)
	}
	known := !view.Unheard(s.pane.now) && axis.Trusted
	is := s.along(axis.Position)
	place := s.along(s.shown())
	setVisible(s.position, known && s.holds(is))
	setVisible(s.handle, (known || s.proposed()) && s.holds(place))
	const half = handleSide / 2.
	if s.axis == view.Azimuth {
		s.position.Move(chart.Snap(s, is-isSide/2., 0))
		s.handle.Move(chart.Snap(s, place-half, middle-half))
	} else {
		s.position.Move(chart.Snap(s, 0, is-isSide/2.))
		s.handle.Move(chart.Snap(s, middle-half, place-half))
	}
	s.tint()
}

// tint refreshes the handle when its look changed.
func (s *slider) tint() {
	p := widget.Current()
	fill, width := p.Setpoint, float32(0)
	axis := s.pane.now.Axes[s.axis]
	if s.pane.now.Status != nil && !axis.HasSetpoint && !s.proposed() && s.pane.now.Tick >= s.pane.sentUntil[s.axis] {
		fill, width = p.Pane, 2 // nothing is wanted
	}
	if s.handle.FillColor == fill && s.handle.StrokeWidth == width && s.handle.StrokeColor == p.Setpoint {
		return
	}
	s.handle.FillColor, s.handle.StrokeColor, s.handle.StrokeWidth = fill, p.Setpoint, width
	s.handle.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (s *slider) CreateRenderer() fyne.WidgetRenderer {
	r := sliderRenderer{s}
	r.paint()
	return r
}

type sliderRenderer struct{ slider *slider }

func (r sliderRenderer) paint() {
	s, p := r.slider, widget.Current()
	s.travel.FillColor = p.Mark
	if s.Hovered() {
		s.travel.FillColor = p.Dim
	}
	s.ring.StrokeWidth, s.ring.StrokeColor = 0, color.Transparent
	if s.Focused() {
		s.ring.StrokeWidth, s.ring.StrokeColor = 2, p.Focus
	}
	if s.pane.now.Status != nil {
		s.tint()
	}
}

func (r sliderRenderer) Layout(size fyne.Size) {
	r.slider.ring.Resize(size)
	if r.slider.pane.now.Status != nil && r.slider.pane.now.Scene != nil {
		r.slider.arrange()
		r.slider.show()
	}
}

func (r sliderRenderer) MinSize() fyne.Size { return fyne.NewSize(sliderDepth, sliderDepth) }

func (r sliderRenderer) Refresh() {
	r.paint()
	for _, object := range r.Objects() {
		object.Refresh()
	}
}

func (r sliderRenderer) Objects() []fyne.CanvasObject {
	s := r.slider
	return []fyne.CanvasObject{s.ring, s.travel, s.position, s.handle}
}
func (r sliderRenderer) Destroy() {}
