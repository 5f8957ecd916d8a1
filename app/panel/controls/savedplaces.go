package controls

import (
	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// openSaved offers the places that were saved.
func (s *placeSheet) openSaved() {
	if s.now.Status == nil {
		return
	}
	var items []widget.Item
	for _, place := range s.now.Places {
		items = append(items, widget.Item{
			Words: place.Name, Name: "place-" + view.Name(place.Name), Cells: view.PlaceCells(place),
			Tip: "Fill in " + place.Name, Chosen: desk.SamePlaceName(place.Name, s.name.Text),
			Act: func() { s.fill(place) },
		})
	}
	s.with.Open.ShowSearched("place-list", s.saved, widget.Search{Hint: "name of a place",
		None: "No saved place matches", Heads: view.PlaceHeads()}, items)
}

// fill fills a saved place in.
func (s *placeSheet) fill(place desk.BodyChoice) {
	texts := view.PlaceEntries(place)
	for i, entry := range []*widget.Entry{s.az, s.el, s.ra, s.dec} {
		if texts[i] == "" {
			entry.SetText("")
		}
	}
	for i, entry := range []*widget.Entry{s.az, s.el, s.ra, s.dec} {
		if texts[i] != "" {
			entry.SetText(texts[i])
		}
	}
	s.name.SetText(place.Name)
}

// saveIt keeps what was entered under the name, or says what is wrong with it.
func (s *placeSheet) saveIt() {
	place, wrong := s.read()
	if wrong == "" {
		place.Name = s.named()
		wrong = desk.PlaceWrong(place, s.now.Sources).String()
	}
	if wrong != "" {
		s.tell("Not saved: "+wrong, view.Attention)
		return
	}
	s.with.Desk.Ask(desk.SavePlace{Place: place})
	s.tell("Saved: "+place.Name, view.Measured)
}

// removeIt forgets the place of the name, or brings back the one that was forgotten last.
func (s *placeSheet) removeIt() {
	if back := s.deleted; back.Kind != desk.NoBody {
		s.with.Desk.Ask(desk.SavePlace{Place: back})
		s.tell("Saved again: "+back.Name, view.Measured)
		return
	}
	place, has := view.PlaceNamed(s.now, s.name.Text)
	if !has {
		return
	}
	s.with.Desk.Ask(desk.DeletePlace{Name: place.Name})
	s.tell("Deleted: "+place.Name, view.Plain)
	s.deleted = place
	s.show(s.now)
}
