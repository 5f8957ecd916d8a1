package echo

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// dial is a frequency in large digits.
type dial struct {
	object              fyne.CanvasObject
	label, digits, note *widget.Text
}

func newDial(name string) dial {
	d := dial{
		label:  widget.NewLabel("").Elastic(),
		digits: widget.NewText("").Sized(widget.ClockText).Bold().Elastic().Named(name),
		note:   widget.NewLabel("").Elastic().Named(name + "-note"),
	}
	d.object = widget.Column(0, widget.Fixed(d.label), widget.Fixed(d.digits), widget.Fixed(d.note))
	return d
}

func (d *dial) show(to view.Dial) {
	d.label.SetWords(to.Label)
	d.digits.Set(to.Digits.Words, to.Digits.Tone)
	d.note.Set(to.Note.Words, to.Note.Tone)
}

// openAgreed asks for the frequency agreed on.
func (p *Pane) openAgreed() {
	r := p.now.Radio
	if r == nil {
		return
	}
	entry := widget.NewEntry("agreed-entry", "the band's own")
	entry.SetText(view.Megahertz(r.AgreedHz))
	var sheet *widget.Sheet
	set := func(text string) {
		p.with.Desk.Ask(desk.AgreedTo{MHz: text})
		sheet.Close()
	}
	entry.OnSubmitted = set
	take := widget.NewButton("Set", "agreed-set", "Take this frequency for this band, until another is set (Enter)",
		func() { set(entry.Text) }).Looking(widget.Primary)
	own := widget.NewButton("The band's own", "agreed-own", "Go back to the frequency that the settings give the band",
		func() { set("") })
	closing := widget.NewButton("Cancel", "agreed-cancel", "Close and change nothing", nil)
	sheet = p.with.Open.ShowSheet("agreed-dialog", "Agreed frequency, "+r.Band, widget.Column(6,
		widget.Fixed(widget.NewNote("The frequency spoken of with the partner, on the air, MHz. RX and TX dial follow "+
			"from it by the convention, the transverter offset and the oscillator error.")),
		widget.Fixed(entry)), []*widget.Button{closing, own, take}, entry)
}
