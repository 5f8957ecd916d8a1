package panel

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/desk/permit"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// open returns a window of the invented evening, changed, of a size.
func open(t *testing.T, size fyne.Size, change func(*desk.Status)) (*Window, *stage.Desk) {
	t.Helper()
	app := test.NewTempApp(t)
	status := stage.Tracking()
	if change != nil {
		change(&status)
	}
	d := stage.New(status)
	w := New(app, d, Config{Faults: &fakeFaults{}})
	t.Cleanup(w.window.Close)
	w.window.Resize(size)
	w.show(view.At(d.Status(), 10, 0))
	return w, d
}

// bring shows the invented evening, changed.
func bring(w *Window, d *stage.Desk, change func(*desk.Status)) {
	status := stage.Tracking()
	if change != nil {
		change(&status)
	}
	d.Set(status)
	w.show(view.At(d.Status(), 10, 0))
}

// least is the least size that the window must fit in whole.
var minimum = fyne.NewSize(1340, 660)

// focusable returns every visible control that takes the keyboard, by name.
func focusable(t *testing.T, w *Window) map[string]fyne.Focusable {
	t.Helper()
	found := map[string]fyne.Focusable{}
	widget.Walk(w.parts, func(object fyne.CanvasObject) {
		control, ok := object.(fyne.Focusable)
		if !ok {
			return
		}
		named, ok := object.(widget.Named)
		if !ok || named.ControlName() == "" {
			t.Errorf("%T takes the keyboard and has no name", object)
			return
		}
		if found[named.ControlName()] != nil {
			t.Errorf("two controls are named %s", named.ControlName())
		}
		found[named.ControlName()] = control
	})
	return found
}

func TestEscapeStopsFromEveryControl(t *testing.T) {
	openers := []string{"", "source-select", "stow", "view-menu-button", "place-button", "reference-button",
		"worst-alarm"}
	for _, opener := range openers {
		t.Run(opener, func(t *testing.T) {
			w, d := open(t, minimum, nil)
			names := []string{}
			if opener != "" && !w.Press(opener) {
				t.Fatal("it can't be pressed")
			}
			for name := range focusable(t, w) {
				names = append(names, name)
			}
			if len(names) < 10 {
				t.Fatalf("only %v take the keyboard", names)
			}
			for _, name := range names {
				w.with.Open.Close()
				if opener != "" {
					w.Press(opener)
				}
				control := focusable(t, w)[name]
				w.window.Canvas().Focus(control)
				d.Asked()
				control.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
				if got := d.Asked(); !slices.Equal(got, []desk.Order{desk.Stop{}}) {
					t.Errorf("Esc on %s asks for %v, want a stop", name, got)
				}
				if w.with.Open.Covers() {
					t.Errorf("Esc on %s leaves something open", name)
				}
			}
		})
	}
}

func TestEscapeStopsWithoutFocus(t *testing.T) {
	w, d := open(t, minimum, nil)
	w.window.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	w.window.Canvas().(test.WindowlessCanvas).(fyne.Shortcutable).TypedShortcut(
		&desktop.CustomShortcut{KeyName: fyne.KeyPeriod, Modifier: fyne.KeyModifierControl})
	if got := d.Asked(); !slices.Equal(got, []desk.Order{desk.Stop{}, desk.Stop{}}) {
		t.Errorf("Esc and Ctrl+. ask for %v", got)
	}
}

func TestEveryControlHasATip(t *testing.T) {
	w, _ := open(t, minimum, nil)
	for name, control := range focusable(t, w) {
		tip, ok := control.(interface{ ToolTip() string })
		if !ok || tip.ToolTip() == "" {
			t.Errorf("%s has no tip", name)
		}
	}
}

func TestStopControl(t *testing.T) {
	w, d := open(t, minimum, nil)
	w.foot.stop.MouseDown(&desktop.MouseEvent{})
	if got := d.Asked(); !slices.Equal(got, []desk.Order{desk.Stop{}}) {
		t.Errorf("pressing STOP asks for %v", got)
	}
	rows := []struct {
		name   string
		change func(*desk.Status)
		filled bool
		words  string
	}{
		{"tracking", nil, true, ""},
		{"at rest", func(s *desk.Status) { s.Power, s.Moving, s.Activity = desk.PowerOff, false, desk.Idle }, false,
			""},
		{"asked", func(s *desk.Status) { s.Stop = desk.StopAsked }, true, "stop requested"},
		{"confirmed", func(s *desk.Status) { s.Stop = desk.StopStanding }, true, "stopped, confirmed"},
	}
	for _, row := range rows {
		bring(w, d, row.change)
		controls := w.Layout().Control
		if controls["stop"].On != row.filled || controls["stop-state"].Words != row.words {
			t.Errorf("%s: filled %v, %q", row.name, controls["stop"].On, controls["stop-state"].Words)
		}
	}
}

// The stop control is never covered, nor a click on it caught, whatever is open.
func TestNothingCoversStop(t *testing.T) {
	w, _ := open(t, minimum, nil)
	for _, opener := range []string{"source-select", "stow", "place-button", "reference-button", "worst-alarm",
		"view-menu-button", "practice"} {
		w.with.Open.Close()
		w.Press(opener)
		stop := w.Layout().Control["stop"]
		at := fyne.NewPos(float32(stop.X+stop.W/2), float32(stop.Y+stop.H/2))
		clipped := map[fyne.CanvasObject]bool{} // by a part that scrolls
		widget.Walk(w.with.Open.Object(), func(object fyne.CanvasObject) {
			if scroll, is := object.(*container.Scroll); is {
				widget.Walk(scroll.Content, func(inside fyne.CanvasObject) { clipped[inside] = true })
			}
			if object == w.with.Open.Object() || clipped[object] {
				return
			}
			from := fyne.CurrentApp().Driver().AbsolutePositionForObject(object)
			if bottom := from.Y + object.Size().Height; bottom > at.Y-float32(stop.H/2) {
				t.Errorf("%s: %T reaches down to %v, over STOP at %v", opener, object, bottom, at.Y)
			}
		})
		if w.window.Canvas().Overlays().Top() != nil {
			t.Errorf("%s: an overlay takes the clicks", opener)
		}
	}
}

// fullStates are the invented evening, and what needs most of the room.
func fullStates() []func(*desk.Status) {
	return []func(*desk.Status){
		nil,
		func(s *desk.Status) {
			s.Activity, s.Target.Up, s.Target.Rise = desk.Waiting, false, s.At.Add(1201*time.Minute)
			s.Transmit = desk.Transmit{Sequencer: desk.GoingToTransmit,
				Inhibits: []permit.Inhibit{{Code: permit.OffTarget, Value: 12.3, Limit: 0.31},
					{Code: permit.LowElevation, Value: 3, Limit: 5}}}
			s.Target.Dubious = message.Text("outside the ephemeris: good to 0.005°")
			s.Readings[19].Words = message.Text("going to transmit")
			s.Practice, s.TimeScale = true, 60
		},
		func(s *desk.Status) {
			s.Activity, s.Lock = desk.LockedOut, desk.Lock{Locked: true,
				Cause: message.Text("azimuth driven but not moving"),
				Next:  message.Text("Look at the dish.")}
			s.Axes[0].Trusted, s.Axes[1].Trusted = false, false
			s.Stop = desk.StopStanding
		},
	}
}

func TestFitsWhole(t *testing.T) {
	sizes := []fyne.Size{minimum, {Width: 1366, Height: 720}, {Width: 1440, Height: 900}, {Width: 1920, Height: 1080}}
	states := fullStates()
	w, d := open(t, minimum, nil)
	for n := range len(sizes) * len(states) {
		size := sizes[n%len(sizes)]
		w.window.Resize(size)
		bring(w, d, states[n/len(sizes)])
		if needs := w.window.Content().MinSize(); needs.Width > minimum.Width || needs.Height > minimum.Height {
			t.Errorf("the window needs %v, more than %v", needs, minimum)
		}
		walked := map[fyne.CanvasObject]bool{}
		widget.Walk(w.parts, func(object fyne.CanvasObject) { walked[object] = true })
		walkDrawn(w.parts, func(object fyne.CanvasObject, at fyne.Position, _ box) {
			named, ok := object.(widget.Named)
			if !ok || !walked[object] {
				return
			}
			if at.Y < -100 { // put out of the picture
				return
			}
			if end := at.AddXY(object.Size().Width, object.Size().Height); at.X < 0 || at.Y < 0 ||
				end.X > size.Width+0.5 || end.Y > size.Height+0.5 {
				t.Errorf("%v: %q reaches from %v to %v", size, named.ControlName(), at, end)
			}
			if text, ok := object.(interface{ Cut() bool }); ok && text.Cut() && size != minimum {
				t.Errorf("%v: the words of %q are cut: %q", size, named.ControlName(),
					object.(interface{ ControlWords() string }).ControlWords())
			}
		})
	}
}

func TestFiguresDoNotJump(t *testing.T) {
	w, d := open(t, minimum, nil)
	before := w.Layout().Control
	status := stage.Tracking()
	status.Target.Dubious = message.Text("leap seconds are not known this far ahead")
	az := &status.Axes[0]
	az.Position, az.Setpoint, az.Estimated = 0.1, 0.2, false
	status.At = status.At.Add(time.Hour)
	d.Set(status)
	w.show(view.At(d.Status(), 20, 0))
	after := w.Layout().Control
	for _, name := range []string{"azimuth-position", "elevation-position", "azimuth-setpoint", "clock", "activity",
		"trim-cross", "track", "stop"} {
		if b, a := before[name], after[name]; b.X != a.X || b.Y != a.Y || b.W != a.W {
			t.Errorf("%s moved from %+v to %+v", name, b, a)
		}
	}
}

func TestOrdersOfControls(t *testing.T) {
	sunTrim := desk.TrimTo{}
	sunTrim.Trim.El = 0.01
	rows := []struct {
		name   string
		change func(*desk.Status)
		press  []string
		want   desk.Order
	}{
		{"moon", nil, []string{"moon"}, desk.Choose{Body: desk.BodyChoice{Kind: desk.Moon}}},
		{"sun", nil, []string{"sun"}, desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun}}},
		{"a source", nil, []string{"source-select", "source-Cas A"},
			desk.Choose{Body: desk.BodyChoice{Kind: desk.Source, Name: "Cas A"}}},
		{"end tracking", nil, []string{"track"}, desk.Track{}},
		{"track", func(s *desk.Status) { s.Activity = desk.Holding }, []string{"track"},
			desk.Track{On: true}},
		{"hold", nil, []string{"hold"}, desk.Hold{}},
		{"band", nil, []string{"band-1296 MHz"}, desk.BandTo{}},
		{"zero trim", nil, []string{"trim-zero"}, desk.TrimTo{}},
		{"the Sun's trim", func(s *desk.Status) { s.Trim.HasSun, s.Trim.OfSun.El = true, 0.01 },
			[]string{"trim-of-sun"}, sunTrim},
		{"trim before", nil, []string{"previous-trim"}, desk.TrimBack{}},
		{"power off", nil, []string{"power"}, desk.Power{}},
		{"power on", func(s *desk.Status) { s.Power = desk.PowerOff }, []string{"power"},
			desk.Power{On: true}},
		{"park", nil, []string{"park"}, desk.Park{}},
		{"wind stow", nil, []string{"stow", "wind-stow"}, desk.WindStow{}},
		{"snow stow", nil, []string{"stow", "snow-stow"}, desk.SnowStow{}},
		{"working", nil, []string{"working"}, desk.Working{On: true}},
		{"withdraw the permit", nil, []string{"permit"}, desk.Permit{}},
		{"beam on target", nil, []string{"reference-button", "reference-beam", "position-set"},
			desk.BeamOnTarget{}},
		{"confirm the offer", func(s *desk.Status) {
			s.Axes[0].Trusted, s.Axes[0].HasOffer, s.Axes[0].Offered, s.Axes[0].Moving = false, true, 2, false
		},
			[]string{"reference-button", "reference-az-confirm", "position-set"},
			desk.ReferenceTo{Angle: 2}},
		{"release", func(s *desk.Status) {
			s.Lock = desk.Lock{Locked: true, Cause: message.Text("link lost"), Releasable: true}
		},
			[]string{"release"}, desk.Release{}},
		{"cancel a start", func(s *desk.Status) { s.Starting, s.StartingIn = message.Text("Slewing"), time.Second },
			[]string{"cancel-start"}, desk.CancelWarning{}},
		{"all seen", nil, []string{"worst-alarm", "alarms-acknowledge"}, desk.Acknowledge{Alarm: -1}},
	}
	w, d := open(t, minimum, nil)
	for _, row := range rows {
		w.with.Open.Close()
		bring(w, d, row.change)
		d.Asked()
		for _, name := range row.press {
			if !w.Press(name) {
				t.Errorf("%s: %s can't be pressed", row.name, name)
			}
		}
		if got := d.Asked(); len(got) != 1 || got[0] != row.want {
			t.Errorf("%s: asks for %+v, want %+v", row.name, got, row.want)
		}
	}
}

// What isn't in the settings file is opened from Set-up: the partners' list is
// whole there even where the pane that shows it was never looked at.
func TestSetBesideTheSettings(t *testing.T) {
	w, _ := open(t, minimum, func(s *desk.Status) {
		s.Radio = &desk.Radio{Partners: []desk.Partner{{Name: "Quarry Ridge", Locator: "FN42hn",
			Polarisation: "circular"}}}
	})
	wanted := map[string]string{"setup-partners": "partner-remove-quarry-ridge", "setup-colours": "palette-dim",
		"setup-scale": "scale-100"}
	for _, b := range w.besides() {
		b.Open(w.right.view)
		found := false
		for _, placed := range widget.Inventory(w.with.Open.Object()) {
			found = found || placed.Name == wanted[b.Name]
		}
		if !found || b.Why == "" {
			t.Errorf("%s opens nothing with %q", b.Words, wanted[b.Name])
		}
		w.with.Open.Close()
	}
}

func TestPlaceIsEntered(t *testing.T) {
	rows := []struct {
		name    string
		entries map[string]string
		want    desk.BodyChoice
		wrong   string
	}{
		{"a place", map[string]string{"place-az-entry": "116.5", "place-el-entry": "40"},
			desk.BodyChoice{Kind: desk.Fixed, Az: degrees(116.5), El: degrees(40)}, ""},
		{"among the stars", map[string]string{"place-ra-entry": "05 34 31.9", "place-dec-entry": "+22 00 52"},
			desk.BodyChoice{Kind: desk.Radec, RA: degrees((5 + 34/60. + 31.9/3600) * 15), Dec: degrees(22 + 52/3600.)},
			""},
		{"too high", map[string]string{"place-az-entry": "1", "place-el-entry": "91"}, desk.BodyChoice{},
			"Elevation: "},
		{"nothing", nil, desk.BodyChoice{}, "Azimuth: "},
	}
	for _, row := range rows {
		w, d := open(t, minimum, nil)
		w.Press("place-button")
		controls := focusable(t, w)
		for name, text := range row.entries {
			test.Type(controls[name], text)
		}
		d.Asked()
		w.Press("place-go")
		asked := d.Asked()
		if row.wrong != "" {
			words := w.Layout().Control["place-wrong"].Words
			if len(asked) != 0 || !strings.HasPrefix(words, row.wrong) {
				t.Errorf("%s: asks for %v, says %q", row.name, asked, words)
			}
			continue
		}
		if o, ok := stage.Only[desk.Choose](asked); !ok || !near(o.Body, row.want) || w.with.Open.Covers() {
			t.Errorf("%s: asks for %+v, want %+v", row.name, asked, row.want)
		}
	}
}

func TestAnglesAreSet(t *testing.T) {
	w, d := open(t, minimum, func(s *desk.Status) { s.Axes[0].Moving = false })
	w.Press("reference-button")
	controls := focusable(t, w)
	test.Type(controls["reference-az-entry"], "-20")
	test.Type(controls["reference-el-entry"], "95")
	d.Asked()
	w.Press("reference-confirm")
	if got := d.Asked(); len(got) != 0 {
		t.Errorf("with a wrong elevation it asks for %v", got)
	}
	controls["reference-el-entry"].(*widget.Entry).SetText("")
	w.Press("reference-confirm")
	if got := d.Asked(); len(got) != 0 {
		t.Errorf("before it is confirmed it asks for %v", got)
	}
	w.Press("position-set")
	if got, ok := stage.Only[desk.ReferenceTo](d.Asked()); !ok || got.Axis != 0 || !nearly(got.Angle.Deg(), -20) {
		t.Errorf("asks for %+v, want azimuth −20", got)
	}
}

// Where the inventory finds each control, in every pane, is where Fyne paints it.
func TestInventoryKnowsPositions(t *testing.T) {
	w, d := open(t, minimum, nil)
	for i, pane := range w.right.panes {
		w.right.choose(i)
		bring(w, d, nil)
		at := map[fyne.CanvasObject]fyne.Position{}
		walkDrawn(w.parts, func(object fyne.CanvasObject, place fyne.Position, _ box) { at[object] = place })
		checked := 0
		for _, placed := range widget.Inventory(w.parts) {
			want, drawn := at[placed.Object]
			if !drawn {
				t.Errorf("%s: %s isn't drawn", pane.Title(), placed.Name)
			}
			if spot, ok := placed.Object.(interface {
				ControlSpot() (fyne.Position, fyne.Size)
			}); ok {
				inner, _ := spot.ControlSpot()
				want = want.Add(inner)
			}
			if placed.At != want {
				t.Errorf("%s: %s is at %v, found at %v", pane.Title(), placed.Name, want, placed.At)
			}
			checked++
		}
		if checked < 60 {
			t.Errorf("%s: only %d controls", pane.Title(), checked)
		}
	}
}
