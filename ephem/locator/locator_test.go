package locator

import (
	"math"
	"strings"
	"testing"

	"github.com/soniakeys/unit"
)

func TestOf(t *testing.T) {
	// The places and six-character locators are well-known published examples,
	// from memory; the pairs beyond the third were worked out by hand.
	for _, c := range []struct {
		lat, lon float64
		want     string
	}{
		{48.14666, 11.60833, "JN58td25xe"}, {-34.91, -56.21166, "GF15vc41oo"}, {38.92, -77.065, "FM18lw20et"},
		{-41.28333, 174.745, "RE78ir92ja"}, {41.714775, -72.727260, "FN31pr21rn"},
		{0, 0, "JJ00aa00aa"}, {90, 180, "AR09ax09ax"}, {-90, -180, "AA00aa00aa"}, {55.02, -2.96, "IO85ma"},
		{51.4778, -0.0015, "IO91xl"},
	} {
		for n := 4; n <= len(c.want); n += 2 {
			got, err := Of(unit.AngleFromDeg(c.lat), unit.AngleFromDeg(c.lon), n)
			if err != nil || got != c.want[:n] {
				t.Errorf("%v, %v with %d characters: %s, %v; want %s", c.lat, c.lon, n, got, err, c.want[:n])
			}
		}
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text                       string
		lat, lon, halfLat, halfLon float64
	}{
		{"JJ00", 0.5, 1, 0.5, 1}, {"IO85ma", 55 + 1.25/60, -3 + 2.5/60, 1.25 / 60, 2.5 / 60},
		{"io85MA", 55 + 1.25/60, -3 + 2.5/60, 1.25 / 60, 2.5 / 60},
		{"AA00aa00aa", -90 + 0.3125/3600, -180 + 0.625/3600, 0.3125 / 3600, 0.625 / 3600},
	} {
		lat, lon, halfLat, halfLon, err := Parse(c.text)
		for _, v := range [][2]float64{{lat.Deg(), c.lat}, {lon.Deg(), c.lon}, {halfLat.Deg(), c.halfLat},
			{halfLon.Deg(), c.halfLon}} {
			if err != nil || math.Abs(v[0]-v[1]) > 1e-9 {
				t.Errorf("%s: %v, want %v (%v)", c.text, v[0], v[1], err)
			}
		}
	}
}

func TestRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"": "4, 6, 8 or 10", "IO8": "4, 6, 8 or 10", "IO85m": "4, 6, 8 or 10", "IO85ma00aa00": "4, 6, 8 or 10",
		"SA00": "character 1 must be A to R", "IS00": "character 2", "IO8x": "character 4 must be 0 to 9",
		"IO85my": "character 6 must be a to x", "IO85ma0x": "character 8", "IO85ma00ay": "character 10",
		"IOé": "character 3", " IO85m": "character 1",
	} {
		if _, _, _, _, err := Parse(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	for _, c := range [][3]float64{{95, 0, 6}, {0, 181, 6}, {math.NaN(), 0, 6}, {0, math.Inf(1), 6}, {0, 0, 5},
		{0, 0, 2}, {0, 0, 12}} {
		if got, err := Of(unit.AngleFromDeg(c[0]), unit.AngleFromDeg(c[1]), int(c[2])); err == nil {
			t.Errorf("%v gave %s", c, got)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"IO85ma", "JN58td25xe", "AA00", "RR99xx99xx", "é000"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		lat, lon, _, _, err := Parse(text)
		if err != nil {
			return
		}
		back, err := Of(lat, lon, len(text))
		if err != nil || !strings.EqualFold(back, text) {
			t.Errorf("%q came back as %q, %v", text, back, err)
		}
	})
}
