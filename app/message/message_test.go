package message

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
)

// An argument is worded by its kind and the verb: angles in degrees, moments in UTC.
func TestArguments(t *testing.T) {
	at := time.Date(2027, 4, 14, 18, 5, 9, 0, time.FixedZone("", -3600))
	for want, m := range map[string]Message{
		"Not started: the Sun is 3.2° from there, and a bare dish focuses it": Of("desk.not-started",
			Of("pointing.sun-there", unit.AngleFromDeg(3.24))),
		"Trim from the peak: cross-elevation +0.25°, elevation -0.12°": Of("peak.applied",
			unit.AngleFromDeg(0.25), unit.AngleFromDeg(-0.12)),
		"The Moon has risen":                             Of("desk.has-risen", "the Moon"),
		"Unwrap at 19:05, off the target for 1 min 31 s": Of("desk.unwrap", at, 90600*time.Millisecond),
		"The Moon is 99.5° away, 31 s: press again or Confirm": Of("desk.proposed", "the Moon",
			unit.AngleFromDeg(99.5), 31*time.Second),
		"Unwrap at 19:05, off the target for 2 h 01 min": Of("desk.unwrap", at, 121*time.Minute),
		"Near the zenith from 19:05:09 to 19:05:09, up to 2.0° off the target": Of("desk.zenith", at, at,
			unit.AngleFromDeg(2)),
		"Armed: Cas A, 14 Apr 19:05 to 19:05":           Of("armed.armed", "Cas A", at, at),
		"Solar flux of 2027-04-14 entered":              Of("flux.entered", at),
		"21.8 V, low limit 22.0 V":                      Of("reading.below", Figure{21.8, 1, "V"}, Figure{22, 1, "V"}),
		"fast up: 0.45°/s, nothing to compare with yet": Of("check.axis-alone", "fast up", Figure{0.45, 2, "°/s"}),
		"no reading of coolant flow":                    Of("permit.missing", "Coolant flow"),
		"no reading of SWR":                             Of("permit.missing", "SWR"),
		"Elevation: stalled, high current, no movement": Of("guard.found-axis", "elevation", guard.Stalled),
		guard.RowOf(guard.Stalled).Next:                 Of("guard.next", guard.Stalled),
		"no such code":                                  Of("no such code"),
		"":                                              {},
	} {
		if got := m.String(); got != want {
			t.Errorf("%+v: %q, want %q", m, got, want)
		}
	}
}

// A message is kept as its words, as every version before kept it; what was kept comes back as these words.
func TestKeptAsWords(t *testing.T) {
	type kept struct {
		Why Message `json:"why,omitzero"`
	}
	for want, m := range map[string]Message{
		`{"why":"No Y factor measured: no level came"}`: Of("yfactor.none", Of("measuring.no-level")),
		`{}`: {},
	} {
		text, err := json.Marshal(kept{m})
		if err != nil || string(text) != want {
			t.Errorf("%+v is kept as %s: %v", m, text, err)
		}
		var again kept
		if err := json.Unmarshal(text, &again); err != nil || again.Why.String() != m.String() {
			t.Errorf("%s comes back as %q: %v", text, again.Why, err)
		}
	}
}

// Words from outside may say anything: they show no more than letters, and are no formats.
func TestWordsFromOutside(t *testing.T) {
	got, want := Of("beside.trouble", Text("the disk\x1b[2J says 100%d")).String(), "The disk�[2J says 100%d"
	if got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// What is asked of a message is found within others too.
func TestHas(t *testing.T) {
	m := Of("peak.none", Of("peak.up", Of("peak.few")))
	if !m.Has("peak.none") || !m.Has("peak.few") || m.Has("peak.across") {
		t.Errorf("%+v", m)
	}
}
