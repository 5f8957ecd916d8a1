package records

import (
	"strings"

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

// openGroups offers the groups of readings, and then the readings of one.
func (p *Pane) openGroups() {
	var items []widget.Item
	for _, g := range groups() {
		items = append(items, widget.Item{
			Words: g + " ▸", Name: "records-group-" + view.Name(g), Chosen: g == groupOf(p.series), Act: func() { p.openSeries(g) },
		})
	}
	p.with.Open.ShowItems("records-groups", p.choose, items)
}

// openSeries offers the readings of a group. What isn't fitted now may have been: it has records of then.
func (p *Pane) openSeries(group string) {
	var items []widget.Item
	for _, s := range journal.AllSeries() {
		if groupOf(s) != group {
			continue
		}
		items = append(items, widget.Item{Words: s.Name, Name: "records-" + view.Name(s.Key), Chosen: s.Key == p.series.Key, Act: func() {
			p.series = s
			p.choose.Set(s.Name+" ▾", widget.Quiet)
			p.ask()
		}})
	}
	p.with.Open.ShowItems("records-readings", p.choose, items)
}
