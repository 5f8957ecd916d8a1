package desk

import (
	"beamhelm/app/desk/radio"
)

// KeptRadio is what is kept of the radio path and the plan between two sessions.
type KeptRadio struct {
	radio.Kept
	// Armed is a pass that was armed when the session ended.
	Armed *KeptPass `json:"armed,omitempty"`
}

// takeRadio takes up what was kept; what can't be used any more is left out.
func (s *State) takeRadio(c *Config, k KeptRadio) {
	s.Radio = radio.New(c, k.Kept)
	s.Armed = armedAgain(c, k.Armed)
}

// keptRadio is what is to be kept.
func (s *State) keptRadio() KeptRadio { return KeptRadio{Kept: s.Radio.Kept(), Armed: s.Armed.kept()} }
