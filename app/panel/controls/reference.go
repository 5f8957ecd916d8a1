package controls

import (
	"fmt"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// referenceSheet makes positions trusted: by the beam being on the target, by
// confirming the angle offered, or by an angle that was read at the dish.
type referenceSheet struct {
	with    widget.Context
	state   *widget.Prose
	beam    *widget.Button
	undo    *widget.Button
	undone  *widget.Prose
	offered [2]offer
	entries [2]*widget.Entry
	wrong   *widget.Prose
	now     view.Now
}

// offer is the angle that a reference kept from before would give one axis.
type offer struct {
	words   *widget.Prose
	confirm *widget.Button
}

func (d *Drives) openReference() {
	s := &referenceSheet{
		with:  d.with,
		state: widget.NewProse("").Named("reference-state"),
		wrong: widget.NewProse("").Small().Named("reference-wrong"),
	}
	s.beam = widget.NewButton("Set position from the target…", "reference-beam",
		"Peak on the target first: its own place is taken as where the axes stand, and the trim becomes zero. What "+
			"changes is shown before",
		func() { AskBeam(s.with, s.now) })
	s.undone = widget.NewNote("").Named("reference-undone")
	s.undo = widget.NewButton("Undo", "reference-undo", "The position as it was before the newest reference",
		s.takeBack)
	parts := []widget.Part{
		widget.Fixed(widget.Row(8, widget.Sharing(widget.Column(2, widget.Fixed(s.state), widget.Fixed(s.undone))),
			widget.Top(s.undo))),
		widget.Fixed(s.beam), widget.Space(4),
		widget.Fixed(widget.NewNote("Last known position. Check the angle at the dish, and the cable wrap.")),
	}
	for index := range s.offered {
		parts = append(parts, widget.Fixed(s.newOffer(index)))
	}
	parts = append(parts, widget.Space(4), widget.Fixed(widget.NewNote(
		"Or set the axis angle, as read at the dish. Azimuth runs on over the cable wrap: "+cableRange(d.now))))
	parts = append(parts, widget.Fixed(s.newEntries()), widget.Fixed(s.wrong))
	close := widget.NewButton("Close", "reference-close", "Close without another change", nil)
	s.show(d.now)
	sheet := d.with.Open.ShowSheet("reference-dialog", "Reference: set the axis position",
		widget.Column(6, parts...), []*widget.Button{close}, close)
	d.sheet = s
	sheet.OnClosed(func() { d.sheet = nil })
}

func cableRange(now view.Now) string {
	if now.Scene == nil {
		return "negative and over 360 are allowed."
	}
	return fmt.Sprintf("%s° to %s°.", view.Number(now.Scene.EndLow[0].Deg(), 0),
		view.Number(now.Scene.EndHigh[0].Deg(), 0))
}

func (s *referenceSheet) newOffer(index int) fyne.CanvasObject {
	name := [2]string{"az", "el"}[index]
	o := &s.offered[index]
	o.words = widget.NewProse("").Named("reference-" + name + "-offer")
	o.confirm = widget.NewButton("Apply…", "reference-"+name+"-confirm",
		"The axis stands at this angle. What changes is shown before", func() {
			if axis := s.now.Axes[index]; axis.HasOffer {
				var p view.NewPosition
				p.Angles[index], p.Given[index] = axis.Offered, true
				askAngles(s.with, s.now, p, func() {})
			}
		}).Tight()
	return widget.Row(8, widget.Sharing(o.words), widget.Top(o.confirm))
}

func (s *referenceSheet) newEntries() fyne.CanvasObject {
	s.entries[0] = widget.NewEntry("reference-az-entry", "azimuth, °")
	s.entries[1] = widget.NewEntry("reference-el-entry", "elevation, °")
	for _, entry := range s.entries {
		entry.OnSubmitted = func(string) { s.setEntered() }
		entry.OnChanged = func(string) { s.wrong.SetWords("") }
	}
	set := widget.NewButton("Set…", "reference-confirm",
		"The axes stand at the angles entered. What changes is shown before", s.setEntered)
	return widget.Row(8, widget.Part{Object: s.entries[0], Share: 1, Min: 90},
		widget.Part{Object: s.entries[1], Share: 1, Min: 90}, widget.Fixed(set))
}

func (s *referenceSheet) takeBack() { s.with.Desk.Ask(desk.UndoReference{}) }

// setEntered takes the angles entered; an empty line leaves its axis as it is.
func (s *referenceSheet) setEntered() {
	low, high := [2]float64{-720, -90}, [2]float64{720, 180}
	if scene := s.now.Scene; scene != nil {
		for index := range low {
			low[index], high[index] = scene.EndLow[index].Deg(), scene.EndHigh[index].Deg()
		}
	}
	var p view.NewPosition
	for index, entry := range s.entries {
		if entry.Text == "" {
			continue
		}
		angle, err := view.ParseAngle(entry.Text, low[index], high[index])
		if err != nil {
			s.wrong.Set(view.AxisName(index)+": "+err.Error(), view.Attention)
			return
		}
		p.Angles[index], p.Given[index] = angle, true
	}
	if !p.Given[0] && !p.Given[1] {
		s.wrong.Set("Enter an angle", view.Attention)
		return
	}
	askAngles(s.with, s.now, p, func() {
		for _, entry := range s.entries {
			entry.SetText("")
		}
	})
}

// show brings the open sheet up to date.
func (s *referenceSheet) show(now view.Now) {
	s.now = now
	position := view.Position(now)
	s.state.Set(view.Sentence(position.Words), position.Tone)
	s.beam.Set(view.SetFromWords(now), widget.Quiet)
	_, up := view.FromTarget(now)
	s.beam.SetEnabled(up && now.Target.Choice.Kind != desk.NoBody)
	words, can := view.UndoReferenceWords(now)
	s.undone.SetWords(words)
	s.undo.SetEnabled(can && now.Live && !now.Moving && !view.Following(now))
	for index, axis := range now.Axes {
		o := s.offered[index]
		o.words.Set(view.OfferWords(axis, index), view.Plain)
		o.confirm.SetEnabled(now.Live && axis.HasOffer)
	}
}
