package view_test

import (
	"strings"
	"testing"

	"beamhelm/app/desk/radio"
	"beamhelm/app/view"
	"github.com/soniakeys/unit"
)

// What the pane says of polarisation: the echo's turn, the two directions, the hand, linear against circular.
func TestPolarisationLines(t *testing.T) {
	say := func(r *radio.Path) (all string) {
		for _, line := range view.PolarisationLines(r) {
			all += line.Name + ": " + line.Value.Words + ", " + line.Note.Words + "|"
		}
		return all
	}
	linear := radio.Path{HasPartner: true, BothLinear: true}
	linear.Faraday.Matters, linear.Faraday.Linear = true, true
	linear.Faraday.Own.Angle, linear.Faraday.Own.Within = unit.AngleFromDeg(213), unit.AngleFromDeg(55)
	linear.Faraday.Heard.Angle, linear.Faraday.Hears.Angle = unit.AngleFromDeg(-7), unit.AngleFromDeg(60)
	if got := say(&linear); got != "Own echo turns: +210 ±60°, costs 2.7 dB|Theirs arrives here turned: −7°, costs "+
		"0.1 dB|Ours arrives there turned: +60°, costs 6.0 dB|" {
		t.Error(got)
	}
	circular := radio.Path{HasPartner: true}
	circular.Faraday.SendHand, circular.Faraday.EchoHand, circular.Faraday.Mixed = "left", "right", true
	if got := say(&circular); !strings.Contains(got,
		"sent left-hand, the Moon sends it back right-hand|Linear to circular: 3.0 dB") {
		t.Error(got)
	}
	for text, want := range map[string]int{"25": 25, "": 0, "0": -1, "301": -1, "x": -1} {
		if got, err := view.ParseContent(text); (err != nil) != (want < 0) || want >= 0 && got != want {
			t.Errorf("%q: %d, %v", text, got, err)
		}
	}
}
