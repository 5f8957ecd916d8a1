package setup

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/audio"
	"beamhelm/app/panel/widget"
)

// An input is chosen by its name, by its ID where two have one name, and heard at once; the level is told with what is
// wrong with it.
func TestReceiverAudio(t *testing.T) {
	p, s := pane(t)
	p.chapter = slices.IndexFunc(chapters(), func(c chapter) bool { return c.words == "Receiver audio" })
	p.build()
	if s.chosen != "Simulated receiver" {
		t.Errorf("heard: %q", s.chosen)
	}
	for wanted, want := range map[string]string{"line": "Line in", "usb1": "usb1", "": ""} {
		s.inputs = []audio.Device{{ID: "line", Name: "Line in"}, {ID: "usb1", Name: "USB"}, {ID: "usb2", Name: "USB"}}
		p.hearing.offer(s.inputs)
		name := "setup-input-" + wanted
		if wanted == "" {
			name = "setup-input-none"
		}
		press(t, p, name)
		if got := p.draft.Settings().Audio.Input; got != want || s.chosen != want {
			t.Errorf("%q: the draft has %q, heard is %q, want %q", wanted, got, s.chosen, want)
		}
	}
	for _, row := range []struct {
		status              audio.InputStatus
		device, level, tone string
	}{
		{audio.InputStatus{}, "Nothing is heard", "", ""},
		{audio.InputStatus{Trouble: "receiver audio, USB: gone"}, "Receiver audio, USB: gone", "", ""},
		{audio.InputStatus{Device: audio.Device{ID: "a", Name: "USB"}, Level: audio.Level{RMSDBFS: -32, PeakDBFS: -20}},
			"Heard: USB", "−32 dBFS, peak −20 dBFS", ""},
		{audio.InputStatus{Device: audio.Device{ID: "a", Name: "USB"}, Level: audio.Level{Clipping: true}},
			"Heard: USB", "clipping", ""},
		{audio.InputStatus{Device: audio.Device{ID: "a", Name: "USB"}, Level: audio.Level{Dead: true}}, "Heard: USB",
			"nothing but zeros", ""},
	} {
		s.heard = row.status
		p.now.Tick = 2
		p.Show(p.now)
		if got := p.hearing.device.ControlWords(); !strings.Contains(got, row.device) {
			t.Errorf("device %q, want %q", got, row.device)
		}
		if got := p.hearing.words.ControlWords(); !strings.Contains(got, row.level) {
			t.Errorf("level %q, want %q", got, row.level)
		}
	}
}

// What the bar of the level draws in each palette: noise as it should be, nearly too strong, clipping, and nothing.
func TestLevelPictures(t *testing.T) {
	p, s := pane(t)
	p.chapter = slices.IndexFunc(chapters(), func(c chapter) bool { return c.words == "Receiver audio" })
	p.build()
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		for name, level := range map[string]audio.Level{
			"noise": {RMSDBFS: -32, PeakDBFS: -20}, "strong": {RMSDBFS: -12, PeakDBFS: -3},
			"clipping": {RMSDBFS: -2, Clipping: true}, "silent": {RMSDBFS: math.Inf(-1), PeakDBFS: math.Inf(-1)},
		} {
			s.heard = audio.InputStatus{Device: audio.Device{ID: "a", Name: "USB"}, Level: level}
			p.hearing.show()
			test.AssertImageMatches(t, "level-"+name+"-"+palette.Name+".png", p.hearing.draw(320, 14))
		}
	}
}
