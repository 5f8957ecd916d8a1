package controls

import (
	"strings"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// placeSheet takes a place in the sky, or a right ascension and declination, as the target; goes to it on the wrap that
// is chosen; and keeps places by name.
type placeSheet struct {
	with            widget.Context
	now             view.Now
	az, el, ra, dec *widget.Entry
	name            *widget.Entry
	saved           *widget.Button
	wraps           [2]wrapLine
	save, remove    *widget.Button
	deleted         desk.BodyChoice // what Undo brings back; no kind for none
	told            *widget.Prose
	close           func()
}

// wrapLine is one of the ways to look at the place entered.
type wrapLine struct {
	words *widget.Prose
	slew  *widget.Button
	wrap  view.Wrap
	row   *fyne.Container
}

func (t *Target) openPlace() {
	s := newPlaceSheet(t.with)
	accept := widget.NewButton("Make it the target", "place-go", "Make what was entered the target (Enter)",
		s.accept).Looking(widget.Primary)
	cancel := widget.NewButton("Cancel", "place-cancel", "Close without a change", nil)
	content := widget.Column(6,
		widget.Fixed(widget.Row(8, widget.Sharing(widget.NewNote("A direction as seen, degrees. Azimuth beyond 0° to "+
			"360° means that cable wrap.")), widget.Top(s.saved))),
		widget.Fixed(twoEntries("Azimuth", s.az, "Elevation", s.el)),
		widget.Fixed(s.wraps[0].row), widget.Fixed(s.wraps[1].row),
		widget.Space(2),
		widget.Fixed(widget.NewNote("Or a place among the stars, J2000")),
		widget.Fixed(twoEntries("Right ascension", s.ra, "Declination", s.dec)),
		widget.Space(2),
		widget.Fixed(widget.NewNote("Save under a name")),
		widget.Fixed(widget.Row(8, widget.Part{Object: s.name, Share: 1, Min: 120}, widget.Fixed(s.save),
			widget.Fixed(s.remove))),
		widget.Fixed(s.told))
	s.show(t.now)
	sheet := t.with.Open.ShowSheet("place-dialog", "Target: a place", content, []*widget.Button{cancel, accept}, s.az)
	sheet.OnTick(s.show)
	s.close = sheet.Close
}

func newPlaceSheet(with widget.Context) *placeSheet {
	s := &placeSheet{
		with: with,
		az:   widget.NewEntry("place-az-entry", "116.5"),
		el:   widget.NewEntry("place-el-entry", "40.7"),
		ra:   widget.NewEntry("place-ra-entry", "05 34 31.9  or  83.63"),
		dec:  widget.NewEntry("place-dec-entry", "+22 00 52  or  22.014"),
		name: widget.NewEntry("place-name-entry", "north mast"),
		told: widget.NewProse("").Small().Named("place-wrong"),
	}
	s.saved = widget.NewButton("Saved places ▾", "place-saved", "Fill in a place that was saved", s.openSaved).Tight()
	s.save = widget.NewButton("Save", "place-save", "Keep what was entered under this name", s.saveIt).
		Reserve("Replace")
	s.remove = widget.NewButton("Delete", "place-delete", "Forget the place of this name", s.removeIt).Reserve("Delete")
	for i, name := range [2]string{"near", "other"} {
		line := &s.wraps[i]
		line.words = widget.NewProse("").Small().Named("place-" + name)
		line.slew = widget.NewButton("Go", "place-go-"+name, "Slew there on this cable wrap, and hold",
			func() { s.slew(line.wrap) }).Tight()
		line.row = widget.Row(8, widget.Sharing(line.words), widget.Top(line.slew))
	}
	s.alternate(s.az, s.el, s.ra, s.dec)
	s.alternate(s.ra, s.dec, s.az, s.el)
	s.name.OnChanged = func(string) { s.tell("", view.Plain) }
	s.name.OnSubmitted = func(string) { s.saveIt() }
	return s
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
			if text != "" {
				otherFirst.SetText("")
				otherSecond.SetText("")
			}
			s.tell("", view.Plain)
		}
	}
}

// tell says something of what was entered, and brings the rest up to date with it.
func (s *placeSheet) tell(words string, tone view.Tone) {
	s.told.Set(words, tone)
	s.deleted = desk.BodyChoice{}
	s.show(s.now)
}

// show brings the open sheet up to date.
func (s *placeSheet) show(now view.Now) {
	s.now = now
	if now.Status == nil || now.Scene == nil {
		return
	}
	var wraps []view.Wrap
	reach := view.Phrase{Tone: view.Faint}
	place, wrong := s.read()
	switch {
	case wrong != "" && s.unfinished():
		reach.Words = "Go: once azimuth and elevation are entered"
	case wrong != "":
		reach = view.Phrase{Words: wrong, Tone: view.Attention}
	case place.Kind == desk.Radec:
		reach.Words = "It moves with the sky: make it the target, and track it"
		if never := view.NeverUp(now, place.Dec); never != "" {
			reach = view.Phrase{Words: view.Sentence(never), Tone: view.Attention}
		}
	default:
		wraps = view.Wraps(now, desk.AxisAngles{Az: place.Az, El: place.El})
	}
	for i := range s.wraps {
		s.wraps[i].show(now, wraps, i, reach)
	}
	_, has := view.PlaceNamed(now, s.name.Text)
	words := "Save"
	if has {
		words = "Replace"
	}
	s.save.Set(words, widget.Quiet)
	s.save.SetEnabled(s.named() != "" && wrong == "")
	if s.remove.Set("Delete", widget.Quiet); s.deleted.Kind != desk.NoBody {
		s.remove.Set("Undo", widget.Quiet)
	}
	s.remove.SetEnabled(has || s.deleted.Kind != desk.NoBody)
	s.saved.SetEnabled(len(now.Places) > 0)
}

// show shows the i-th of the wraps, or in its place, on the first line, what there is to say instead.
func (l *wrapLine) show(now view.Now, wraps []view.Wrap, i int, instead view.Phrase) {
	l.wrap = view.Wrap{Blocked: true}
	switch {
	case i < len(wraps):
		l.wrap = wraps[i]
		tone := view.Plain
		if l.wrap.Blocked {
			tone = view.Attention
		}
		l.words.Set(l.wrap.Words, tone)
	case i > 0:
		l.words.Set("", view.Plain)
	default:
		l.words.Set(instead.Words, instead.Tone)
	}
	// The line keeps its place: the buttons beneath must not move while something is typed.
	if needed := i == 0 || i < len(wraps); l.slew.Visible() != needed {
		if needed {
			l.slew.Show()
		} else {
			l.slew.Hide()
		}
	}
	l.slew.SetEnabled(now.Live && !l.wrap.Blocked)
}

// slew goes to the place on a wrap of the cable.
func (s *placeSheet) slew(to view.Wrap) {
	if !to.Blocked {
		s.close()
		s.with.Desk.Ask(desk.SlewTo{To: to.To})
	}
}

// accept makes what was entered the target, or says what is wrong with it.
func (s *placeSheet) accept() {
	choice, wrong := s.read()
	if wrong != "" {
		s.tell(wrong, view.Attention)
		return
	}
	if p, has := view.PlaceNamed(s.now, s.name.Text); has && view.PlaceEntries(p) == view.PlaceEntries(choice) {
		choice.Name = p.Name
	}
	s.close()
	s.with.Desk.Ask(desk.Choose{Body: choice})
}

// unfinished says whether one line of the pair that counts is still empty.
func (s *placeSheet) unfinished() bool {
	if s.ra.Text != "" || s.dec.Text != "" {
		return s.ra.Text == "" || s.dec.Text == ""
	}
	return s.az.Text == "" || s.el.Text == ""
}

// named is the name entered, without blanks at its ends.
func (s *placeSheet) named() string { return strings.Join(strings.Fields(s.name.Text), " ") }

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
	low, high := view.AzimuthRange(s.now)
	az, err := view.ParseAngle(s.az.Text, low, high)
	if err != nil {
		return choice, "Azimuth: " + err.Error()
	}
	el, err := view.ParseAngle(s.el.Text, 0, 90)
	if err != nil {
		return choice, "Elevation: " + err.Error()
	}
	return desk.BodyChoice{Kind: desk.Fixed, Az: az, El: el}, ""
}
