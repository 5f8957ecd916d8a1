package sky

import (
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// turn turns the wheel over a place of the plot by notches.
func (r *rig) turn(at fyne.Position, notches int) {
	event := &fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 1)}
	if event.Position = at; notches < 0 {
		event.Scrolled.DY, notches = -1, -notches
	}
	for range notches {
		r.panorama.Scrolled(event)
	}
}

func (r *rig) drag(from, by fyne.Position, steps int) {
	for i := range steps {
		part := float32(i+1) / float32(steps)
		event := &fyne.DragEvent{Dragged: fyne.NewDelta(by.X/float32(steps), by.Y/float32(steps))}
		event.Position = from.AddXY(by.X*part, by.Y*part)
		r.panorama.Dragged(event)
	}
	r.panorama.DragEnd()
}

// under is what lies at a place of the plot, in degrees.
func (r *rig) under(at fyne.Position) (az, el float64) {
	return r.plot().Az(float64(at.X)).Deg(), r.plot().El(float64(at.Y)).Deg()
}

// The wheel magnifies about the pointer, as far as there is sky, and turned back shows all again.
func TestTheWheelMagnifiesAboutThePointer(t *testing.T) {
	r := open(t, plotSize, nil)
	whole := r.plot()
	at := r.place(150, 30)
	r.turn(at, 3)
	if az, el := r.under(at); math.Abs(az-150) > 0.01 || math.Abs(el-30) > 0.01 {
		t.Errorf("under the pointer is %.2f, %.2f", az, el)
	}
	times := (whole.HighAz - whole.LowAz).Rad() / (r.plot().HighAz - r.plot().LowAz).Rad()
	up := (whole.HighEl - whole.LowEl).Rad() / (r.plot().HighEl - r.plot().LowEl).Rad()
	if math.Abs(times-1.5*1.5*1.5) > 1e-6 || math.Abs(up-times) > 1e-6 {
		t.Errorf("three notches magnify %.3f times across, %.3f times up", times, up)
	}
	r.turn(at, -3)
	if r.plot() != whole && math.Abs((r.plot().LowAz-whole.LowAz).Deg()) > 1e-6 {
		t.Errorf("turned back it is %+v, not %+v", r.plot(), whole)
	}
	r.turn(at, 40)
	if r.magnified() < maxZoom-1e-6 || r.magnified() > maxZoom+1e-6 {
		t.Errorf("magnified %.2f times", r.magnified())
	}
	r.turn(at, -40)
	if r.magnified() != 1 {
		t.Errorf("all is %.2f times", r.magnified())
	}
	// At a corner nothing beyond the sky comes into sight.
	r.turn(fyne.NewPos(0, 0), 4)
	r.turn(fyne.NewPos(r.panorama.Size().Width, r.panorama.Size().Height), -2)
	if p := r.plot(); p.LowAz < whole.LowAz-1e-9 || p.HighEl > whole.HighEl+1e-9 || p.LowEl < whole.LowEl-1e-9 {
		t.Errorf("beyond the sky: %+v", p)
	}
}

// Dragging moves what is seen with the pointer; a hand that shakes while it clicks has clicked.
func TestDraggingMovesTheMagnifiedPart(t *testing.T) {
	r := open(t, plotSize, nil)
	at := r.place(150, 40)
	r.turn(at, 3)
	by := fyne.NewPos(-40, 20)
	r.drag(at, by, 8)
	if az, el := r.under(at.Add(by)); math.Abs(az-150) > 0.01 || math.Abs(el-40) > 0.01 {
		t.Errorf("what was dragged is at %.2f, %.2f", az, el)
	}
	r.none(t, "a drag")
	if r.proposal.by != nobody {
		t.Error("a drag proposes something")
	}
	before := r.plot()
	r.drag(at, fyne.NewPos(3, 2), 2)
	if r.plot() != before || r.proposal.by != byPlace {
		t.Errorf("a shaken click moves the plot, or proposes nothing: %v", r.proposal.by)
	}
}

// A click in the magnified part tells and takes the place that lies there, and one on a body the body.
func TestAClickInTheMagnifiedPart(t *testing.T) {
	r := open(t, plotSize, nil)
	r.turn(r.place(150, 30), 4)
	at := r.panorama.Size()
	click := fyne.NewPos(at.Width*0.3, at.Height*0.6)
	az, el := r.under(click)
	az, el = math.Round(az*10)/10, math.Round(el*10)/10
	r.click(click)
	head := "azimuth " + view.Number(az, 1) + "°, elevation " + view.Number(el, 1) + "°"
	if r.proposal.offer.Head != head {
		t.Errorf("it says %q, want %q", r.proposal.offer.Head, head)
	}
	r.pass(againAfter)
	r.click(click)
	r.one(t, "a second click", az, el)

	r.whole()
	r.turn(r.place(116.45, 40.68), 5)
	r.click(r.place(116.45, 40.68))
	if r.proposal.by != byBody || r.proposal.body.Kind != desk.Moon {
		t.Errorf("a click on the Moon proposes %+v", r.proposal)
	}
}

// What a click proposed is dropped as another part is seen: a second click at that place of the plot, which is another
// place of the sky by then, goes nowhere.
func TestAnotherPartDropsAProposal(t *testing.T) {
	for name, change := range map[string]func(r *rig, at fyne.Position){
		"the wheel": func(r *rig, _ fyne.Position) { r.turn(r.place(100, 50), 1) },
		"a drag":    func(r *rig, at fyne.Position) { r.drag(at, fyne.NewPos(30, 0), 3) },
		"Home":      func(r *rig, _ fyne.Position) { r.panorama.TypedKey(key(fyne.KeyHome)) },
		"plus":      func(r *rig, _ fyne.Position) { r.panorama.TypedRune('+') },
	} {
		r := open(t, plotSize, nil)
		r.turn(r.place(150, 30), 2)
		at := r.place(150, 30)
		r.click(at)
		r.pass(10)
		change(r, at)
		if r.proposal.by != nobody {
			t.Errorf("%s leaves the proposal", name)
		}
		r.click(at)
		r.none(t, name)
	}
}

// Home and a double click show all of the sky; neither moves the dish.
func TestAllOfTheSkyAgain(t *testing.T) {
	for name, back := range map[string]func(r *rig, at fyne.Position){
		"Home":           func(r *rig, _ fyne.Position) { r.panorama.TypedKey(key(fyne.KeyHome)) },
		"a double click": func(r *rig, at fyne.Position) { r.click(at); r.pass(1); r.click(at) },
	} {
		r := open(t, plotSize, nil)
		whole := r.plot()
		at := r.place(150, 30)
		r.turn(at, 3)
		back(r, at)
		r.pass(10)
		r.none(t, name)
		if r.plot() != whole || r.proposal.by != nobody {
			t.Errorf("%s: %+v, proposed %v", name, r.plot(), r.proposal.by)
		}
	}
}

// Plus and minus magnify about the beam, which stays where it is in the plot, or about the middle.
func TestPlusMagnifiesAboutTheBeam(t *testing.T) {
	r := open(t, plotSize, nil)
	beam := view.Standing(r.now)
	before := r.panorama.at(r.plot(), beam)
	r.panorama.TypedRune('+')
	r.panorama.TypedRune('+')
	if after := r.panorama.at(r.plot(), beam); distance(before, after) > 1.5 || r.magnified() < 2 {
		t.Errorf("the beam goes from %v to %v, magnified %.1f times", before, after, r.magnified())
	}
	r.panorama.TypedRune('-')
	r.panorama.TypedRune('−')
	if r.magnified() != 1 {
		t.Errorf("back at %.2f times", r.magnified())
	}
}

// What lies beside the magnified part is seen nowhere: no mark, no cross-hair, no handle; and the figures of the scales
// stand at their angles.
func TestWhatLiesBesideTheMagnifiedPart(t *testing.T) {
	r := open(t, plotSize, nil)
	r.turn(r.place(300, 70), 8)
	r.pass(1)
	size := r.panorama.Size()
	for i, at := range r.panorama.places {
		if at.X < 0 || at.Y < 0 || at.X > size.Width || at.Y > size.Height {
			t.Errorf("%s is marked at %v", r.panorama.marks[i].Name, at)
		}
	}
	for _, o := range []fyne.CanvasObject{r.panorama.hair.strokes[0], r.panorama.hair.down, r.panorama.hair.right,
		r.panorama.setpoint, r.sliders[0].handle, r.sliders[0].position, r.sliders[1].handle, r.sliders[1].position} {
		if o.Visible() {
			t.Errorf("%T at %v is seen", o, o.Position())
		}
	}
	for axis, scale := range r.scales {
		seen := 0
		for _, text := range scale.texts {
			if !text.Visible() {
				continue
			}
			seen++
			place := fyne.NewPos(text.Position().X+text.Size().Width/2, text.Position().Y+text.Size().Height/2)
			degrees, along, length := r.plot().Az(float64(place.X)).Deg(), place.X, size.Width
			if axis == view.Elevation {
				degrees, along, length = r.plot().El(float64(place.Y)).Deg(), place.Y, size.Height
			}
			inside := along > 35 && along < length-35
			if got := figure(text.ControlWords()); inside && math.Abs(got-degrees) > 0.3 {
				t.Errorf("%q stands at %.2f°", text.ControlWords(), degrees)
			}
		}
		if seen < 2 {
			t.Errorf("axis %d has %d figures", axis, seen)
		}
	}
	r.whole()
	r.pass(1)
	if !r.panorama.hair.strokes[0].Visible() || !r.sliders[0].position.Visible() {
		t.Error("all of the sky is without its beam")
	}
}

// figure is the number at the end of a figure of a scale.
func figure(words string) (v float64) {
	sign := 1.0
	for _, letter := range words {
		switch {
		case letter == '−':
			sign = -1
		case letter >= '0' && letter <= '9':
			v = v*10 + float64(letter-'0')
		}
	}
	return sign * v
}

// The reading says how far the plot is magnified, whether the pointer is over it or not.
func TestTheReadingTellsTheMagnification(t *testing.T) {
	r := open(t, plotSize, nil)
	at := r.place(150, 30)
	r.turn(at, 2)
	r.panorama.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	if got := r.panorama.reading.text.Text; got != "az 150.0°  el 30.0°  click to preview a slew  2.3×" &&
		got != "az 150.0°  el 30.0°  click to preview a slew  2.2×" {
		t.Errorf("over the plot it reads %q", got)
	}
	r.panorama.MouseOut()
	if got := r.panorama.reading.text; !got.Visible() || got.Text != view.SkyMagnified(r.magnified()) {
		t.Errorf("elsewhere it reads %q, seen %v", got.Text, got.Visible())
	}
	r.whole()
	if r.panorama.reading.text.Visible() {
		t.Errorf("of all it reads %q", r.panorama.reading.text.Text)
	}
}

// The hatching beyond the limits is drawn where the limits are, and covers nothing of a part that lies within them.
func TestTheGroundOfAMagnifiedPart(t *testing.T) {
	r := open(t, plotSize, nil)
	well := widget.Current().Well
	hatched := func() (n int) {
		picture := r.panorama.drawGround(int(r.panorama.Size().Width), int(r.panorama.Size().Height))
		for y := range 12 {
			for x := range 12 {
				if color.NRGBAModel.Convert(picture.At(x, y)) != well {
					n++
				}
			}
		}
		return n
	}
	if hatched() == 0 {
		t.Error("the whole is not hatched beyond the limits")
	}
	r.turn(r.place(330, 75), 6)
	if n := hatched(); n > 24 {
		t.Errorf("within the limits %d of 144 pixels are drawn on", n)
	}
}
