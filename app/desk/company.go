package desk

import (
	"slices"
	"strings"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/passes"
)

// The plan's passes are shared with the partner in use, and with those that the
// operator has added to it: a shared moment is one that all of them have.

// companyTo adds (on) the partner of a name to those of the plan, or takes it away.
func (t *turn) companyTo(name string, on bool) {
	s := &t.s.Radio
	if on && !known(s.Partners, name) {
		t.say(Warning, "No partner %s in the list", name)
		return
	}
	list := slices.DeleteFunc(slices.Clone(s.Company), func(other string) bool { return other == name })
	if on {
		list = append(list, name)
	}
	s.Company = list
}

// company are the names of the plan's partners, in the order of the list.
func (s *radioState) company() []string {
	var names []string
	for _, p := range s.Partners {
		if p.Name == s.Chosen || slices.Contains(s.Company, p.Name) {
			names = append(names, p.Name)
		}
	}
	return names
}

// companyWords are the names in one line; empty for nobody.
func (s *radioState) companyWords() string { return strings.Join(s.company(), ", ") }

// stationsThere are the plan's partners as stations.
func (t *turn) stationsThere() []passes.Station {
	s, c := &t.s.Radio, t.c
	var list []passes.Station
	for _, p := range s.Partners {
		if site, err := p.Site(); err == nil && slices.Contains(s.company(), p.Name) {
			list = append(list, passes.Station{Site: site, Air: c.Air(), Least: c.Least()})
		}
	}
	return list
}

// shareWith fills in whether the stations have the body up as well, by the one where it stands lowest.
func (t *turn) shareWith(stations []passes.Station, body ephem.Body, at time.Time, p *PlanPoint) {
	for i, station := range stations {
		el := station.Air.Refracted(t.c.Sky.Look(station.Site, body, at).El)
		if i == 0 || el < p.PartnerEl {
			p.PartnerEl = el
		}
	}
	p.Shared = len(stations) > 0 && p.Up && p.PartnerEl >= t.c.Least()
}
