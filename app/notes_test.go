package main

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// A note has what is known of its moment, and no figure that means nothing then.
func TestNoteOfAMoment(t *testing.T) {
	s := &desk.Status{}
	s.Target.Name, s.Band.Name = "Moon", "1296 MHz"
	n := noteOf(s)
	for name, v := range map[string]float64{"azimuth": n.AzDeg, "elevation": n.ElDeg, "Doppler": n.DopplerHz, "noise": n.NoiseDB} {
		if !math.IsNaN(v) {
			t.Errorf("%s %v of a moment of which nothing is known", name, v)
		}
	}
	s.Axes[0] = desk.Axis{Fitted: true, Trusted: true, Is: unit.AngleFromDeg(380)}
	s.Axes[1] = desk.Axis{Fitted: true, Trusted: true, Is: unit.AngleFromDeg(30)}
	s.Radio = &desk.Radio{}
	s.Radio.Up, s.Radio.Own.DopplerHz = true, 1234
	s.Radio.HasPartner, s.Radio.Partner.Name = true, "Low Meadow"
	s.Noise = desk.Noise{Clean: true, HasCold: true, LevelDB: 3, ColdDB: 1}
	n = noteOf(s)
	if math.Abs(n.AzDeg-20) > 1e-9 || math.Abs(n.ElDeg-30) > 1e-9 || n.DopplerHz != 1234 || n.NoiseDB != 2 || n.Partner != "Low Meadow" || n.Target != "Moon" || n.Band != "1296 MHz" {
		t.Errorf("%+v", n)
	}
}
