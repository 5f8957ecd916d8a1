package setup

import (
	"fmt"
	"time"

	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/settings"
	"beamhelm/app/view"
)

// LookResult is what a look at the enclosure on a line gave.
type LookResult struct {
	// Lines tell who it is; Trouble what went wrong, if anything.
	Lines   []string
	Trouble string
	// Words are its registers from 0000 on, Known which of them were read.
	Words []uint16
	Known []bool
}

// openLook looks at the enclosure on the line of the draft, off Fyne's goroutine.
func (p *Pane) openLook() {
	line := p.draft.Settings().Link
	opening(p, "Looking at "+placeOf(line)+"…", offwindow.Usual, func(ctx offwindow.Context) (LookResult, error) {
		return p.keeper.Look(ctx, line), nil
	}, func(seen LookResult) { p.showLookResult(line, seen) })
}

// placeOf names what answers on a line.
func placeOf(line settings.Link) string {
	if line.Port == "" {
		return "the enclosure in use" // of practice, where there is no port
	}
	return "the enclosure at " + line.Port
}

// inBackground has something done beside the window's goroutine, one thing at a time,
// and then shows what came of it, or says why nothing did.
func inBackground[T any](
	p *Pane,
	words string,
	within time.Duration,
	work func(offwindow.Context) (T, error),
	show func(T),
) {
	if p.job.Busy() {
		return
	}
	p.told.Set(words, view.Faint)
	offwindow.Do(&p.job, within, work, func(value T, err error) {
		p.review()
		if err != nil {
			p.say(view.Sentence(err.Error()))
			return
		}
		show(value)
	})
}

// opening is aside for work after which a sheet or a list opens.
func opening[T any](p *Pane, words string, within time.Duration, work func(offwindow.Context) (T, error),
	open func(T)) {
	p.with.Open.Opening(p.job.Busy)
	inBackground(p, words, within, work, open)
}

// across is how many registers stand in a line.
const across = 8

func (p *Pane) showLookResult(line settings.Link, seen LookResult) {
	var parts []widget.Part
	if seen.Trouble != "" {
		parts = append(parts, widget.Fixed(widget.NewProse("▲ "+seen.Trouble).Small().Tone(view.Attention)))
	}
	for _, words := range seen.Lines {
		parts = append(parts, widget.Fixed(widget.NewProse(words).Small()))
	}
	if len(seen.Words) > 0 {
		parts = append(parts, widget.Space(4), widget.Fixed(widget.NewNote("Registers as they are on the line, "+
			"hexadecimal; – was not read. The handbook's page of registers says what each is.")))
	}
	for from := 0; from < len(seen.Words); from += across {
		row := []widget.Part{widget.Fixed(widget.NewLabel(fmt.Sprintf("%04X", from)).Reserve("0000 "))}
		for at := from; at < min(from+across, len(seen.Words)); at++ {
			words, tone := "–", view.Faint
			if seen.Known[at] {
				words, tone = fmt.Sprintf("%04X", seen.Words[at]), view.Plain
			}
			row = append(row, widget.Fixed(widget.NewText(words).Small().Tone(tone).Reserve("DDDD").Named(
				fmt.Sprintf("setup-register-%04X", at))))
		}
		parts = append(parts, widget.Fixed(widget.Row(10, row...)))
	}
	close := widget.NewButton("Close", "setup-look-close", "Close this", nil)
	p.with.Open.ShowSheet("setup-look-dialog", view.Sentence(placeOf(line)), widget.Column(2, parts...),
		[]*widget.Button{close}, close)
}
