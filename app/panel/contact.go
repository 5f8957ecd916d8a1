package panel

import (
	"strings"

	"beamhelm/app/contact"
	"beamhelm/app/mode"
	"beamhelm/app/panel/save"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Log keeps contacts with other stations.
type Log interface {
	// Begin is a contact of this moment with all that is known of it.
	Begin() contact.Contact
	Keep(contact.Contact)
	// File is the whole log as ADIF. It is called beside the window's goroutine.
	File() ([]byte, error)
}

// contactSheet enters a contact.
type contactSheet struct {
	window  *Window
	contact contact.Contact

	call, locator, sent, received, comment, operator *widget.Entry

	mode  *widget.Button
	index int // of mode.All
	wrong *widget.Prose
	close func()
}

// openContact asks for what only the operator knows of a contact; the figures are those of the moment of the key.
func (w *Window) openContact() {
	if w.log == nil || w.keys.covered() || w.now.Status == nil {
		return
	}
	s := &contactSheet{window: w, contact: w.log.Begin(), index: w.now.Period.Mode}
	entry := func(name, hint, text string) *widget.Entry {
		e := widget.NewEntry(name, hint)
		e.SetText(text)
		e.OnSubmitted = func(string) { s.keep() }
		return e
	}
	report := mode.All()[s.index].Report
	s.call, s.locator = entry("contact-call", "call sign", s.contact.Call), entry("contact-locator", "e.g. IO85ma",
		s.contact.Locator)
	s.sent, s.received = entry("contact-sent", report, report), entry("contact-received", "e.g. "+report, "")
	s.comment, s.operator = entry("contact-comment", "optional", ""), entry("contact-operator",
		"name or call sign", s.contact.Operator)
	s.mode = widget.NewButton(mode.All()[s.index].Words, "contact-mode", "The mode of this contact; press for the next",
		s.nextMode).Reserve("Tones, narrow")
	s.wrong = widget.NewProse("").Small().Tone(view.Attention).Named("contact-wrong")
	figures := view.ContactFigures(s.contact)
	save := widget.NewButton("Save", "contact-save", "Keep the contact in the records (Enter)",
		s.keep).Looking(widget.Primary)
	export := widget.NewButton("Export log…", "contact-export", "Write every contact of the records to a file, as ADIF",
		s.export)
	cancel := widget.NewButton("Cancel", "contact-cancel", "Discard the contact", nil)
	field := func(words string, entry *widget.Entry, share float32) widget.Part {
		return widget.Part{Share: share, Min: 90,
			Object: widget.Column(2, widget.Fixed(widget.NewText(words).Small()),
				widget.Fixed(entry))}
	}
	first := s.call
	if s.call.Text != "" {
		first = s.received
	}
	sheet := w.with.Open.ShowSheet("contact-dialog", "Contact at "+view.Clock(s.contact.At)+" UTC", widget.Column(8,
		widget.Fixed(widget.Row(8, field("Call sign", s.call, 1), field("Locator", s.locator, 1),
			widget.Fixed(widget.Column(2, widget.Fixed(widget.NewText("Mode").Small()), widget.Fixed(s.mode))))),
		widget.Fixed(widget.Row(8, field("Report sent", s.sent, 1), field("Report received", s.received, 1))),
		widget.Fixed(widget.Row(8, field("Operator", s.operator, 1))),
		widget.Fixed(widget.Row(8, field("Comment", s.comment, 1))),
		widget.Fixed(widget.NewProse(figures).Small().Named("contact-figures")),
		widget.Fixed(s.wrong)), []*widget.Button{cancel, export, save}, first)
	s.close = sheet.Close
}

func (s *contactSheet) nextMode() {
	before := mode.All()[s.index].Report
	s.index = (s.index + 1) % len(mode.All())
	m := mode.All()[s.index]
	s.mode.Set(m.Words, widget.Quiet)
	if s.sent.Text == before {
		s.sent.SetText(m.Report)
	}
}

// asCallSign writes a call sign in capitals; what has no digit in it is a name.
func asCallSign(words string) string {
	if strings.ContainsAny(words, "0123456789") {
		return strings.ToUpper(words)
	}
	return words
}

// keep keeps the contact if it is right.
func (s *contactSheet) keep() {
	c := s.contact
	c.Call, c.Locator, c.Operator = asCallSign(strings.TrimSpace(s.call.Text)), strings.TrimSpace(s.locator.Text),
		strings.TrimSpace(s.operator.Text)
	c.Sent, c.Received, c.Comment = strings.TrimSpace(s.sent.Text), strings.TrimSpace(s.received.Text),
		strings.TrimSpace(s.comment.Text)
	c.Mode = mode.All()[s.index].ADIF
	if err := c.Validate(); err != nil {
		s.wrong.SetWords(view.Sentence(err.Error()))
		return
	}
	s.close()
	s.window.log.Keep(c)
	s.window.did("Contact with " + c.Call + " logged")
}

func (s *contactSheet) export() {
	w := s.window
	s.close()
	save.Ask(w.with, "log", "The log, in a file", "beamhelm-log", []save.Form{
		{Words: "Log, ADIF", Name: "log-adif",
			Tip:    "Every contact of the records in the Amateur Data Interchange Format, version 3 (Enter)",
			Ending: ".adi", Body: w.log.File},
	}, func(string) {})
}
