package desk

import (
	"time"

	"beamhelm/app/commission"
	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/radio"
	"beamhelm/app/wear"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Kept is what the desk keeps between two sessions, outside the settings.
type Kept struct {
	References [2]mount.Reference `json:"references"`
	Learned    [2]motion.Learned  `json:"learned"`
	Trims      []KeptTrim         `json:"trims"`
	// Band and Feed last in use, by name.
	Band string `json:"band"`
	Feed string `json:"feed"`
	// Places are the operator's own, each with its name.
	Places []BodyChoice `json:"places,omitempty"`
	// Radio is what belongs to the radio path and the plan.
	Radio KeptRadio `json:"radio"`
	// Measuring is what was measured.
	measuring.Kept
	// OwnEchoes are what the measurements of the station's own echoes found, newest last.
	OwnEchoes []ownecho.Result `json:"own_echoes,omitempty"`
	// Usual is what the dish usually does, Cable what was lost on each band.
	Usual []wear.Entry `json:"usual,omitempty"`
	Cable []CableCount `json:"cable,omitempty"`
	// Commissioning is how far the first work at the dish has come.
	Commissioning commission.State `json:"commissioning,omitzero"`
}

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

// Kept is what should be kept for the next session, as it is now.
func (d *Runner) Kept() Kept {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.kept
}

// keep takes in what should be kept for the next session.
func (d *Runner) keep(loop *step.Status) {
	for i := range loop.Axes {
		if loop.HasMotion {
			d.kept.References[i] = loop.Axes[i].Kept
		}
		d.kept.Learned[i] = loop.Axes[i].Learned
	}
	d.kept.Trims = d.state.Trims
	d.kept.Band, d.kept.Feed = d.config.Names(d.state.Band, d.state.Feed)
	d.kept.Places = d.state.Places
	d.kept.Radio = d.state.keptRadio()
	d.kept.Kept = d.state.Measuring.Kept()
	d.kept.OwnEchoes = d.state.Echoes.Results
	d.kept.Commissioning = d.state.Commissioning.State
	d.kept.Cable = d.state.Watch.Past.Cable.Counts
	if w := &d.state.Watch.Past; w.Usual.Changed != d.usual && loop.Now-d.usualAt >= time.Minute {
		d.usual, d.usualAt, d.kept.Usual = w.Usual.Changed, loop.Now, w.Usual.Entries()
	}
}
