package setup

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/audio"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/settings"
	"beamhelm/app/view"
)

// shelf keeps what is saved.
type shelf struct {
	saved     []settings.Settings
	restarted int
	err       error
	// flash is what becomes of a board; boards were asked for.
	flash  func(ctx offwindow.Context, told func(string, int)) (string, error)
	boards []Board
	// chosen is the audio input that was asked for, heard how it is, inputs those that there are.
	chosen string
	heard  audio.InputStatus
	inputs []audio.Device
	// toned is the output on which the test tone was played.
	toned string
}

func (s *shelf) Settings() settings.Settings { return settings.Practice() }
func (s *shelf) Where() (string, bool)       { return "/home/x/settings.toml", true }
func (s *shelf) Save(_ offwindow.Context, to settings.Settings) error {
	if s.err == nil {
		s.saved = append(s.saved, to)
	}
	return s.err
}
func (s *shelf) Audio() Audio                                          { return s }
func (s *shelf) Choose(wanted string)                                  { s.chosen = wanted }
func (s *shelf) Listen()                                               {}
func (s *shelf) Status() audio.InputStatus                             { return s.heard }
func (s *shelf) Inputs(context.Context) ([]audio.Device, error)        { return s.inputs, nil }
func (s *shelf) Outputs(context.Context) ([]audio.Device, error)       { return s.inputs, nil }
func (s *shelf) TestTone(_ context.Context, wanted string) error       { s.toned = wanted; return s.err }
func (s *shelf) Restart()                                              { s.restarted++ }
func (s *shelf) Ports(offwindow.Context) []Port                        { return nil }
func (s *shelf) SunYear(offwindow.Context, settings.Settings) []string { return []string{"never"} }
func (s *shelf) Firmware(ctx offwindow.Context, b Board, told func(string, int)) (string, error) {
	s.boards = append(s.boards, b)
	return s.flash(ctx, told)
}
func (s *shelf) Look(_ offwindow.Context, l settings.Link) LookResult {
	if l.Port == "nowhere" {
		return LookResult{Trouble: "opening serial port nowhere: there is none"}
	}
	return LookResult{Lines: []string{"register map 1"}, Words: []uint16{1, 0x7FFF}, Known: []bool{true, false}}
}

func pane(t *testing.T) (*Pane, *shelf) {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	w := test.NewTempWindow(t, widget.NewLabel(""))
	open := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	s := &shelf{}
	p := New(widget.Context{Open: open}, s)
	w.SetContent(container.NewStack(p.Object(), open.Object()))
	w.Resize(fyne.NewSize(1300, 760))
	status := stage.Tracking()
	status.Moving = false
	status.Activity = 1
	p.Show(view.At(&status, 1, 0))
	return p, s
}

// What is rejected never turns into another value: it stays as it was typed, marked, or goes back to what was there.
func TestRejectedEntriesStayOrGoBack(t *testing.T) {
	p, _ := pane(t)
	keys := map[string]string{"station.latitude_deg": "91", "station.longitude_deg": "1e9",
		"station.name": strings.Repeat("x", 90)}
	old := map[string]string{}
	for key, words := range keys {
		e := p.field(t, key).entry
		old[key] = e.Text
		e.SetText("")
		e.FocusGained()
		for _, r := range words {
			e.TypedRune(r)
		}
		e.FocusLost()
	}
	visit := func() {
		p.chapter = 1
		p.build()
		p.chapter = 0
		p.build()
	}
	visit()
	for key, words := range keys {
		if f := p.field(t, key); f.entry.Text != words || !strings.HasPrefix(f.shown, "▲") || !p.write.Disabled() {
			t.Errorf("%s: %q, %q, want %q marked", key, f.entry.Text, f.shown, words)
		}
	}
	p.undo.Tapped(nil)
	visit()
	for key := range keys {
		if f := p.field(t, key); f.entry.Text != old[key] || !p.write.Disabled() {
			t.Errorf("%s: %q after Undo, was %q", key, f.entry.Text, old[key])
		}
	}
}

// Yes and no are chosen as on and off.
func TestSwitchesAreOnOrOff(t *testing.T) {
	p, _ := pane(t)
	p.chapter = 9
	p.build()
	f := p.field(t, "wind.stow")
	if got := f.choice.ControlWords(); got != "on" {
		t.Errorf("%q", got)
	}
	if words := f.words; strings.Contains(words, "true") || !strings.Contains(words, "default on") {
		t.Errorf("%q", words)
	}
}

// Beam and gain follow what is typed for the dish.
func TestBeamsFollowTheDraft(t *testing.T) {
	p, _ := pane(t)
	p.chapter = 1
	p.build()
	before := p.beam[0].ControlWords()
	p.field(t, "dish.diameter_m").entry.SetText("2.8")
	// half the diameter: 6 dB less than 35.0
	if after := p.beam[0].ControlWords(); after == before || !strings.Contains(after, "gain about 29.0 dBi") {
		t.Errorf("%q, before %q", after, before)
	}
}

// The horizon is recorded by driving along: a point where the dish looks, a second one at the same place takes its
// place.
func TestHorizonByDrivingAlong(t *testing.T) {
	p, _ := pane(t)
	before := len(p.draft.Settings().Horizon.Points)
	p.takeHere()
	points := p.draft.Settings().Horizon.Points
	if len(points) < before || p.told.ControlWords() == "" {
		t.Fatalf("%d points, before %d; %q", len(points), before, p.told.ControlWords())
	}
	p.takeHere()
	if again := p.draft.Settings().Horizon.Points; len(again) != len(points) {
		t.Errorf("%d points, want %d", len(again), len(points))
	}
	status := *p.now.Status
	status.Axes[0].Trusted = false
	p.Show(view.At(&status, 1, 0))
	p.takeHere()
	if again := p.draft.Settings().Horizon.Points; len(again) != len(points) ||
		!strings.Contains(p.told.ControlWords(), "referenced") {
		t.Errorf("taken without a reference: %q", p.told.ControlWords())
	}
}

// A look at the line shows who answers and the registers, or the trouble; nothing is saved for it.
func TestLookAtTheLine(t *testing.T) {
	p, s := pane(t)
	p.showLookResult(settings.Link{Port: "here"}, s.Look(offwindow.Context{}, settings.Link{}))
	if !p.with.Open.Close() {
		t.Error("no sheet")
	}
	p.showLookResult(settings.Link{Port: "nowhere"}, s.Look(offwindow.Context{}, settings.Link{Port: "nowhere"}))
	if !p.with.Open.Close() || len(s.saved) > 0 {
		t.Error("no sheet of the trouble, or something was saved")
	}
}

func (p *Pane) field(t *testing.T, key string) *field {
	t.Helper()
	for _, f := range p.fields {
		if f.key == key {
			return f
		}
	}
	t.Fatalf("no field %s in %s", key, chapters()[p.chapter].words)
	return nil
}

// Every key but the version is in one chapter, with what it is for.
func TestEveryKeyHasItsPlace(t *testing.T) {
	p, _ := pane(t)
	for _, e := range p.draft.Entries() {
		places := 0
		for _, c := range chapters() {
			if _, in := c.has(e.Key); in {
				places++
			}
		}
		if places != 1 || e.Field.Why == "" || e.Field.Name == "" {
			t.Errorf("%s is in %d chapters: %q, %q", e.Key, places, e.Field.Name, e.Field.Why)
		}
	}
	for i := range chapters() {
		p.chapter = i
		p.build()
		if len(p.fields) == 0 && chapters()[i].sections[0] != beside {
			t.Errorf("%s is empty", chapters()[i].words)
		}
		if width := p.Object().MinSize().Width; width > 392 { // as wide as Health: what fits at 1366 pixels
			t.Errorf("%s is %v wide", chapters()[i].words, width)
		}
	}
}

// What is set elsewhere opens at the button that asks for it.
func TestBesideOpensAtItsButton(t *testing.T) {
	p, _ := pane(t)
	var at fyne.CanvasObject
	p.Offer(Beside{Words: "Elsewhere…", Name: "setup-elsewhere", Why: "something",
		Open: func(button fyne.CanvasObject) { at = button }})
	p.chapter = len(chapters()) - 1
	p.build()
	for _, placed := range widget.Inventory(p.Object()) {
		if placed.Name == "setup-elsewhere" {
			placed.Object.(fyne.Tappable).Tapped(nil)
			if at != placed.Object {
				t.Errorf("it opens at %T", at)
			}
			return
		}
	}
	t.Error("there is no button")
}

// What is usual is told as it is typed: a text without the quotes of the file.
func TestUsualIsToldAsItIsTyped(t *testing.T) {
	p, _ := pane(t)
	f := p.field(t, "clock.time_source")
	if f.entry.PlaceHolder != "" || !strings.HasSuffix(f.words, "; default empty") {
		t.Errorf("hint %q, words %q", f.entry.PlaceHolder, f.words)
	}
	for p.chapter = range chapters() {
		p.build()
		for _, f := range p.fields {
			if lines := widget.Wrap(f.words, aboutLetters); len(lines) > aboutLines {
				t.Errorf("%s: %d lines, more than there is room for: %q", f.key, len(lines), f.words)
			}
			if f.entry != nil && strings.Contains(f.entry.PlaceHolder, `"`) && f.entry.PlaceHolder[0] != '[' {
				t.Errorf("%s: hint %s", f.key, f.entry.PlaceHolder)
			}
		}
	}
}

func TestWrongInputIsMarkedAndCannotBeSaved(t *testing.T) {
	p, s := pane(t)
	f := p.field(t, "station.latitude_deg")
	f.entry.SetText("95")
	if got := f.about[0].ControlWords(); !strings.HasPrefix(got, "▲ 95 is out of range") || !p.write.Disabled() {
		t.Errorf("%q, could be saved: %v", got, !p.write.Disabled())
	}
	f.entry.SetText("51.5")
	if got := f.about[0].ControlWords(); strings.HasPrefix(got, "▲") || p.write.Disabled() {
		t.Errorf("%q, can be saved: %v", got, !p.write.Disabled())
	}
	p.undo.Tapped(nil)
	if got := p.field(t, "station.latitude_deg").entry.Text; got != "55.02" || !p.write.Disabled() {
		t.Errorf("undone: %q", got)
	}
	if len(s.saved) > 0 {
		t.Error("saved without being asked")
	}
}

// A port that is chosen goes to the key of the button: the one that keys is not the enclosure's.
func TestPortsFoundGoToTheirKeys(t *testing.T) {
	for _, key := range []string{"link.port", "radio.port", "keying.port"} {
		p, _ := pane(t)
		p.offerPorts(key, []Port{{Path: "/dev/ttyUSB7"}})
		for _, one := range widget.Inventory(p.with.Open.Object()) {
			if one.Name == "setup-port-"+view.Name("/dev/ttyUSB7") {
				one.Object.(fyne.Tappable).Tapped(nil)
			}
		}
		got := p.draft.Settings()
		for name, port := range map[string]string{"link.port": got.Link.Port, "radio.port": got.Radio.Port,
			"keying.port": got.Keying.Port} {
			if (port == "/dev/ttyUSB7") != (name == key) {
				t.Errorf("chosen for %s: %s is %q", key, name, port)
			}
		}
	}
}

func TestSaveShowsWhatChangesAndRestartsOnlyAtRest(t *testing.T) {
	p, s := pane(t)
	p.field(t, "station.height_m").entry.SetText("250")
	p.openSave()
	if !p.with.Open.Covers() {
		t.Fatal("no sheet")
	}
	press := func(name string) {
		t.Helper()
		for _, one := range widget.Inventory(p.with.Open.Object()) {
			if one.Name == name {
				one.Object.(fyne.Tappable).Tapped(nil)
				return
			}
		}
		t.Fatalf("no %s", name)
	}
	p.now.Status.Moving = true
	press("setup-save-now")
	if len(s.saved) > 0 || s.restarted > 0 {
		t.Error("saved while the dish moves")
	}
	p.now.Status.Moving = false
	s.err = errors.New("the disk is full")
	waiting(t, func() { press("setup-save-now") })
	if s.restarted > 0 || !p.with.Open.Covers() {
		t.Error("restarted without having saved")
	}
	s.err = nil
	waiting(t, func() { press("setup-save-now") })
	if len(s.saved) != 1 || s.saved[0].Station.HeightM != 250 || s.restarted != 1 {
		t.Errorf("%d saved, %d restarts", len(s.saved), s.restarted)
	}
}

// waiting does something and waits for what it has done beside the window's goroutine.
func waiting(t *testing.T, do func()) {
	t.Helper()
	synctest.Test(t, func(*testing.T) {
		do()
		synctest.Wait()
	})
}

func TestMembersComeAndGo(t *testing.T) {
	p, _ := pane(t)
	p.chapter = 2
	p.build()
	n := len(p.fields)
	p.say(p.draft.Add("bands"))
	p.build()
	if len(p.fields) <= n || p.field(t, "bands[2].mhz") == nil {
		t.Errorf("%d fields, were %d", len(p.fields), n)
	}
	p.say(p.draft.Remove("bands[2]"))
	p.build()
	if len(p.fields) != n {
		t.Errorf("%d fields, want %d", len(p.fields), n)
	}
}

// The place comes from a locator, the horizon from a file; what is wrong changes nothing.
func TestWhatComesFromElsewhere(t *testing.T) {
	p, _ := pane(t)
	p.takeLocator("IO85ma")
	if s := p.draft.Settings().Station; s.LatitudeDeg != 55.021 || s.LongitudeDeg != -2.958 {
		t.Errorf("%+v", s)
	}
	p.takeLocator("somewhere")
	if s := p.draft.Settings().Station; s.LatitudeDeg != 55.021 || p.told.ControlWords() == "" {
		t.Errorf("%+v, %q", s, p.told.ControlWords())
	}
	file := filepath.Join(t.TempDir(), "horizon.csv")
	if err := os.WriteFile(file, []byte("az,el\n10,3\n200,7\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	waiting(t, func() { p.takeHorizon(file) })
	if h := p.draft.Settings().Horizon.Points; len(h) != 2 || h[1].ElDeg != 7 {
		t.Errorf("%v", h)
	}
	waiting(t, func() { p.takeHorizon(file + "x") })
	if h := p.draft.Settings().Horizon.Points; len(h) != 2 ||
		!strings.Contains(p.told.ControlWords(), "There is no file") {
		t.Errorf("%v, %q", h, p.told.ControlWords())
	}
}
