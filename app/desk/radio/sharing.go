package radio

import (
	"slices"
	"strings"
	"time"

	"beamhelm/app/message"
	"beamhelm/ephem"
	"beamhelm/ephem/passes"
)

// The plan's passes are shared with the partner in use, and with those that the
// operator has added to it: a shared moment is one that all of them have.

// SetOtherPartner adds (on) the partner of a name to those of the plan, or takes it away. Why says why not.
func (s *State) SetOtherPartner(name string, on bool) (why message.Message) {
	if on && !known(s.Partners, name) {
		return message.Of("radio.no-partner", name)
	}
	list := slices.DeleteFunc(slices.Clone(s.OtherPartners), func(other string) bool { return other == name })
	if on {
		list = append(list, name)
	}
	s.OtherPartners = list
	return message.Message{}
}

// PlanPartners are the names of the plan's partners, in the order of the list.
func (s *State) PlanPartners() []string {
	var names []string
	for _, p := range s.Partners {
		if p.Name == s.Chosen || slices.Contains(s.OtherPartners, p.Name) {
			names = append(names, p.Name)
		}
	}
	return names
}

// partnerNames are the names in one line; empty for nobody.
func (s *State) partnerNames() string { return strings.Join(s.PlanPartners(), ", ") }

// stationsThere are the plan's partners as stations.
func (w *work) stationsThere() []passes.Station {
	s, c := w.s, w.c
	var list []passes.Station
	for _, p := range s.Partners {
		if site, err := p.Site(); err == nil && slices.Contains(s.PlanPartners(), p.Name) {
			list = append(list, passes.Station{Site: site, Air: c.Air(), Min: c.Min()})
		}
	}
	return list
}

// shareWith fills in whether the stations have the body up as well, by the one where it stands lowest.
func (w *work) shareWith(stations []passes.Station, body ephem.Body, at time.Time, p *PlanPoint) {
	for i, station := range stations {
		el := station.Air.Refracted(w.c.Sky.Look(station.Site, body, at).El)
		if i == 0 || el < p.PartnerEl {
			p.PartnerEl = el
		}
	}
	p.Shared = len(stations) > 0 && p.Up && p.PartnerEl >= w.c.Min()
}
