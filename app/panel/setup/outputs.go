package setup

import (
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/audio"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// toneOutput chooses the output that the tones go to, and plays a test tone on it.
type toneOutput struct {
	pane          *Pane
	outputs, tone *widget.Button
}

// toneWithin is how long a test tone may take, with the opening of the device.
const toneWithin = 12 * time.Second

// toneOutputRows are the rows of the chapter Radio that choose the output.
func (p *Pane) toneOutputRows() []widget.Part {
	t := &toneOutput{pane: p}
	t.outputs = widget.NewButton("Outputs found…", "setup-outputs",
		"The outputs of the sound system, for the tones of own echoes", t.find).
		Tight().Sized(widget.SmallText)
	t.tone = widget.NewButton("Test tone", "setup-test-tone",
		"1000 Hz for 2 s on the output chosen here, at half of full scale. It keys nothing; switch VOX off", t.play).
		Tight().Sized(widget.SmallText)
	p.toneOutput = t
	t.show()
	var row fyne.CanvasObject = widget.Row(6, widget.Fixed(t.outputs), widget.Fixed(t.tone), widget.Spring())
	return []widget.Part{widget.Fixed(row), widget.Fixed(widget.Paragraph(
		"The test tone keys nothing. A radio with VOX on transmits by itself when it hears it: switch VOX off first.",
		aboutLetters, view.Faint))}
}

// find offers the outputs that are there.
func (t *toneOutput) find() {
	p := t.pane
	opening(p, "Looking for outputs…", offwindow.Usual, func(ctx offwindow.Context) ([]audio.Device, error) {
		return p.keeper.Audio().Outputs(ctx)
	}, t.offer)
}

func (t *toneOutput) offer(devices []audio.Device) {
	p := t.pane
	if len(devices) == 0 {
		p.told.Set("The sound system has no output", view.Attention)
	}
	p.with.Open.ShowItems("setup-output-list", t.outputs,
		deviceItems("output", devices, p.draft.Settings().Keying.Output, t.take))
}

// take writes an output into the draft.
func (t *toneOutput) take(wanted string) {
	p := t.pane
	p.say(p.draft.Set("keying.tone_output", wanted))
	p.build()
}

// play plays the test tone, unless it could go on the air.
func (t *toneOutput) play() {
	p, wanted := t.pane, t.pane.draft.Settings().Keying.Output
	if why := toneBlocked(p.now, wanted); why != "" {
		p.say(view.Sentence(why))
		return
	}
	inBackground(
		p,
		"Test tone on "+wanted+", nothing is keyed…",
		toneWithin,
		func(ctx offwindow.Context) (string, error) {
			return wanted, p.keeper.Audio().TestTone(ctx, wanted)
		},
		func(string) { p.told.Set("Test tone played; nothing was keyed", view.Plain) },
	)
}

// toneBlocked says why no test tone may be played now; empty where it may.
func toneBlocked(now view.Now, wanted string) string {
	switch {
	case wanted == "":
		return "choose an output first"
	case now.Status == nil:
		return ""
	case view.OwnEchoRuns(now):
		return "own echoes are being measured"
	case now.Transmit.Keyed:
		return "the transmitter is keyed: the tone would go on the air"
	case now.PermitRequested || now.Transmit.Permitted:
		return "withdraw the transmit permit first: a tone could go on the air"
	}
	return ""
}

// show lets the test tone be pressed where there is an output.
func (t *toneOutput) show() {
	t.tone.SetEnabled(t.pane.keeper.Audio() != nil && t.pane.draft.Settings().Keying.Output != "")
}
