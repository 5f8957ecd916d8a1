package controls

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// placeSheet takes a place in the sky, or a right ascension and declination, as the target.
type placeSheet struct {
	with            widget.Context
	az, el, ra, dec *widget.Entry
	wrong           *widget.Prose
	close           func()
}

func (t *Target) openPlace() {
	s := &placeSheet{
		with:  t.with,
		az:    widget.NewEntry("place-az-entry", "116.5"),
		el:    widget.NewEntry("place-el-entry", "40.7"),
		ra:    widget.NewEntry("place-ra-entry", "05 34 31.9  or  83.63"),
		dec:   widget.NewEntry("place-dec-entry", "+22 00 52  or  22.014"),
		wrong: widget.NewProse("").Small().Named("place-wrong"),
	}
	s.alternate(s.az, s.el, s.ra, s.dec)
	s.alternate(s.ra, s.dec, s.az, s.el)
	accept := widget.NewButton("Make it the target", "place-go", "Make what was entered the target (Enter)",
		s.accept).Looking(widget.Primary)
	cancel := widget.NewButton("Cancel", "place-cancel", "Close without a change", nil)
	content := widget.Column(6,
		widget.Fixed(widget.NewNote("A place in the sky, degrees, as seen")),
		widget.Fixed(twoEntries("Azimuth", s.az, "Elevation", s.el)),
		widget.Space(4),
		widget.Fixed(widget.NewNote("Or a place among the stars, J2000")),
		widget.Fixed(twoEntries("Right ascension", s.ra, "Declination", s.dec)),
		widget.Fixed(s.wrong))
	sheet := t.with.Open.ShowSheet("place-dialog", "Target: a place", content, []*widget.Button{cancel, accept}, s.az)
	s.close = sheet.Close
}

func twoEntries(firstWords string, first *widget.Entry, secondWords string, second *widget.Entry) fyne.CanvasObject {
	field := func(words string, entry *widget.Entry) widget.Part {
		return widget.Part{Share: 1, Min: 120,
			Object: widget.Column(2, widget.Fixed(widget.NewText(words).Small()), widget.Fixed(entry))}
	}
	return widget.Row(10, field(firstWords, first), field(secondWords, second))
}

// alternate clears the other pair when something is typed into this one, so that what counts is never in doubt.
func (s *placeSheet) alternate(first, second, otherFirst, otherSecond *widget.Entry) {
	for _, entry := range []*widget.Entry{first, second} {
		entry.OnSubmitted = func(string) { s.accept() }
		entry.OnChanged = func(text string) {
			s.wrong.SetWords("")
			if text != "" {
				otherFirst.SetText("")
				otherSecond.SetText("")
			}
		}
	}
}

// accept makes what was entered the target, or says what is wrong with it.
func (s *placeSheet) accept() {
	choice, wrong := s.read()
	if wrong != "" {
		s.wrong.Set(wrong, view.Attention)
		return
	}
	s.close()
	s.with.Desk.Ask(desk.Choose{Body: choice})
}

func (s *placeSheet) read() (choice desk.BodyChoice, wrong string) {
	if s.ra.Text != "" || s.dec.Text != "" {
		ra, err := view.ParseRA(s.ra.Text)
		if err != nil {
			return choice, "Right ascension: " + err.Error()
		}
		dec, err := view.ParseDec(s.dec.Text)
		if err != nil {
			return choice, "Declination: " + err.Error()
		}
		return desk.BodyChoice{Kind: desk.Radec, RA: ra, Dec: dec}, ""
	}
	az, err := view.ParseAngle(s.az.Text, 0, 360)
	if err != nil {
		return choice, "Azimuth: " + err.Error()
	}
	el, err := view.ParseAngle(s.el.Text, 0, 90)
	if err != nil {
		return choice, "Elevation: " + err.Error()
	}
	return desk.BodyChoice{Kind: desk.Fixed, Az: az, El: el}, ""
}
