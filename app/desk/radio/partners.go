package radio

import (
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/partner"
)

// Partner is a station of the kept list.
type Partner struct {
	Name, Locator string
	Polarisation  string // circular, horizontal or vertical
	Note          string
	CallSign      string // empty for none
	partner.Equipment
}

// Conventions are the words for who takes the Doppler out, in the order of Radio.Convention.
func Conventions() []string {
	var words []string
	for c := echo.EachOwnLeg; c <= echo.NobodyCorrects; c++ {
		words = append(words, c.String())
	}
	return words
}

// Kept is what is kept of the radio side between two sessions.
type Kept struct {
	// Partners is the list as CSV, Partner the name of the one in use.
	Partners string `json:"partners"`
	Partner  string `json:"partner"`
	// OtherPartners are the names of the plan's other partners.
	OtherPartners []string `json:"company,omitempty"`
	Convention    int      `json:"convention"`
	// Agreed are the frequencies agreed with partners, those of the bands where none stands here.
	Agreed []Agreed `json:"agreed,omitempty"`
	// Periods of a timed contact, seconds each; 0 where none was chosen here.
	PeriodS    int  `json:"turn_s"`
	OursFirst  bool `json:"ours_first"`
	PeriodsOff bool `json:"turns_off"`
	// Mode is an index of mode.All.
	Mode int `json:"mode"`
	// Dates that the operator marks in the plan.
	Dates []Date `json:"dates,omitempty"`
}

// New is the state of the settings, and of what was kept of an earlier session; what can't be used any more is
// left out.
func New(c *station.Config, k Kept) State {
	s := State{Periods: periodsOf(c.Settings.Periods)}
	if k.Partners != "" {
		if list, err := partner.Read([]byte(k.Partners), c.Site()); err == nil {
			s.Partners, s.List, s.Chosen = list, k.Partners, k.Partner
			s.OtherPartners = k.OtherPartners
		}
	}
	if k.Convention >= 0 && k.Convention <= int(echo.NobodyCorrects) {
		s.Convention = echo.Convention(k.Convention)
	}
	if validPeriod(k.PeriodS) {
		s.Periods = Periods{LengthS: float64(k.PeriodS), OursFirst: k.OursFirst, Off: k.PeriodsOff}
	}
	s.takeAgreed(c.Settings.Bands, k.Agreed)
	s.SetMode(k.Mode)
	s.Month.takeDates(k.Dates)
	return s
}

// Kept is what is to be kept.
func (s *State) Kept() Kept {
	return Kept{
		Partners: s.List, Partner: s.Chosen, Convention: int(s.Convention), Agreed: s.Agreed,
		PeriodS:   int(s.Periods.LengthS),
		OursFirst: s.Periods.OursFirst, PeriodsOff: s.Periods.Off, Mode: s.Mode, Dates: s.Month.Dates,
		OtherPartners: s.OtherPartners,
	}
}

func partnerOf(p partner.Partner) Partner {
	return Partner{
		Name: p.Name, Locator: p.Locator, Polarisation: p.Polarisation.String(), Note: p.Note, CallSign: p.CallSign,
		Equipment: p.Equipment,
	}
}

func partnersOf(list []partner.Partner) []Partner {
	out := make([]Partner, len(list))
	for i, p := range list {
		out[i] = partnerOf(p)
	}
	return out
}

// SetPartner takes the partner of a name, or none. Why says why not.
func (s *State) SetPartner(name string) (why message.Message) {
	if name != "" && !known(s.Partners, name) {
		return message.Of("radio.no-partner", name)
	}
	s.Chosen = name
	s.Changed()
	return message.Message{}
}

func known(list []partner.Partner, name string) bool {
	for _, p := range list {
		if p.Name == name {
			return true
		}
	}
	return false
}

// SetPartners replaces the list by another, given as CSV; one that can't be read changes nothing. Why says why not.
func (s *State) SetPartners(c *station.Config, text string) (why message.Message) {
	list, err := partner.Read([]byte(text), c.Site())
	if err != nil {
		return message.Of("radio.partners", err)
	}
	s.Partners, s.List = list, text
	if !known(list, s.Chosen) {
		s.Chosen = ""
	}
	s.Changed()
	return message.Message{}
}

// SetConvention takes the convention of an index of Conventions.
func (s *State) SetConvention(index int) {
	if index >= 0 && index <= int(echo.NobodyCorrects) {
		s.Convention = echo.Convention(index)
		s.Changed()
	}
}

// Changed has everything that depends on band, partner or convention worked out again.
func (s *State) Changed() { s.path = nil }
