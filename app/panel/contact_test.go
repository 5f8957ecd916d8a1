package panel

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/contact"
	"beamhelm/app/panel/widget"
)

// fakeLog keeps what was logged.
type fakeLog struct {
	begun int
	kept  []contact.Contact
}

func (f *fakeLog) Begin() contact.Contact {
	f.begun++
	return contact.Contact{Call: "Quarry Ridge", Locator: "FN42hn", Operator: "Mary", MHz: 1296, Band: "1296 MHz",
		AzDeg: 116.53, ElDeg: 40.61}
}
func (f *fakeLog) Keep(c contact.Contact) { f.kept = append(f.kept, c) }
func (f *fakeLog) File() ([]byte, error)  { return nil, nil }

// One key enters a contact: the moment is that of the key, the partner is filled in, what is wrong is said.
func TestContact(t *testing.T) {
	w, d := open(t, minimum, nil)
	log := &fakeLog{}
	w.log = log
	entry := func(name string) (found *widget.Entry) {
		t.Helper()
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
	w.keys.letter('l')
	if log.begun != 1 || entry("contact-call").Text != "Quarry Ridge" || entry("contact-sent").Text != "O" ||
		w.window.Canvas().Focused() != entry("contact-received") {
		t.Fatalf("begun %d, sent %q", log.begun, entry("contact-sent").Text)
	}
	entry("contact-call").SetText(" ")
	w.Press("contact-save")
	if words := w.Layout().Control["contact-wrong"].Words; len(log.kept) != 0 ||
		!strings.Contains(words, "call sign is missing") {
		t.Errorf("kept %+v, %q", log.kept, words)
	}
	entry("contact-call").SetText("Larch Hollow ")
	entry("contact-received").SetText("M")
	w.Press("contact-mode")
	w.Press("contact-save")
	if len(log.kept) != 1 || w.with.Open.Covers() {
		t.Fatalf("kept %+v", log.kept)
	}
	if c := log.kept[0]; c.Call != "Larch Hollow" || c.Mode != "SSB" || c.Sent != "55" || c.Received != "M" ||
		c.Operator != "Mary" || c.AzDeg != 116.53 {
		t.Errorf("kept %+v", c)
	}
	if got := d.Asked(); len(got) != 0 {
		t.Errorf("the desk was asked %+v", got)
	}
	if got := w.Layout().Control["newest-event"].Words; !strings.HasSuffix(got, " Contact with Larch Hollow logged") {
		t.Errorf("at the lower edge stands %q", got)
	}
	if got := asCallSign("q0xyz"); got != "Q0XYZ" {
		t.Errorf("a call sign is kept as %q", got)
	}
}
