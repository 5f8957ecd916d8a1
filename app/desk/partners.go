package desk

import (
	"beamhelm/ephem/echo"
	"beamhelm/ephem/partner"
)

// Partner is a station of the kept list.
type Partner struct {
	Name, Locator string
	Polarisation  string // circular, horizontal or vertical
	Note          string
}

// Conventions are the words for who takes the Doppler out, in the order of Radio.Convention.
func Conventions() []string {
	var words []string
	for c := echo.EachOwnLeg; c <= echo.NobodyCorrects; c++ {
		words = append(words, c.String())
	}
	return words
}

// KeptRadio is what is kept of the radio path between two sessions.
type KeptRadio struct {
	// Partners is the list as CSV, Partner the name of the one in use.
	Partners string `json:"partners"`
	Partner  string `json:"partner"`
	// Company are the names of the plan's other partners.
	Company    []string `json:"company,omitempty"`
	Convention int      `json:"convention"`
	// Turns of a timed contact, seconds each; 0 where none was chosen here.
	TurnS     int  `json:"turn_s"`
	OursFirst bool `json:"ours_first"`
	TurnsOff  bool `json:"turns_off"`
	// Armed is a pass that was armed when the session ended.
	Armed *KeptPass `json:"armed,omitempty"`
	// Dates that the operator marks in the plan.
	Dates []Date `json:"dates,omitempty"`
}

// takeRadio takes up what was kept; what can't be used any more is left out.
func (s *State) takeRadio(c *Config, k KeptRadio) {
	if k.Partners != "" {
		if list, err := partner.Read([]byte(k.Partners), c.Site()); err == nil {
			s.Radio.Partners, s.Radio.List, s.Radio.Chosen = list, k.Partners, k.Partner
			s.Radio.Company = k.Company
		}
	}
	if k.Convention >= 0 && k.Convention <= int(echo.NobodyCorrects) {
		s.Radio.Convention = echo.Convention(k.Convention)
	}
	s.Turns = turnsOf(c.Settings.Periods)
	if validTurn(k.TurnS) {
		s.Turns = turns{LengthS: float64(k.TurnS), OursFirst: k.OursFirst, Off: k.TurnsOff}
	}
	s.Armed = armedAgain(c, k.Armed)
	s.Month.takeDates(k.Dates)
}

// keptRadio is what is to be kept.
func (s *State) keptRadio() KeptRadio {
	return KeptRadio{Partners: s.Radio.List, Partner: s.Radio.Chosen, Convention: int(s.Radio.Convention), TurnS: int(s.Turns.LengthS), OursFirst: s.Turns.OursFirst, TurnsOff: s.Turns.Off, Armed: s.Armed.kept(), Dates: s.Month.Dates, Company: s.Radio.Company}
}

func partnerOf(p partner.Partner) Partner {
	return Partner{Name: p.Name, Locator: p.Locator, Polarisation: p.Polarisation.String(), Note: p.Note}
}

func partnersOf(list []partner.Partner) []Partner {
	out := make([]Partner, len(list))
	for i, p := range list {
		out[i] = partnerOf(p)
	}
	return out
}

// partnerTo takes the partner of a name, or none.
func (t *turn) partnerTo(name string) {
	s := &t.s.Radio
	if name != "" && !known(s.Partners, name) {
		t.say(Warning, "No partner %s in the list", name)
		return
	}
	s.Chosen = name
	t.radioChanged()
}

func known(list []partner.Partner, name string) bool {
	for _, p := range list {
		if p.Name == name {
			return true
		}
	}
	return false
}

// partnersTo replaces the list by another, given as CSV; one that can't be read changes nothing.
func (t *turn) partnersTo(text string) {
	s := &t.s.Radio
	list, err := partner.Read([]byte(text), t.c.Site())
	if err != nil {
		t.say(Warning, "List of partners not taken, line %v", err)
		return
	}
	s.Partners, s.List = list, text
	if !known(list, s.Chosen) {
		s.Chosen = ""
	}
	t.radioChanged()
}

func (t *turn) conventionTo(index int) {
	if index >= 0 && index <= int(echo.NobodyCorrects) {
		t.s.Radio.Convention = echo.Convention(index)
		t.radioChanged()
	}
}

// radioChanged has everything that depends on band, partner or convention worked out anew.
func (t *turn) radioChanged() { t.s.Radio.Radio = nil }
