package panel

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

func atRestWith(places ...desk.BodyChoice) func(*desk.Status) {
	return func(s *desk.Status) {
		atRest(s)
		s.Places = places
	}
}

// Each wrap of the cable has a button of its own that goes there; what can't be reached has none that can be pressed.
func TestAPlaceIsGoneToOnAWrap(t *testing.T) {
	for name, az := range map[string]float64{"place-go-near": 10, "place-go-other": 370} {
		w, d := open(t, minimum, atRest)
		w.Press("place-button")
		controls := focusable(t, w)
		test.Type(controls["place-az-entry"], "10")
		test.Type(controls["place-el-entry"], "40")
		d.Asked()
		if !w.Press(name) {
			t.Errorf("%s can't be pressed", name)
		}
		o, ok := stage.Only[desk.SlewTo](d.Asked())
		if !ok || fmt.Sprintf("%.3f %.3f", o.To.Az.Deg(), o.To.El.Deg()) != fmt.Sprintf("%.3f 40.000", az) {
			t.Errorf("%s asks for %+v", name, o)
		}
		if w.with.Open.Covers() {
			t.Errorf("%s leaves the dialog open", name)
		}
	}
	w, d := open(t, minimum, atRest)
	w.Press("place-button")
	controls := focusable(t, w)
	test.Type(controls["place-az-entry"], "200")
	test.Type(controls["place-el-entry"], "10")
	d.Asked()
	if words := w.Layout().Control["place-near"].Words; !strings.HasSuffix(words, "mast: not below 24°") {
		t.Errorf("behind the mast it says %q", words)
	}
	if w.Press("place-go-near") || w.Press("place-go-other") || len(d.Asked()) != 0 {
		t.Error("what can't be reached can be gone to")
	}
}

// A place is saved under a name, filled in from the list, made the target by that name, deleted and brought back.
func TestPlacesAreSavedByName(t *testing.T) {
	mast := desk.BodyChoice{Kind: desk.Fixed, Name: "north mast", Az: degrees(12.25), El: degrees(40)}
	quiet := desk.BodyChoice{Kind: desk.Radec, Name: "quiet spot", RA: degrees(150.1234567), Dec: degrees(-60)}
	w, d := open(t, minimum, atRest)
	w.Press("place-button")
	if w.Press("place-save") || w.Press("place-delete") || w.Press("place-saved") {
		t.Error("saved, deleted or listed without a place")
	}
	controls := focusable(t, w)
	test.Type(controls["place-az-entry"], "12.25")
	test.Type(controls["place-el-entry"], "40")
	test.Type(controls["place-name-entry"], "north mast")
	d.Asked()
	w.Press("place-save")
	if o, ok := stage.Only[desk.SavePlace](d.Asked()); !ok || o.Place != mast {
		t.Fatalf("it asks for %+v, want %+v", o.Place, mast)
	}
	controls["place-name-entry"].(*widget.Entry).SetText("cyg a")
	w.Press("place-save")
	if _, asked := stage.Only[desk.SavePlace](d.Asked()); asked {
		t.Error("a place takes the name of a source")
	}
	said := func(words string) (is bool) {
		widget.Walk(w.with.Open.Object(), func(o fyne.CanvasObject) {
			text, has := o.(interface{ ControlWords() string })
			is = is || has && text.ControlWords() == words
		})
		return is
	}
	if !said("Not saved: Cyg A is the name of a target; choose another") {
		t.Error("it isn't said why a name is refused")
	}
	w.with.Open.Close()

	bring(w, d, atRestWith(mast, quiet))
	w.Press("place-button")
	w.Press("place-saved")
	w.Press("place-quiet-spot")
	if words := w.Layout().Control["place-near"].Words; !strings.HasPrefix(words, "Never") {
		t.Errorf("of what never rises it says %q", words)
	}
	d.Asked()
	w.Press("place-go")
	if o, ok := stage.Only[desk.Choose](d.Asked()); !ok || o.Body.Name != "quiet spot" || !near(o.Body, quiet) {
		t.Errorf("the target is %+v, want %+v", o.Body, quiet)
	}

	w.Press("place-button")
	w.Press("place-saved")
	w.Press("place-north-mast")
	if got := w.Layout().Control["place-save"].Words; got != "Replace" {
		t.Errorf("a name that is taken: %q", got)
	}
	d.Asked()
	w.Press("place-delete")
	if o, ok := stage.Only[desk.DeletePlace](d.Asked()); !ok || o.Name != "north mast" {
		t.Errorf("it asks for %+v", o)
	}
	bring(w, d, atRestWith(quiet))
	if got := w.Layout().Control["place-delete"].Words; got != "Undo" {
		t.Errorf("after deleting it offers %q", got)
	}
	w.Press("place-delete")
	if o, ok := stage.Only[desk.SavePlace](d.Asked()); !ok || o.Place != mast {
		t.Errorf("brought back is %+v, want %+v", o.Place, mast)
	}
}

// The place that is made the target has its saved name only while its angles are those that were saved.
func TestATargetIsNamedByItsOwnPlace(t *testing.T) {
	mast := desk.BodyChoice{Kind: desk.Fixed, Name: "north mast", Az: degrees(12.25), El: degrees(4)}
	for typed, want := range map[string]string{"": "north mast", "5": ""} {
		w, d := open(t, minimum, atRestWith(mast))
		w.Press("place-button")
		w.Press("place-saved")
		w.Press("place-north-mast")
		entry := focusable(t, w)["place-el-entry"].(*widget.Entry)
		entry.CursorColumn = len(entry.Text)
		test.Type(entry, typed)
		d.Asked()
		w.Press("place-go")
		if o, ok := stage.Only[desk.Choose](d.Asked()); !ok || o.Body.Name != want {
			t.Errorf("with %q typed the target is %+v, want the name %q", typed, o.Body, want)
		}
	}
}

// The sources are narrowed by what is typed, and Enter takes the first that is left.
func TestASourceIsSearchedFor(t *testing.T) {
	w, d := open(t, minimum, atRest)
	w.Press("source-select")
	if got := w.Layout().Focused; got != "source-list-search" {
		t.Fatalf("%s has the keyboard", got)
	}
	on := w.window.Canvas()
	for _, letter := range "m87" {
		on.Focused().TypedRune(letter)
	}
	d.Asked()
	on.Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	o, ok := stage.Only[desk.Choose](d.Asked())
	if !ok || o.Body != (desk.BodyChoice{Kind: desk.Source, Name: "Vir A"}) || w.with.Open.Covers() {
		t.Errorf("it asks for %+v", o)
	}
	w.Press("source-select")
	want := "Cas A, 594 Jy, 45°, always up"
	if got := w.Layout().Control["source-Cas A"].Words; got != want {
		t.Errorf("a line says %q, want %q", got, want)
	}
	if lines := view.SourceLines(w.now); lines[0].Name != "Tau A" {
		t.Errorf("the first is %s", lines[0].Name)
	}
}
