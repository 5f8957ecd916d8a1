package records

import (
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// groups are what the readings are offered in: a list of all is higher than the window.
func groups() []string { return []string{"Pointing and link", "Enclosure and weather", "Amplifier"} }

// groupOf is the group of a series.
func groupOf(s journal.Series) string {
	begins := func(any ...string) bool {
		for _, beginning := range any {
			if strings.HasPrefix(s.Key, beginning) {
				return true
			}
		}
		return false
	}
	names := groups()
	switch {
	case begins("amplifier_", "coolant_", "forward_", "reflected_", "sequencer"):
		return names[2]
	case strings.HasSuffix(s.Key, "_motor_c"), strings.HasSuffix(s.Key, "_peak_current_a"):
		return names[1]
	case begins("azimuth_", "elevation_", "off_", "echo_", "trim_", "noise_", "keyed", "link_"):
		return names[0]
	}
	return names[1]
}

// ShowKey shows the series of a key in place of the first reading.
func (p *Pane) ShowKey(key string) {
	s, known := journal.SeriesOf(key)
	if !known {
		return
	}
	p.readings = slices.Clone(p.readings)
	if len(p.readings) == 0 {
		p.readings = append(p.readings, s)
	}
	p.readings[0] = s
	p.arrange()
	p.ask()
}

// openGroups offers the groups of readings for the line with an index, and then
// the readings of one. All but the first can be taken away.
func (p *Pane) openGroups(index int, beneath fyne.CanvasObject) {
	if index >= maxReadings {
		return
	}
	there := index < len(p.readings)
	var items []widget.Item
	for _, g := range groups() {
		items = append(items, widget.Item{
			Words: g + " ▸", Name: "records-group-" + view.Name(g), Chosen: there && g == groupOf(p.readings[index]),
			Act: func() { p.openSeries(index, g, beneath) },
		})
	}
	if there && len(p.readings) > 1 {
		items = append(items, widget.Item{Words: "Remove", Name: "records-remove", Act: func() {
			p.readings = slices.Delete(slices.Clone(p.readings), index, index+1)
			p.arrange()
			p.ask()
		}})
	}
	p.with.Open.ShowItems("records-groups", beneath, items)
}

// openSeries offers the readings of a group. What isn't fitted now may have been: it has records of then.
func (p *Pane) openSeries(index int, group string, beneath fyne.CanvasObject) {
	var items []widget.Item
	for _, s := range journal.AllSeries() {
		if groupOf(s) != group {
			continue
		}
		items = append(items, widget.Item{
			Words: s.Name, Name: "records-" + view.Name(s.Key),
			Chosen: index < len(p.readings) && s.Key == p.readings[index].Key,
			Act: func() {
				p.readings = slices.Clone(p.readings)
				if index < len(p.readings) {
					p.readings[index] = s
				} else {
					p.readings = append(p.readings, s)
				}
				p.arrange()
				p.ask()
			}})
	}
	p.with.Open.ShowItems("records-readings", beneath, items)
}

// lunarDay is the mean time from one passage of the Moon through the south to
// the next: 1.0350501 days (Explanatory Supplement to the Astronomical Almanac,
// 3rd edition, from the mean motions of Sun and Moon; from memory).
const lunarDay = 24*time.Hour + 50*time.Minute + 28*time.Second

// openBeside offers what may stand beside the first reading.
func (p *Pane) openBeside() {
	var items []widget.Item
	for _, choice := range []struct {
		words string
		back  time.Duration
	}{
		{"No comparison", 0}, {"A day before", 24 * time.Hour}, {"A lunar day before", lunarDay},
		{"A week before", 7 * 24 * time.Hour},
	} {
		items = append(items, widget.Item{Words: choice.words, Name: "records-comparison-" + view.Name(choice.words),
			Chosen: p.earlier == choice.back, Act: func() {
				p.earlier = choice.back
				p.beside.Set(choice.words+" ▾", widget.Quiet)
				p.ask()
			}})
	}
	p.with.Open.ShowItems("records-earlier", p.beside, items)
}

// openSift offers what is listed.
func (p *Pane) openSift() {
	var items []widget.Item
	for _, choice := range []struct {
		words string
		filter
	}{
		{"Everything", filter{}},
		{"Warnings and alarms", filter{grade: desk.Warning}},
		{"Trips", filter{kinds: []journal.What{journal.WhatTrip}}},
		{"Results", filter{kinds: []journal.What{journal.WhatResult}}},
		{"Contacts", filter{kinds: []journal.What{journal.WhatContact}}},
		{"Notes", filter{kinds: []journal.What{journal.WhatNote}}},
		{"Settings", filter{kinds: []journal.What{journal.WhatSettings}}},
	} {
		chosen := p.filter.grade == choice.grade && slices.Equal(p.filter.kinds, choice.kinds)
		items = append(items, widget.Item{Words: choice.words, Name: "records-sift-" + view.Name(choice.words),
			Chosen: chosen, Act: func() {
				p.filter = choice.filter
				p.sift.Set(choice.words+" ▾", widget.Quiet)
				p.ask()
			}})
	}
	p.with.Open.ShowItems("records-kinds", p.sift, items)
}
