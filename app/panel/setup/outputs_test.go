package setup

import (
	"slices"
	"strings"
	"testing"
	"testing/synctest"

	"beamhelm/app/audio"
	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// An output is chosen by its name, by its ID where two have one name; the test tone goes to the one that is chosen,
// and to none while it could go on the air.
func TestToneOutput(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p, s := pane(t)
		p.chapter = slices.IndexFunc(chapters(), func(c chapter) bool { return c.words == "Radio" })
		p.build()
		s.inputs = []audio.Device{{ID: "line", Name: "Line out"}, {ID: "usb1", Name: "USB"}, {ID: "usb2", Name: "USB"}}
		for wanted, want := range map[string]string{"none": "", "line": "Line out", "usb1": "usb1"} {
			p.toneOutput.offer(s.inputs)
			press(t, p, "setup-output-"+wanted)
			if got := p.draft.Settings().Keying.Output; got != want {
				t.Errorf("%q: the draft has %q, want %q", wanted, got, want)
			}
		}
		rest := *p.now.Status
		rest.PermitRequested, rest.Transmit = false, desk.Transmit{}
		for name, row := range map[string]struct {
			output string
			change func(*desk.Status)
			said   string
		}{
			"chosen":    {"Line out", func(*desk.Status) {}, "nothing was keyed"},
			"none":      {"", func(*desk.Status) {}, "Choose an output"},
			"keyed":     {"Line out", func(s *desk.Status) { s.Transmit.Keyed = true }, "on the air"},
			"permitted": {"Line out", func(s *desk.Status) { s.PermitRequested = true }, "permit"},
			"a run":     {"Line out", func(s *desk.Status) { s.OwnEcho.Waiting = true }, "Own echoes"},
		} {
			status := rest
			row.change(&status)
			p.now = view.At(&status, 10, 0)
			p.toneOutput.take(row.output)
			s.toned = ""
			p.toneOutput.play()
			synctest.Wait()
			toned := ""
			if name == "chosen" {
				toned = row.output
			}
			if s.toned != toned || !strings.Contains(p.told.ControlWords(), row.said) {
				t.Errorf("%s: toned %q, said %q", name, s.toned, p.told.ControlWords())
			}
		}
	})
}
