package main

import (
	"math"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
)

// Stamp implements panel.Notes: the moment is that of the key.
func (p *session) Stamp() func(words, operator string) {
	n := noteOf(p.desk.Status())
	return func(words, operator string) {
		n.Words, n.Operator = words, operator
		p.operator.Store(&operator)
		p.records.Note(n)
	}
}

// Operator implements panel.Notes.
func (p *session) Operator() string {
	if name := p.operator.Load(); name != nil {
		return *name
	}
	return ""
}

// noteOf is what is known of a moment: figures that mean nothing then are not numbers.
func noteOf(s *desk.Status) journal.Note {
	n := journal.Note{At: s.At, AzDeg: math.NaN(), ElDeg: math.NaN(), DopplerHz: math.NaN(), NoiseDB: math.NaN(),
		Target: s.Target.Name, Band: s.Band.Name}
	if az, el := &s.Axes[0], &s.Axes[1]; az.Trusted && el.Trusted {
		n.AzDeg, n.ElDeg = az.Position.Mod1().Deg(), el.Position.Deg()
	}
	if r := s.Radio; r != nil && r.Up {
		n.DopplerHz = r.Own.DopplerHz
	}
	if s.Noise.Clean && s.Noise.HasCold {
		n.NoiseDB = s.Noise.LevelDB - s.Noise.ColdDB
	}
	if r := s.Radio; r != nil && r.HasPartner {
		n.Partner = r.Partner.Name
	}
	return n
}
