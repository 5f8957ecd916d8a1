package sky

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// rig is the pane in a window over a desk on which nothing is real.
type rig struct {
	*Pane
	desk    *stage.Desk
	window  fyne.Window
	tick    uint64
	escapes int
}

// evening is the invented evening, with speeds.
func evening() desk.Status {
	s := stage.Tracking()
	scene := *s.Scene
	scene.TopPerS, scene.AccelerationPerS2 = [2]unit.Angle{deg(1.5), deg(1.5)}, [2]unit.Angle{deg(0.5), deg(0.5)}
	s.Scene = &scene
	return s
}

// plotSize makes two units of the plot one degree of azimuth, and one of elevation.
var plotSize = fyne.NewSize(956, 180)

func open(t testing.TB, plot fyne.Size, change func(*desk.Status)) *rig {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	status := evening()
	if change != nil {
		change(&status)
	}
	r := &rig{desk: stage.New(status), tick: 10}
	r.window = test.NewTempWindow(t, nil)
	r.window.SetPadded(false)
	with := widget.Context{Desk: r.desk, Open: widget.NewOpen(r.window.Canvas(), func() float32 { return 0 }),
		Hand: widget.NewHand(r.desk)}
	r.Pane = New(with)
	r.window.SetContent(r.Object())
	r.window.Resize(plot.AddWidthHeight(overhang+sliderDepth+elScale, overhang+sliderDepth+azScale))
	r.window.Canvas().SetOnTypedKey(func(event *fyne.KeyEvent) {
		if event.Name == fyne.KeyEscape {
			r.escapes++
		}
	})
	r.Show(view.At(r.desk.Status(), r.tick, 0))
	if r.panorama.Size() != plot {
		t.Fatalf("the plot is %v, want %v", r.panorama.Size(), plot)
	}
	return r
}

// pass lets ticks go by.
func (r *rig) pass(ticks int) {
	for range ticks {
		r.tick++
		r.Show(view.At(r.desk.Status(), r.tick, 0))
	}
}

// change changes what the desk shows.
func (r *rig) change(change func(*desk.Status)) {
	status := *r.desk.Status()
	change(&status)
	r.desk.Set(status)
	r.pass(1)
}

func primary(x, y float32) *desktop.MouseEvent {
	e := &desktop.MouseEvent{Button: desktop.MouseButtonPrimary}
	e.Position = fyne.NewPos(x, y)
	return e
}

func drag(x, y float32) *fyne.DragEvent {
	e := &fyne.DragEvent{}
	e.Position = fyne.NewPos(x, y)
	return e
}

func key(name fyne.KeyName) *fyne.KeyEvent { return &fyne.KeyEvent{Name: name} }

// one checks that exactly one order was asked, to go to angles; NaN is no angle.
func (r *rig) one(t *testing.T, what string, az, el float64) {
	t.Helper()
	got, ok := stage.Only[desk.SlewTo](r.desk.Asked())
	if !ok || !alike(got.To.Az.Deg(), az) || !alike(got.To.El.Deg(), el) {
		t.Errorf("%s asks for %+v, want to go to %v, %v", what, got, az, el)
	}
}

func (r *rig) none(t *testing.T, what string) {
	t.Helper()
	if got := r.desk.Asked(); len(got) != 0 {
		t.Errorf("%s asks for %+v", what, got)
	}
}

func alike(a, b float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9
}

var none = math.NaN()

func TestSliderActsWhenLetGo(t *testing.T) {
	r := open(t, plotSize, nil)
	az, el := r.sliders[0], r.sliders[1]
	// The plot begins at -59 degrees, 8 units from the slider's end.
	xOf := func(degrees float64) float32 { return float32(az.along(deg(degrees))) }
	az.MouseDown(primary(xOf(150), 14))
	r.pass(3)
	az.Dragged(drag(xOf(200), 14))
	az.Dragged(drag(xOf(230), 90))
	r.pass(3)
	r.none(t, "dragging")
	if r.proposal.by != byAzimuth || math.Abs(r.proposal.to.Az.Deg()-230) > 0.06 || !r.panorama.proposed.Visible() ||
		r.proposal.offer.Head == "" {
		t.Errorf("dragging shows %+v", r.proposal)
	}
	if words := az.ControlWords(); words != view.Degrees(r.proposal.to.Az) {
		t.Errorf("the handle stands at %s", words)
	}
	az.MouseUp(primary(xOf(230), 90))
	az.DragEnd()
	r.one(t, "letting go", r.sent[0].Deg(), none)
	if math.Abs(r.sent[0].Deg()-230) > 0.06 || r.proposal.by != nobody {
		t.Errorf("went to %v", r.sent[0].Deg())
	}

	y := float32(el.along(deg(60)))
	el.MouseDown(primary(14, y))
	el.MouseUp(primary(14, y))
	r.one(t, "a click on the elevation's slider", none, 60)
	r.none(t, "afterwards")
}

func TestSliderHandle(t *testing.T) {
	r := open(t, plotSize, nil)
	az := r.sliders[0]
	shown := func(what string, want float64) {
		t.Helper()
		if got := az.shown().Deg(); !alike(got, want) {
			t.Errorf("%s the handle stands at %v, want %v", what, got, want)
		}
	}
	shown("tracking", 116.58)
	az.step(1)
	shown("moved by a key", 117.6)
	az.TypedKey(key(fyne.KeyReturn))
	shown("just sent", 117.6)
	r.change(func(s *desk.Status) { s.Axes[0].Setpoint = deg(117.6) })
	shown("taken in", 117.6)
	r.pass(sentShown)
	r.change(func(s *desk.Status) { s.Axes[0].Setpoint = deg(130) })
	shown("moved by the desk", 130)
	r.change(func(s *desk.Status) { s.Axes[0].HasSetpoint = false })
	shown("nothing wanted", 116.53)
	if az.handle.StrokeWidth == 0 {
		t.Error("a handle without a want is not hollow")
	}
}

func TestSliderKeys(t *testing.T) {
	r := open(t, plotSize, nil)
	az, el := r.sliders[0], r.sliders[1]
	r.window.Canvas().Focus(az)
	for _, name := range []fyne.KeyName{fyne.KeyRight, fyne.KeyUp, fyne.KeyLeft, fyne.KeyPageUp, fyne.KeyPageUp,
		fyne.KeyPageDown} {
		az.TypedKey(key(name)) // from 116.58: 116.7, .8, .7, then 117.7, 118.7, 117.7
	}
	az.KeyDown(key(desktop.KeyShiftLeft))
	az.TypedKey(key(fyne.KeyRight))
	az.KeyUp(key(desktop.KeyShiftLeft))
	az.TypedKey(key(fyne.KeyRight))
	r.none(t, "keys before Enter")
	az.TypedKey(key(fyne.KeyEnter))
	r.one(t, "Enter", 118.8, none)
	az.TypedKey(key(fyne.KeyReturn))
	r.none(t, "Enter without anything new")

	r.window.Canvas().Focus(el)
	el.TypedKey(key(fyne.KeyDown))
	el.TypedKey(key(fyne.KeyEscape))
	el.TypedKey(key(fyne.KeyEnter))
	r.none(t, "Esc, then Enter")
	if r.escapes != 1 || r.proposal.by != nobody {
		t.Errorf("Esc reached the window %d times, still proposed %v", r.escapes, r.proposal.by)
	}
	for range 200 {
		el.TypedKey(key(fyne.KeyPageUp))
	}
	el.TypedKey(key(fyne.KeyEnter))
	r.one(t, "far beyond the limit", none, 86)
}

// The arrow keys of a slider don't move the beam as well.
func TestSliderKeepsItsArrows(t *testing.T) {
	rows := map[fyne.KeyName]bool{
		fyne.KeyLeft: true, fyne.KeyUp: true, fyne.KeyRight: true, fyne.KeyDown: true,
		fyne.KeyEscape: false, fyne.KeyF1: false, fyne.KeyPageUp: false,
	}
	for name, want := range rows {
		if widget.ArrowKey(name) != want {
			t.Errorf("%s is kept from the window: %v, want %v", name, !want, want)
		}
	}
}

func TestWhatEndsADrag(t *testing.T) {
	rows := []struct {
		name string
		end  func(r *rig)
	}{
		{"Esc", func(r *rig) { r.sliders[0].TypedKey(key(fyne.KeyEscape)) }},
		{"the focus is lost", func(r *rig) { r.window.Canvas().Unfocus() }},
		{"a shortcut", func(r *rig) {
			r.sliders[0].TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyPeriod,
				Modifier: fyne.KeyModifierControl})
		}},
		{"a stop from outside", func(r *rig) { r.change(func(s *desk.Status) { s.Stop = desk.StopAsked }) }},
		{"a stop from outside, missed", func(r *rig) { r.change(func(s *desk.Status) { s.Stop = desk.StopStanding }) }},
	}
	for _, row := range rows {
		r := open(t, plotSize, nil)
		az := r.sliders[0]
		az.MouseDown(primary(300, 14))
		row.end(r)
		az.Dragged(drag(400, 14))
		az.MouseUp(primary(400, 14))
		az.DragEnd()
		r.none(t, row.name)
		if r.proposal.by != nobody || !alike(az.shown().Deg(), 116.58) {
			t.Errorf("%s: still proposed", row.name)
		}
	}
	r := open(t, plotSize, nil)
	second := primary(300, 14)
	second.Button = desktop.MouseButtonSecondary
	r.sliders[0].MouseDown(second)
	r.sliders[0].MouseUp(second)
	r.none(t, "the other button")
	r.sliders[0].MouseDown(primary(300, 14))
	r.sliders[0].MouseUp(second)
	r.none(t, "the other button during a drag")
	r.sliders[0].MouseUp(primary(300, 14))
	if got := r.desk.Asked(); len(got) != 1 {
		t.Errorf("after it, letting go asks for %+v", got)
	}
}

func TestWheelMovesNothing(t *testing.T) {
	r := open(t, plotSize, nil)
	for _, object := range []any{r.sliders[0], r.sliders[1]} {
		if _, scrolls := object.(fyne.Scrollable); scrolls {
			t.Errorf("%T takes the wheel", object)
		}
	}
	r.turn(r.place(150, 30), 3)
	r.none(t, "the wheel over the panorama")
}

func TestRefusal(t *testing.T) {
	r := open(t, plotSize, func(s *desk.Status) { s.Axes[0].Trusted = false })
	az := r.sliders[0]
	az.MouseDown(primary(300, 14))
	az.MouseUp(primary(300, 14))
	r.none(t, "with a position that is not trusted")
	if r.proposal.offer.Next != "reference the position first" || !r.panorama.bubble.ground.Visible() ||
		!alike(az.shown().Deg(), 116.58) {
		t.Errorf("says %q", r.proposal.offer.Next)
	}
	r.pass(refusalLives + 1)
	if r.panorama.bubble.ground.Visible() {
		t.Error("the reason never goes")
	}
}

// Both ways between places of the sliders and angles, over the whole travel.
func TestSliderPlaces(t *testing.T) {
	for _, size := range []fyne.Size{plotSize, fyne.NewSize(827, 148), fyne.NewSize(1221, 475)} {
		r := open(t, size, nil)
		for axis, slider := range r.sliders {
			low, high := slider.limits()
			for angle := low; angle <= high; angle += deg(7.3) {
				along := float32(slider.along(angle))
				at := fyne.NewPos(along, 14)
				if axis == view.Elevation {
					at = fyne.NewPos(14, along)
				}
				if back := slider.angleAt(at); math.Abs((back - angle).Deg()) > 0.0501 {
					t.Errorf("%v, axis %d: %v comes back as %v", size, axis, angle.Deg(), back.Deg())
				}
			}
			at, travel := slider.ControlSpot()
			from, to := float64(at.X), float64(at.X+travel.Width)
			if axis == view.Elevation {
				from, to = float64(at.Y+travel.Height), float64(at.Y)
			}
			if math.Abs(from-slider.along(low)) > 0.5 || math.Abs(to-slider.along(high)) > 0.5 {
				t.Errorf("%v, axis %d: the travel is from %v to %v, the limits at %v and %v", size, axis, from, to,
					slider.along(low), slider.along(high))
			}
		}
		beyond := r.sliders[0].angleAt(fyne.NewPos(0, 0)).Deg()
		if !alike(beyond, -45) {
			t.Errorf("beyond the end is %v, want the limit", beyond)
		}
	}
}

func TestShortcutsReachTheWindow(t *testing.T) {
	r := open(t, plotSize, nil)
	stop := &desktop.CustomShortcut{KeyName: fyne.KeyPeriod, Modifier: fyne.KeyModifierControl}
	reached := 0
	r.window.Canvas().AddShortcut(stop, func(fyne.Shortcut) { reached++ })
	for _, slider := range r.sliders {
		slider.TypedShortcut(stop)
	}
	if reached != 2 {
		t.Errorf("the window saw %d of 2", reached)
	}
}
