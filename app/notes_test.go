package main

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
)

// A note has what is known of its moment, and no figure that means nothing then.
func TestNoteOfAMoment(t *testing.T) {
	s := &desk.Status{}
	s.Target.Name, s.Band.Name = "Moon", "1296 MHz"
	n := noteOf(s)
	for name, v := range map[string]float64{"azimuth": n.AzDeg, "elevation": n.ElDeg, "Doppler": n.DopplerHz,
		"noise": n.NoiseDB} {
		if !math.IsNaN(v) {
			t.Errorf("%s %v of a moment of which nothing is known", name, v)
		}
	}
	s.Axes[0] = desk.Axis{Fitted: true, Trusted: true, Position: unit.AngleFromDeg(380)}
	s.Axes[1] = desk.Axis{Fitted: true, Trusted: true, Position: unit.AngleFromDeg(30)}
	s.Radio = &radio.Path{}
	s.Radio.Up, s.Radio.Own.DopplerHz = true, 1234
	s.Radio.HasPartner, s.Radio.Partner.Name = true, "Low Meadow"
	s.Noise = desk.Noise{Clean: true, HasCold: true, LevelDB: 3, ColdDB: 1}
	n = noteOf(s)
	if math.Abs(n.AzDeg-20) > 1e-9 || math.Abs(n.ElDeg-30) > 1e-9 || n.DopplerHz != 1234 || n.NoiseDB != 2 ||
		n.Partner != "Low Meadow" || n.Target != "Moon" || n.Band != "1296 MHz" {
		t.Errorf("%+v", n)
	}
}

// A contact has the figures of its moment, the partner where there is one, and nothing that means nothing then.
func TestContactOfAMoment(t *testing.T) {
	s := &desk.Status{}
	s.Band.Name, s.Band.MHz = "1296 MHz", 1296
	s.Station.Lat, s.Station.Lon = unit.AngleFromDeg(55.02), unit.AngleFromDeg(-2.96)
	c := contactOf(s)
	for name, v := range map[string]float64{"azimuth": c.AzDeg, "Doppler": c.DopplerHz, "degradation": c.DegradationDB,
		"system": c.SystemK, "noise": c.NoiseDB, "power": c.PowerW} {
		if !math.IsNaN(v) {
			t.Errorf("%s %v of a moment of which nothing is known", name, v)
		}
	}
	if c.OwnLocator != "IO85ma" || c.Call != "" {
		t.Errorf("%+v", c)
	}
	r := &radio.Path{Up: true, HasPartner: true, AgreedHz: 1296.065e6, AboveBestPathDB: 0.5, AboveBestSkyDB: 0.3}
	r.Partner.Name, r.Partner.Locator, r.Mutual.DopplerHz, r.Noise.SystemK, r.Budget.PowerW = "Low Meadow", "FN42hn",
		-99, 60, 400
	s.Radio = r
	if c = contactOf(s); c.Call != "Low Meadow" || c.Locator != "FN42hn" || c.DopplerHz != -99 ||
		c.DegradationDB != 0.8 || c.MHz != 1296.065 || c.SystemK != 60 || c.PowerW != 400 {
		t.Errorf("%+v", c)
	}
	r.Partner.CallSign = "LOWMEADOW"
	if c = contactOf(s); c.Call != "LOWMEADOW" {
		t.Errorf("call sign %q", c.Call)
	}
}
