package sky

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/soniakeys/unit"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// slider is one edge of the panorama: the handle is the setpoint, the triangle is
// where the axis is. Dragging shows where the axis would go; letting go sends it.
// The wheel does nothing.
type slider struct {
	widget.Control
	pane    *Pane
	axis    int
	pressed bool
	coarse  bool // Shift is down

	travel   *canvas.Rectangle
	ring     *canvas.Rectangle
	handle   *canvas.Circle
	position *canvas.Raster
	old      bool
}

// Steps of the keys, in degrees.
const (
	fineStep   = 0.1
	coarseStep = 1
)

func newSlider(pane *Pane, axis int) *slider {
	s := &slider{
		pane: pane, axis: axis,
		travel: canvas.NewRectangle(color.Transparent), ring: canvas.NewRectangle(color.Transparent),
		handle: canvas.NewCircle(color.Transparent),
	}
	s.position = chart.NewMark(isSide, func(d *chart.Drawing, w, h, unit float64) {
		ink := widget.Current().Measured
		if s.old {
			ink = widget.Current().Old
		}
		if axis == view.Azimuth {
			d.Polygon(chart.Point{X: 0, Y: 0}, chart.Point{X: w, Y: 0}, chart.Point{X: w / 2, Y: h * 0.8})
		} else {
			d.Polygon(chart.Point{X: 0, Y: 0}, chart.Point{X: 0, Y: h}, chart.Point{X: w * 0.8, Y: h / 2})
		}
		d.Paint(ink)
	})
	s.travel.CornerRadius, s.ring.CornerRadius = 2, 6
	s.handle.Resize(fyne.NewSize(handleSide, handleSide))
	name := [2]string{"azimuth-slider", "elevation-slider"}[axis]
	s.Become(s, name,
		view.AxisName(
			axis)+": drag and let go, and the dish goes there. Keys: arrows 0.1°, with Shift or Page 1°, Enter goes")
	return s
}

// Sizes and places of a slider's parts, in units across it.
const (
	isSide     = 11
	handleSide = 13
	middle     = 14 // of travel and handle
)

// ControlWords returns what the slider shows.
func (s *slider) ControlWords() string {
	if s.pane.now.Status == nil {
		return ""
	}
	if !s.pane.now.Axes[s.axis].Trusted && !s.proposed() {
		return view.Missing
	}
	return view.Degrees(s.shown())
}

// ControlSpot returns the travel: its ends are the soft limits.
func (s *slider) ControlSpot() (fyne.Position, fyne.Size) {
	return s.travel.Position(), s.travel.Size()
}

// limits returns the soft limits of the axis.
func (s *slider) limits() (low, high unit.Angle) {
	scene := s.pane.now.Scene
	return scene.SoftLow[s.axis], scene.SoftHigh[s.axis]
}

// along returns where an angle lies along the slider.
func (s *slider) along(angle unit.Angle) float64 {
	if s.axis == view.Azimuth {
		return s.pane.plot().X(angle) + overhang
	}
	return s.pane.plot().Y(angle) + overhang
}

// angleAt returns the angle at a place of the slider, within the soft limits, in whole tenths of a degree.
func (s *slider) angleAt(at fyne.Position) unit.Angle {
	angle := s.pane.plot().Az(float64(at.X - overhang))
	if s.axis == view.Elevation {
		angle = s.pane.plot().El(float64(at.Y - overhang))
	}
	return s.allowed(tenth(angle))
}

func (s *slider) allowed(angle unit.Angle) unit.Angle {
	low, high := s.limits()
	return max(low, min(angle, high))
}

// tenth rounds to a tenth of a degree.
func tenth(angle unit.Angle) unit.Angle {
	return unit.AngleFromDeg(math.Round(angle.Deg()*10) / 10)
}

func (s *slider) proposer() proposer { return byAzimuth + proposer(s.axis) }

// proposed says whether the slider has an angle that was not sent yet.
func (s *slider) proposed() bool {
	return s.pane.proposal.by == s.proposer() && !s.pane.proposal.spent
}

// shown returns the angle at which the handle stands.
func (s *slider) shown() unit.Angle {
	axis := s.pane.now.Axes[s.axis]
	switch {
	case s.proposed():
		return s.pick(s.pane.proposal.to.Az, s.pane.proposal.to.El)
	case s.pane.now.Tick < s.pane.sentUntil[s.axis]:
		return s.pane.sent[s.axis]
	case axis.HasSetpoint:
		return axis.Setpoint
	}
	return axis.Position
}

func (s *slider) pick(az, el unit.Angle) unit.Angle {
	if s.axis == view.Azimuth {
		return az
	}
	return el
}

// propose shows an angle that is not sent yet.
func (s *slider) propose(angle unit.Angle) {
	pr := proposal{by: s.proposer(), to: setpointOrPosition(s.pane.now)}
	if s.axis == view.Azimuth {
		pr.to.Az = angle
	} else {
		pr.to.El = angle
	}
	s.pane.propose(pr)
}

// MouseDown implements desktop.Mouseable.
func (s *slider) MouseDown(event *desktop.MouseEvent) {
	if event.Button != desktop.MouseButtonPrimary || s.pane.now.Status == nil {
		return
	}
	s.ToolTipWidget.MouseOut() // the tip would lie over the plot
	s.Focus()
	s.pressed = true
	s.propose(s.angleAt(event.Position))
}

// Dragged implements fyne.Draggable.
func (s *slider) Dragged(event *fyne.DragEvent) {
	if s.pressed {
		s.propose(s.angleAt(event.Position))
	}
}

// MouseUp implements desktop.Mouseable: letting go sends the axis.
func (s *slider) MouseUp(event *desktop.MouseEvent) {
	if event.Button == desktop.MouseButtonPrimary {
		s.release()
	}
}

// DragEnd implements fyne.Draggable.
func (s *slider) DragEnd() { s.release() }

func (s *slider) release() {
	if !s.pressed {
		return
	}
	s.pressed = false
	s.pane.take()
}

// cancel forgets an angle that was not sent.
func (s *slider) cancel() {
	s.pressed = false
	s.pane.dropOf(s.proposer())
}

// FocusLost implements fyne.Focusable.
func (s *slider) FocusLost() {
	s.coarse = false
	s.cancel()
	s.Control.FocusLost()
}

// TypedKey implements fyne.Focusable.
func (s *slider) TypedKey(event *fyne.KeyEvent) {
	step := fineStep
	if s.coarse {
		step = coarseStep
	}
	switch event.Name {
	case fyne.KeyRight, fyne.KeyUp:
		s.step(step)
	case fyne.KeyLeft, fyne.KeyDown:
		s.step(-step)
	case fyne.KeyPageUp:
		s.step(coarseStep)
	case fyne.KeyPageDown:
		s.step(-coarseStep)
	case fyne.KeyReturn, fyne.KeyEnter:
		if !s.pressed {
			s.pane.take()
		}
	case fyne.KeyEscape:
		s.cancel()
		s.Forward(event)
	default:
		s.Forward(event)
	}
}

// TypedShortcut implements fyne.Shortcutable: a shortcut may be a stop, so it
// forgets what was not sent, and goes on to the window.
func (s *slider) TypedShortcut(shortcut fyne.Shortcut) {
	s.cancel()
	if c, ok := fyne.CurrentApp().Driver().CanvasForObject(s).(fyne.Shortcutable); ok {
		c.TypedShortcut(shortcut)
	}
}

// step moves the proposed angle, or begins one at the setpoint.
func (s *slider) step(degrees float64) {
	if s.pane.now.Status == nil || s.pressed {
		return
	}
	s.propose(s.allowed(tenth(s.shown() + unit.AngleFromDeg(degrees))))
}

// KeyDown keeps the arrow keys from moving the beam, and minds Shift.
func (s *slider) KeyDown(event *fyne.KeyEvent) {
	switch event.Name {
	case desktop.KeyShiftLeft, desktop.KeyShiftRight:
		s.coarse = true
	}
	if !widget.ArrowKey(event.Name) {
		s.Control.KeyDown(event)
	}
}

// KeyUp implements desktop.Keyable.
func (s *slider) KeyUp(event *fyne.KeyEvent) {
	switch event.Name {
	case desktop.KeyShiftLeft, desktop.KeyShiftRight:
		s.coarse = false
	}
	s.Control.KeyUp(event)
}
