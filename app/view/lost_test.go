package view

import (
	"math"
	"testing"

	"beamhelm/app/desk"
)

// A reading that has lost its value stands in its group and says so; one that never had one isn't shown.
func TestLostReading(t *testing.T) {
	s := &desk.Status{}
	for i := range s.Readings {
		s.Readings[i].Value = math.NaN()
	}
	s.Readings[3] = desk.Reading{Name: "Wind, mean", Unit: "m/s", Group: "Weather", Value: math.NaN(), Lost: true}
	now := At(s, 0, 0)
	now.Live = true
	groups := Groups(now)
	if len(groups) != 1 || len(groups[0].Lines) != 1 {
		t.Fatalf("%+v", groups)
	}
	if l := groups[0].Lines[0]; l.Figure != "no reading" || l.Unit != "" || l.Tone != Attention {
		t.Errorf("%+v", l)
	}
	if told := TellReading(now, 3); told.State.Tone != Attention {
		t.Errorf("%+v", told.State)
	}
}
