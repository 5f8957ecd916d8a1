package echo

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
	"beamhelm/ephem"
	"beamhelm/ephem/partner"
	"beamhelm/ephem/rows"
)

// listSheet changes the list of partners.
type listSheet struct {
	pane                *Pane
	name, locator, note *widget.Entry
	call, file          *widget.Entry
	polarisation        *widget.Button
	kind                partner.Polarisation
	wrong               *widget.Prose
	job                 offwindow.Job
	close               func()
}

// OpenList opens the sheet in which the list of partners is changed.
func (p *Pane) OpenList() {
	s := &listSheet{
		pane:    p,
		name:    widget.NewEntry("partner-name-entry", "Quarry Ridge"),
		locator: widget.NewEntry("partner-locator-entry", "FN42hn"),
		call:    widget.NewEntry("partner-call-entry", "call sign"),
		note:    widget.NewEntry("partner-note-entry", "optional"),
		file:    widget.NewEntry("partner-file-entry", "/home/…/partners.csv"),
		wrong:   widget.NewProse("").Small().Rows(2).Named("partner-wrong"),
	}
	s.polarisation = widget.NewButton("circular", "partner-polarisation",
		"How the partner's feed is polarised: circular, horizontal or vertical against its own horizon",
		s.nextPolarisation).Reserve("horizontal")
	add := widget.NewButton("Add", "partner-add", "Add this station to the list (Enter)", s.add).Looking(widget.Primary)
	take := widget.NewButton("Import", "partner-import",
		"Add the stations of this file to the list; an existing name is replaced", s.take)
	closing := widget.NewButton("Close", "partners-close", "Close the list", nil)
	for _, entry := range []*widget.Entry{s.name, s.locator, s.call, s.note} {
		entry.OnSubmitted = func(string) { s.add() }
	}
	s.file.OnSubmitted = func(string) { s.take() }
	field := func(words string, entry *widget.Entry, share float32) widget.Part {
		return widget.Part{Share: share, Min: 110,
			Object: widget.Column(2, widget.Fixed(widget.NewText(words).Small()), widget.Fixed(entry))}
	}
	parts := []widget.Part{widget.Fixed(widget.NewLabel("In the list"))}
	parts = append(parts, s.lines()...)
	parts = append(parts, widget.Space(4), widget.Fixed(widget.NewLabel("Another station")),
		widget.Fixed(widget.Row(8, field("Name", s.name, 2), field("Call sign", s.call, 1))),
		widget.Fixed(widget.Row(8, field("Note", s.note, 2), field("Locator", s.locator, 1))),
		widget.Fixed(widget.Row(8, widget.Fixed(widget.NewText("Feed").Small()), widget.Fixed(s.polarisation),
			widget.Spring(), widget.Fixed(add))),
		widget.Space(4), widget.Fixed(widget.NewLabel("From a CSV file: name,locator,polarisation,note")),
		widget.Fixed(widget.Row(8, widget.Part{Object: s.file, Share: 1, Min: 120}, widget.Fixed(take))),
		widget.Fixed(s.wrong))
	s.job.Mark = func(busy bool) { take.SetEnabled(!busy) }
	sheet := p.with.Open.ShowSheet("partners-dialog", "Partners", widget.Column(5, parts...),
		[]*widget.Button{closing}, s.name)
	sheet.OnClosed(s.job.Cancel)
	s.close = sheet.Close
}

// maxLines is how many stations the sheet has room for; more are kept, and changed by import.
const maxLines = 9

// lines are the stations in the list, each with its remove button.
func (s *listSheet) lines() []widget.Part {
	r := s.pane.now.Radio
	if r == nil || len(r.Partners) == 0 {
		return []widget.Part{widget.Fixed(widget.NewText("nobody yet").Small())}
	}
	var parts []widget.Part
	for i, known := range r.Partners {
		if i == maxLines {
			parts = append(parts, widget.Fixed(widget.NewLabel(
				view.Count(len(r.Partners)-i, "more station", "more stations"))))
			break
		}
		remove := widget.NewButton("Remove", "partner-remove-"+view.Name(known.Name),
			"Take "+known.Name+" from the list", func() { s.remove(known.Name) }).Tight().Sized(widget.SmallText)
		words := known.Name
		if known.CallSign != "" {
			words += " · " + known.CallSign
		}
		words += " · " + known.Locator + " · " + known.Polarisation
		who := []widget.Part{widget.Fixed(widget.NewProse(words))}
		if known.Note != "" {
			who = append(who, widget.Fixed(widget.NewNote(known.Note)))
		}
		parts = append(parts, widget.Fixed(widget.Row(8, widget.Sharing(widget.Column(0, who...)),
			widget.Top(remove))))
	}
	return parts
}

// nextPolarisation chooses the next polarisation.
func (s *listSheet) nextPolarisation() {
	s.kind = (s.kind + 1) % (partner.Vertical + 1)
	s.polarisation.Set(s.kind.String(), widget.Quiet)
}

// list is the list as it is now.
func (s *listSheet) list() []partner.Partner { return listed(s.pane.now.Radio) }

// listed is the list of partners as it is kept.
func listed(r *radio.Path) []partner.Partner {
	var list []partner.Partner
	if r == nil {
		return nil
	}
	for _, known := range r.Partners {
		one := partner.Partner{Name: known.Name, Locator: known.Locator, Note: known.Note, CallSign: known.CallSign,
			Equipment: known.Equipment}
		for _, kind := range []partner.Polarisation{partner.Horizontal, partner.Vertical} {
			if kind.String() == known.Polarisation {
				one.Polarisation = kind
			}
		}
		list = append(list, one)
	}
	return list
}

// without is a list without the station of a name, capitals or not.
func without(list []partner.Partner, name string) []partner.Partner {
	var left []partner.Partner
	for _, p := range list {
		if !strings.EqualFold(p.Name, name) {
			left = append(left, p)
		}
	}
	return left
}

func (s *listSheet) add() {
	one := partner.Partner{Name: strings.TrimSpace(s.name.Text), Locator: strings.TrimSpace(s.locator.Text),
		Polarisation: s.kind, Note: s.note.Text, CallSign: strings.TrimSpace(s.call.Text)}
	for _, known := range s.list() {
		if strings.EqualFold(known.Name, one.Name) {
			one.Equipment = known.Equipment // what isn't asked here stays
		}
	}
	if _, err := partner.Read(partner.Write([]partner.Partner{one}), s.own()); err != nil {
		s.tell(reason(err))
		return
	}
	s.put(append(without(s.list(), one.Name), one))
}

func (s *listSheet) remove(name string) { s.put(without(s.list(), name)) }

// take reads a file; nothing changes unless all of it is right.
func (s *listSheet) take() {
	path, own := s.file.Text, s.own()
	offwindow.Do(&s.job, offwindow.Usual, func(ctx offwindow.Context) ([]partner.Partner, error) {
		return readList(ctx, path, own)
	}, func(fresh []partner.Partner, err error) {
		if err != nil {
			s.tell(err.Error())
			return
		}
		list := s.list()
		for _, one := range fresh {
			list = append(without(list, one.Name), one)
		}
		s.put(list)
	})
}

// readList reads a file of partners.
func readList(ctx offwindow.Context, path string, own ephem.Site) ([]partner.Partner, error) {
	text, err := offwindow.Read(ctx, path)
	if err != nil {
		return nil, fmt.Errorf("a list of partners: %w", err)
	}
	list, err := partner.Read(text, own)
	if err != nil {
		return nil, fmt.Errorf("%s:%w", filepath.Base(path), err)
	}
	return list, nil
}

// put hands the list to the desk.
func (s *listSheet) put(list []partner.Partner) {
	text := partner.Write(list)
	if _, err := partner.Read(text, s.own()); err != nil {
		s.tell(reason(err))
		return
	}
	s.close()
	s.pane.with.Desk.Ask(desk.PartnersTo{CSV: string(text)})
}

func (s *listSheet) own() ephem.Site {
	station := s.pane.now.Station
	return ephem.Site{Lat: station.Lat, Lon: station.Lon, HeightM: station.HeightM}
}

// reason is an error without the line's number, which means nothing to who typed one station.
func reason(err error) string {
	if row, is := errors.AsType[*rows.Error](err); is {
		return row.Reason
	}
	return err.Error()
}

func (s *listSheet) tell(words string) { s.wrong.Set(view.Sentence(words), view.Attention) }
