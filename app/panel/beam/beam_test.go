package beam

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func spot(cross, el float64) view.Spot { return view.Spot{Cross: deg(cross), El: deg(el)} }

// open returns the pane in a window whose view is 243 by 211 units.
func open(t testing.TB, change func(*desk.Status)) (*Pane, *stage.Desk, *widget.Hand) {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	status := stage.Tracking()
	if change != nil {
		change(&status)
	}
	d := stage.New(status)
	w := test.NewTempWindow(t, nil)
	w.SetPadded(false)
	hand := widget.NewHand(d)
	p := New(widget.Context{Desk: d, Open: widget.NewOpen(w.Canvas(), func() float32 { return 0 }), Hand: hand})
	w.SetContent(p.Object())
	w.Resize(fyne.NewSize(291, 259))
	p.Show(view.At(d.Status(), 10, 0))
	return p, d, hand
}

func TestFrame(t *testing.T) {
	// 200 units are 2 degrees high: 100 units a degree.
	f := newFrame(300, 200, deg(1))
	rows := []struct {
		at   view.Spot
		x, y float64
	}{{spot(0, 0), 150, 100}, {spot(0.5, 0), 200, 100}, {spot(0, 0.5), 150, 50}, {spot(-1.5, -1), 0, 200}}
	for _, row := range rows {
		if p := f.at(row.at); math.Hypot(p.X-row.x, p.Y-row.y) > 1e-9 {
			t.Errorf("%+v lies at %v, want %v, %v", row.at, p, row.x, row.y)
		}
		if back := f.spot(chart.Point{X: row.x, Y: row.y}); back.Minus(row.at).Far() > 1e-12 {
			t.Errorf("%v, %v is %+v, want %+v", row.x, row.y, back, row.at)
		}
	}
	for _, row := range []struct {
		at     view.Spot
		margin float64
		want   bool
	}{{spot(1.4, 0.9), 0, true}, {spot(1.6, 0), 0, false}, {spot(1.6, 0), 11, true}, {spot(0, -1.2), 19, false}} {
		if got := f.holds(row.at, row.margin); got != row.want {
			t.Errorf("%+v with a margin of %v: in the frame %v", row.at, row.margin, got)
		}
	}
}

// An arrow stands on the line from the centre, within the margins.
func TestRim(t *testing.T) {
	f, m := newFrame(300, 200, deg(1)), margins{top: 40, right: 5, bottom: 25, left: 10}
	for bearing := 0.0; bearing < 360; bearing += 7 {
		s := spot(20*unit.AngleFromDeg(bearing).Sin(), 20*unit.AngleFromDeg(bearing).Cos())
		at, ux, uy := f.rim(s, m)
		if at.X < m.left-1e-9 || at.X > 300-m.right+1e-9 || at.Y < m.top-1e-9 || at.Y > 200-m.bottom+1e-9 {
			t.Errorf("bearing %v: at %v, outside the margins", bearing, at)
		}
		touches := min(at.X-m.left, 300-m.right-at.X, at.Y-m.top, 200-m.bottom-at.Y)
		along := math.Hypot(at.X-150, at.Y-100)
		if touches > 1e-6 || math.Hypot(at.X-150-ux*along, at.Y-100-uy*along) > 1e-6 ||
			math.Abs(math.Hypot(ux, uy)-1) > 1e-9 {
			t.Errorf("bearing %v: at %v along %v, %v", bearing, at, ux, uy)
		}
	}
}

func TestTrace(t *testing.T) {
	var tr trace
	at := func(cross float64) view.Beam { return view.Beam{HasSetpoint: true, Position: spot(cross, 0)} }
	if !tr.add(at(0.1)) || tr.add(at(0.1)) || !tr.add(at(0.2)) {
		t.Error("the trace changes when the beam moves, and only then")
	}
	if tr.add(view.Beam{}) || tr.add(view.Beam{HasSetpoint: true, Setpoint: spot(50, 0)}) {
		t.Error("the trace goes on without a want in view")
	}
	tr.add(at(0.3))
	if n := len(tr.spots); n != 4 || !tr.gaps[3] || tr.gaps[2] {
		t.Errorf("%d spots, gaps %v", n, tr.gaps)
	}
	for i := range 2 * traceCount {
		tr.add(at(float64(i)))
	}
	if len(tr.spots) != traceCount || len(tr.gaps) != traceCount ||
		math.Abs(tr.spots[traceCount-1].Cross.Deg()-float64(2*traceCount-1)) > 1e-9 {
		t.Errorf("%d spots are kept, the newest %v", len(tr.spots), tr.spots[len(tr.spots)-1].Cross.Deg())
	}
}

func TestArrows(t *testing.T) {
	p, d, hand := open(t, nil)
	hand.SetBeam(unit.AngleFromDeg(1))
	hand.SetStep(1)
	for i, want := range [4][2]float64{{0, 0.5}, {0, -0.5}, {-0.5, 0}, {0.5, 0}} {
		p.arrows[i].MouseDown(nil)
		p.arrows[i].MouseUp(nil)
		got, ok := stage.Only[desk.Nudge](d.Asked())
		if !ok || math.Abs(got.By.Cross.Deg()-want[0]) > 1e-9 || math.Abs(got.By.El.Deg()-want[1]) > 1e-9 {
			t.Errorf("arrow %d asks for %+v", i, got)
		}
	}
	if tip := p.arrows[0].ToolTip(); tip != "One step of 0.5° on the sky, up (arrows: trim); held down, slow motion" {
		t.Errorf("tip %q", tip)
	}
	status := *d.Status()
	status.Working = true
	d.Set(status)
	p.Show(view.At(d.Status(), 12, 0))
	p.arrows[0].MouseDown(nil)
	p.arrows[0].MouseUp(nil)
	if got := d.Asked(); len(got) != 0 || !p.arrows[0].Disabled() ||
		p.view.moves.text.ControlWords() != "arrows: off" {
		t.Errorf("while working at the dish it asks for %+v", got)
	}
}

func TestDrawnOnlyWhenItMoves(t *testing.T) {
	base := view.BeamOf(now(t, nil))
	f := newFrame(243, 211, base.Reach)
	rows := []struct {
		name   string
		change func(*desk.Status)
		same   bool
	}{
		{"nothing", nil, true},
		{"a tenth of a pixel", func(s *desk.Status) { s.Axes[1].Position += deg(0.0005) }, true},
		{"a pixel", func(s *desk.Status) { s.Axes[1].Position += deg(0.01) }, false},
		{"the target by a pixel", func(s *desk.Status) { s.OffEl += deg(0.01) }, false},
		{"another band", func(s *desk.Status) { s.Band = s.Scene.Bands[0] }, false},
		{"no command", func(s *desk.Status) { s.Axes[0].HasSetpoint = false }, false},
		{"no target", func(s *desk.Status) { s.Target = desk.Target{} }, false},
	}
	for _, row := range rows {
		if got := same(view.BeamOf(now(t, row.change)), base, f.perRad); got != row.same {
			t.Errorf("%s: looks the same %v, want %v", row.name, got, row.same)
		}
	}
}

func now(t *testing.T, change func(*desk.Status)) view.Now {
	t.Helper()
	s := stage.Tracking()
	if change != nil {
		change(&s)
	}
	return view.At(&s, 1, 0)
}

// Words stay within the view, and the arrow to a far target keeps clear of them.
func TestWordsOfAFarTarget(t *testing.T) {
	for bearing := 0.0; bearing < 360; bearing += 30 {
		p, _, _ := open(t, func(s *desk.Status) {
			s.Activity = desk.Holding
			s.Axes[0].Position, s.Axes[1].Position = 0, deg(45)
			s.Axes[0].Setpoint, s.Axes[1].Setpoint = 0, deg(45)
			s.Target.Az, s.Target.El = deg(25*unit.AngleFromDeg(bearing).Sin()),
				deg(45+20*unit.AngleFromDeg(bearing).Cos())
			s.OffCross, s.OffEl = -deg(18*unit.AngleFromDeg(bearing).Sin()), -deg(20*unit.AngleFromDeg(bearing).Cos())
		})
		v := p.view
		if !v.far.text.Visible() {
			t.Errorf("bearing %v: nothing says how far the target is", bearing)
			continue
		}
		for _, w := range []words{v.title, v.moves, v.scale, v.off, v.far} {
			at, size := w.text.Position(), w.text.Size()
			if at.X < 0 || at.Y < 0 || at.X+size.Width > v.Size().Width || at.Y+size.Height > v.Size().Height {
				t.Errorf("bearing %v: %q at %v, %v", bearing, w.text.ControlWords(), at, size)
			}
		}
		far := v.far.text
		for _, w := range []words{v.title, v.moves, v.scale, v.off} {
			a, b := w.text.Position(), far.Position()
			if a.X < b.X+far.Size().Width && b.X < a.X+w.text.Size().Width && a.Y < b.Y+far.Size().Height &&
				b.Y < a.Y+w.text.Size().Height {
				t.Errorf("bearing %v: %q lies on %q", bearing, far.ControlWords(), w.text.ControlWords())
			}
		}
	}
}

// The arrows to a target and to a setpoint out of view lie on no words and not on each other, nor do the words of the
// target lie on anything, wherever both are.
func TestArrowsAndWordsApart(t *testing.T) {
	place := func(bearing int) (az, el unit.Angle) {
		sin, cos := math.Sincos(float64(bearing) * math.Pi / 180)
		return deg(28 * sin), deg(45 + 20*cos)
	}
	p, d, _ := open(t, nil)
	v := p.view
	for _, size := range []fyne.Size{{Width: 291, Height: 259}, {Width: 262, Height: 220}, {Width: 420, Height: 300}} {
		v.Resize(size.SubtractWidthHeight(48, 48))
		for i := range 160 {
			bearing, apart := i/4*9, []int{0, 8, 40, 180}[i%4]
			s := *d.Status()
			s.Axes[0].Position, s.Axes[1].Position = 0, deg(45)
			s.Target.Az, s.Target.El = place(bearing)
			s.Axes[0].Setpoint, s.Axes[1].Setpoint = place(bearing + apart)
			s.OffEl, s.EchoLossDB = deg(20), 99
			p.Show(view.At(&s, 10, 0))
			f := newFrame(float64(v.Size().Width), float64(v.Size().Height), v.beam.Reach)
			all := f.arrows(v.beam, 1)
			if len(all) != 2 || !v.loss.text.Visible() || !v.far.text.Visible() {
				t.Fatalf("%d°, %d° apart: %d arrows", bearing, apart, len(all))
			}
			boxes := map[string]box{"target's arrow": all[0].box(), "setpoint's arrow": all[1].box()}
			for _, w := range []words{v.title, v.moves, v.scale, v.off, v.loss, v.far} {
				boxes[w.text.ControlWords()] = w.box()
			}
			for name, b := range boxes {
				if b.x0 < 0 || b.y0 < 0 || b.x1 > v.Size().Width || b.y1 > v.Size().Height {
					t.Errorf("%v, %d°, %d° apart: %s at %v is out of the view", size, bearing, apart, name, b)
				}
				for other, o := range boxes {
					if name < other && b.meets(o) > 0 {
						t.Errorf("%v, %d°, %d° apart: %s lies on %s", size, bearing, apart, name, other)
					}
				}
			}
		}
	}
}

// reachNow is how far the widest view reaches up and down.
func reachNow(s *desk.Status) unit.Angle {
	now := view.At(s, 1, 0)
	return view.BeamZoomed(now, minZoom).Reach
}

// In the widest view no words lie on a target, wherever it stands, and all of them stay in the view.
func TestWordsStepAsideForAFarTarget(t *testing.T) {
	for bearing := 0.0; bearing < 360; bearing += 4 {
		p, _, _ := open(t, func(s *desk.Status) {
			s.Activity = desk.Holding
			s.Axes[0].Position, s.Axes[1].Position = 0, deg(0)
			s.Axes[0].Setpoint, s.Axes[1].Setpoint = 0, deg(0)
			sin, cos := math.Sincos(bearing * math.Pi / 180)
			reach := 0.92 * reachNow(s).Deg()
			s.Target.Az, s.Target.El = deg(reach*sin*1.1), deg(reach*cos)
			s.OffCross, s.OffEl = -s.Target.Az, -s.Target.El
		})
		v := p.view
		v.magnify(minZoom)
		target, _ := v.beam.Target()
		f := newFrame(float64(v.Size().Width), float64(v.Size().Height), v.beam.Reach)
		mark := f.at(target.At)
		if !f.holds(target.At, 0) || f.holds(target.At, -60) {
			t.Fatalf("bearing %v: the target is at %v of %v", bearing, mark, v.Size())
		}
		for _, w := range []words{v.title, v.moves, v.scale, v.off, v.loss} {
			at, size := w.text.Position(), w.text.Size()
			if !w.text.Visible() {
				continue
			}
			if at.X < 0 || at.Y < 0 || at.X+size.Width > v.Size().Width || at.Y+size.Height > v.Size().Height {
				t.Errorf("bearing %v: %q at %v, %v", bearing, w.text.ControlWords(), at, size)
			}
			x, y := float32(mark.X)-at.X, float32(mark.Y)-at.Y
			if x > -5 && y > -5 && x < size.Width+5 && y < size.Height+5 {
				t.Errorf("bearing %v: %q lies on the target", bearing, w.text.ControlWords())
			}
		}
	}
}

func TestPictures(t *testing.T) {
	test.NewTempApp(t)
	var tr trace
	for i := range traceCount {
		a := float64(i) / 20
		tr.add(view.Beam{HasSetpoint: true, Position: spot(0.1*math.Sin(a), 0.15*math.Cos(a/2))})
	}
	rows := map[string]func(*desk.Status){
		"tracking": nil,
		"slewing": func(s *desk.Status) {
			s.Axes[0].Position, s.Axes[0].Setpoint, s.Axes[1].Setpoint = deg(150), deg(220), deg(60)
			s.OffCross, s.OffEl = deg(25), deg(5)
		},
	}
	var l layers // one for all, as in the window: nothing of the picture before is left
	l.draw(243, 211, 1, view.Beam{Reach: deg(1)}, &trace{}, true)
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		for name, change := range rows {
			test.AssertImageMatches(t, name+"-"+palette.Name+".png",
				l.draw(243, 211, 1, view.BeamOf(now(t, change)), &tr, true))
		}
	}
}

func BenchmarkPicture(b *testing.B) {
	p, _, _ := open(b, nil)
	for b.Loop() {
		p.view.layers.draw(278, 211, 1, p.view.beam, &p.view.trace, true)
	}
}

func BenchmarkTickWhileTracking(b *testing.B) {
	p, d, _ := open(b, nil)
	tick := uint64(10)
	for b.Loop() {
		tick++
		p.Show(view.At(d.Status(), tick, 0))
	}
}

// The wheel magnifies within bounds, the words of the scale follow, and a double click brings the view back.
func TestWheelMagnifies(t *testing.T) {
	v := newBeamView(widget.Context{})
	v.Resize(fyne.NewSize(240, 200))
	v.show(now(t, nil))
	first, words := v.beam.Reach, v.scale.text.ControlWords()
	wheel := func(by float32) { v.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.Delta{DY: by}}) }
	wheel(10)
	if in := first.Rad() / v.beam.Reach.Rad(); math.Abs(in-zoomStep) > 1e-9 || v.scale.text.ControlWords() == words {
		t.Errorf("one notch magnifies %.3f times, %q", in, v.scale.text.ControlWords())
	}
	wheel(-10)
	wheel(-10)
	if v.beam.Reach <= first {
		t.Error("the wheel doesn't go back")
	}
	for range 50 {
		wheel(10)
	}
	if in := first.Rad() / v.beam.Reach.Rad(); math.Abs(in-maxZoom) > 1e-9 {
		t.Errorf("it magnifies %.1f times at most", in)
	}
	v.DoubleTapped(nil)
	if v.beam.Reach != first || v.scale.text.ControlWords() != words {
		t.Errorf("a double click leaves %v", v.beam.Reach.Deg())
	}
	for range 50 {
		wheel(-10)
	}
	if in := first.Rad() / v.beam.Reach.Rad(); math.Abs(in-minZoom) > 1e-9 {
		t.Errorf("it magnifies %.2f times at least", in)
	}
}

// What is replayed is drawn apart: the beam's own trace has nothing of it, and goes on after it with a gap. A replay
// that goes back begins its trace again, and of the band nothing is known: no half-power circle.
func TestReplayHasATraceOfItsOwn(t *testing.T) {
	p, _, _ := open(t, nil)
	live := now(t, nil)
	show := func(replay string, after time.Duration) {
		status := *live.Status
		status.At = status.At.Add(after)
		status.Axes[0].Position += deg(0.01 * math.Mod(after.Seconds(), 60))
		n := view.At(&status, 10, 0)
		if n.Replay = replay; replay != "" {
			n.Live = false
		}
		p.view.show(n)
	}
	show("", 0)
	show("", time.Second)
	own := len(p.view.trace.spots)
	for i := range 5 {
		show("Replay", time.Duration(i)*time.Second-time.Hour)
	}
	if len(p.view.trace.spots) != own || len(p.view.newest().spots) != 5 || p.view.newest() == &p.view.trace {
		t.Fatalf("%d of its own, %d replayed; want %d and 5", len(p.view.trace.spots), len(p.view.newest().spots), own)
	}
	if p.view.beam.HalfPower != 0 || !p.view.live {
		t.Errorf("half-power width %v, believed %v", p.view.beam.HalfPower, p.view.live)
	}
	show("Replay", -2*time.Hour)
	if n := len(p.view.newest().spots); n != 1 {
		t.Errorf("gone back, %d spots are joined", n)
	}
	show("", 2*time.Second)
	last := len(p.view.trace.spots) - 1
	if p.view.newest() != &p.view.trace || last != own || !p.view.trace.gaps[last] {
		t.Errorf("after the replay %d spots, want %d with a gap", last+1, own+1)
	}
}
