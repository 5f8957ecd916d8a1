package panel

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// atRest is the invented evening with the dish at rest and nothing armed.
func atRest(s *desk.Status) {
	s.Activity, s.Moving, s.Armed = desk.Holding, false, desk.Armed{}
	s.Axes[0].Moving = false
}

// openers are the buttons of the window and of all its panes that open something, as paths of presses.
func openers(t *testing.T, w *Window, d *stage.Desk) (found []string) {
	t.Helper()
	for i := range w.right.panes {
		w.right.choose(i)
		w.show(view.At(d.Status(), 500, 0))
		for _, placed := range widget.Inventory(w.parts) {
			if !placed.Enabled || placed.Name == "stop" || slices.Contains(found, placed.Name) {
				continue
			}
			if _, button := placed.Object.(fyne.Tappable); !button {
				continue
			}
			shown := w.right.shown
			w.Press(placed.Name)
			if w.with.Open.Covers() {
				found = append(found, placed.Name)
			}
			w.with.Open.Close()
			w.right.choose(shown)
		}
	}
	return found
}

// Every sheet and menu has a way out of its own that changes nothing, and
// Esc closes it where the dish is at rest, without a stop. While it moves Esc stops it too. Each says which.
func TestEverySheetHasItsOwnWayOut(t *testing.T) {
	w, d := open(t, minimum, atRest)
	w.notes = &fakeNotes{}
	all := openers(t, w, d)
	if len(all) < 18 {
		t.Fatalf("only %q open something", all)
	}
	esc := &fyne.KeyEvent{Name: fyne.KeyEscape}
	words := func(ending string) string {
		for _, placed := range widget.Inventory(w.with.Open.Object()) {
			if strings.HasSuffix(placed.Name, ending) {
				return placed.Words
			}
		}
		return ""
	}
	reopen := func(name string, change func(*desk.Status)) {
		w.with.Open.Close()
		for i := range w.right.panes {
			w.right.choose(i)
			bring(w, d, change)
			if w.Press(name) && w.with.Open.Covers() {
				w.asked.any = false
				d.Asked()
				return
			}
		}
		t.Fatalf("%s opens nothing", name)
	}
	for _, name := range all {
		reopen(name, atRest)
		if got := words("-esc"); got != "Esc closes" {
			t.Errorf("%s: at rest it says %q", name, got)
		}
		out := ""
		for _, placed := range widget.Inventory(w.with.Open.Object()) {
			if placed.Words == "Cancel" || placed.Words == "Close" {
				out = placed.Name
			}
		}
		if out == "" || !w.Press(out) || w.with.Open.Covers() || len(d.Asked()) != 0 {
			t.Errorf("%s: %q is no way out that changes nothing", name, out)
		}
		reopen(name, atRest)
		w.keys.typed(esc)
		if got := d.Asked(); len(got) != 0 || w.with.Open.Covers() {
			t.Errorf("%s: Esc at rest asks for %v, still open: %v", name, got, w.with.Open.Covers())
		}
		if !slices.Contains(openWhileTracking(), name) {
			continue
		}
		reopen(name, nil)
		if got := words("-esc"); got != "Esc stops the dish" {
			t.Errorf("%s: while tracking it says %q", name, got)
		}
		w.keys.typed(esc)
		if got := d.Asked(); !slices.Equal(got, []desk.Order{desk.Stop{}}) || w.with.Open.Covers() {
			t.Errorf("%s: Esc while tracking asks for %v, still open: %v", name, got, w.with.Open.Covers())
		}
	}
}

// openWhileTracking are some that can be opened in every state.
func openWhileTracking() []string {
	return []string{"source-select", "place-button", "reference-button", "stow", "worst-alarm", "view-menu-button",
		"period-select"}
}

// What was asked a moment ago may not show yet: Esc stops then, whatever the status says.
func TestEscStopsWhatWasJustAsked(t *testing.T) {
	w, d := open(t, minimum, atRest)
	w.Press("park")
	w.Press("source-select")
	d.Asked()
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if got := d.Asked(); !slices.Equal(got, []desk.Order{desk.Stop{}}) {
		t.Errorf("Esc right after Park asks for %v", got)
	}
}

// Each state in which something moves or is about to.
func TestWhatEscStops(t *testing.T) {
	for name, change := range map[string]func(*desk.Status){
		"moving":               func(s *desk.Status) { s.Moving = true },
		"tracking":             func(s *desk.Status) { s.Activity = desk.Tracking },
		"waiting to rise":      func(s *desk.Status) { s.Activity = desk.Waiting },
		"armed":                func(s *desk.Status) { s.Armed.Has = true },
		"a start is announced": func(s *desk.Status) { s.Starting = message.Text("Slewing") },
		"power comes on":       func(s *desk.Status) { s.Power = desk.PowerComingOn },
		"no contact":           func(s *desk.Status) { s.Link.State = desk.LinkLost },
		"a survey runs":        func(s *desk.Status) { s.Survey.Rounds.Running = true },
		"a peak runs":          func(s *desk.Status) { s.Peak.Running = true },
	} {
		s := stage.Tracking()
		atRest(&s)
		if view.StopsOnEsc(view.At(&s, 1, 0)) {
			t.Fatal("at rest it stops")
		}
		change(&s)
		if !view.StopsOnEsc(view.At(&s, 1, 0)) {
			t.Errorf("%s: it does not stop", name)
		}
	}
}

// The sheet of the reference opens with Close ringed, its confirmation with
// Cancel: Enter changes nothing. Old and new are shown, and the newest can be undone.
func TestEnterChangesNoPosition(t *testing.T) {
	w, d := open(t, minimum, func(s *desk.Status) {
		s.Referencing.Undo[1] = desk.UndoneReference{Can: true, Known: true, Trusted: true, To: degrees(39.5)}
		atRest(s)
	})
	enter := func() {
		focused := w.window.Canvas().Focused()
		event := &fyne.KeyEvent{Name: fyne.KeyReturn}
		if keyable, ok := focused.(interface{ KeyDown(*fyne.KeyEvent) }); ok {
			keyable.KeyDown(event)
		}
		focused.TypedKey(event)
	}
	d.Asked()
	w.Press("reference-button")
	if got := w.Layout().Focused; got != "reference-close" {
		t.Errorf("the keyboard is at %q", got)
	}
	if got := w.Layout().Control["reference-undone"].Words; got != "Elevation back to 39.50°" {
		t.Errorf("undo says %q", got)
	}
	w.Press("reference-beam")
	controls := w.Layout().Control
	if az, el := controls["position-az"].Words,
		controls["position-el"].Words; az != "Azimuth 116.53° → 116.70°, by +0.17°" ||
		el != "Elevation 40.61° → 40.50°, by −0.11°" {
		t.Errorf("%q, %q", az, el)
	}
	if got := w.Layout().Focused; got != "position-cancel" {
		t.Errorf("the keyboard is at %q", got)
	}
	enter()
	if got := w.Layout().Focused; got != "reference-close" && got != "reference-beam" {
		t.Errorf("then the keyboard is at %q", got)
	}
	enter()
	if got := d.Asked(); len(got) != 0 {
		t.Errorf("Enter asks for %v", got)
	}
	w.with.Open.Close()
	w.Press("reference-button")
	w.Press("reference-undo")
	if got := d.Asked(); !slices.Equal(got, []desk.Order{desk.UndoReference{}}) {
		t.Errorf("Undo asks for %v", got)
	}
}

// After a dialog the keyboard is where it was.
func TestFocusReturns(t *testing.T) {
	w, _ := open(t, minimum, atRest)
	button := focusable(t, w)["place-button"]
	w.window.Canvas().Focus(button)
	event := &fyne.KeyEvent{Name: fyne.KeySpace}
	button.(interface{ KeyDown(*fyne.KeyEvent) }).KeyDown(event)
	button.TypedKey(event)
	if !w.with.Open.Covers() || w.Layout().Focused != "place-az-entry" {
		t.Fatalf("the keyboard is at %q", w.Layout().Focused)
	}
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if got := w.Layout().Focused; got != "place-button" {
		t.Errorf("then the keyboard is at %q", got)
	}
}

// A jog by a key ends when something opens: nobody would hear that the key was let go.
func TestJogEndsWhenSomethingOpens(t *testing.T) {
	w, _ := open(t, minimum, atRest)
	w.keys.down(&fyne.KeyEvent{Name: fyne.KeyUp})
	if !w.keys.holds[fyne.KeyUp].Pressed() {
		t.Fatal("no press")
	}
	w.Press("place-button")
	if w.keys.holds[fyne.KeyUp].Pressed() {
		t.Error("the press goes on beneath the dialog")
	}
}
