package view

import (
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
)

// The Sun's separation is from the Moon, wherever the beam looks; from the beam it is said where that differs.
func TestSunSeparation(t *testing.T) {
	degrees := unit.AngleFromDeg
	status := func(az float64, trusted bool) Now {
		s := desk.Status{Bodies: []desk.Body{{Kind: desk.Sun, Az: degrees(100)}}}
		s.Axes[0] = desk.Axis{Trusted: trusted, Position: degrees(az)}
		s.Axes[1] = desk.Axis{Trusted: trusted}
		return Now{Status: &s}
	}
	for _, c := range []struct {
		az, moon float64
		trusted  bool
		value    string
		note     string
		tone     Tone
	}{
		{az: 130.4, moon: 30, trusted: true, value: "30.0°", note: "to Moon", tone: Measured},
		{az: 150, moon: 30, trusted: true, value: "30.0°", note: "to Moon, to beam 50.0°", tone: Measured},
		{az: 103, moon: 30, trusted: true, value: "30.0°", note: "to Moon, to beam 3.0°", tone: Attention},
		{az: 103, moon: 30, value: "30.0°", note: "to Moon", tone: Measured},
		{az: 150, moon: 4, value: "4.0°", note: "to Moon", tone: Attention},
	} {
		got := sunOff(status(c.az, c.trusted), &radio.Path{SunOff: degrees(c.moon)})
		if got.Name != "Sun separation" || got.Value.Words != c.value || got.Note.Words != c.note ||
			got.Value.Tone != c.tone {
			t.Errorf("%+v: %+v", c, got)
		}
	}
}
