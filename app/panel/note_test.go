package panel

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
)

// fakeNotes keeps what was noted.
type fakeNotes struct {
	stamps int
	kept   []string
	name   string
}

func (f *fakeNotes) Stamp() func(words, operator string) {
	f.stamps++
	return func(words, operator string) {
		f.kept = append(f.kept, words+" by "+operator)
		f.name = operator
	}
}

func (f *fakeNotes) Operator() string { return f.name }

func TestNotes(t *testing.T) {
	w, _ := open(t, minimum, nil)
	notes := &fakeNotes{name: "Mary"}
	w.notes = notes
	entry := func(name string) *widget.Entry {
		t.Helper()
		var found *widget.Entry
		widget.Walk(w.with.Open.Object(), func(o fyne.CanvasObject) {
			if e, ok := o.(*widget.Entry); ok && e.ControlName() == name {
				found = e
			}
		})
		if found == nil {
			t.Fatalf("there is no %s", name)
		}
		return found
	}
	w.keys.letter('n')
	if notes.stamps != 1 || entry("note-operator").Text != "Mary" {
		t.Fatalf("%d stamps, operator %q", notes.stamps, entry("note-operator").Text)
	}
	// Nothing is kept of nothing.
	entry("note-text").SetText("   ")
	w.Press("note-save")
	if len(notes.kept) != 0 {
		t.Errorf("kept %q", notes.kept)
	}
	entry("note-text").SetText("heard our echo")
	entry("note-operator").SetText("Anne ")
	w.Press("note-save")
	if want := []string{"heard our echo by Anne"}; !slices.Equal(notes.kept, want) || w.with.Open.Covers() {
		t.Errorf("kept %q, want %q; open %v", notes.kept, want, w.with.Open.Covers())
	}
	w.keys.letter('n')
	if entry("note-operator").Text != "Anne" {
		t.Errorf("operator %q", entry("note-operator").Text)
	}
	w.Press("note-cancel")
	if len(notes.kept) != 1 || w.with.Open.Covers() {
		t.Error("a dropped note is kept")
	}
}
