package spectrum

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/audio/spectrum"
	"beamhelm/app/panel/save"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
	"beamhelm/app/wavfile"
)

func (p *Pane) openSpans() {
	var items []widget.Item
	for i, hz := range spans {
		items = append(items, widget.Item{Words: spanWords(hz), Name: fmt.Sprintf("span-%g", hz),
			Chosen: i == p.look.span,
			Act: func() {
				p.take(p.look.narrower(i-p.look.span, float64(p.look.middle)))
			}})
	}
	for _, m := range view.AudioMarks(p.now, p.scale) {
		items = append(items, widget.Item{Words: "To " + m.Words, Name: "span-to-" + view.Name(m.Words),
			Tip: "Moves the view to where this must be heard", Act: func() {
				l := p.look
				l.middle = int(m.Hz)
				p.take(l)
			}})
	}
	p.with.Open.ShowItems("spectrum-spans", p.spanKey, items)
}

func (p *Pane) openAverages() {
	var items []widget.Item
	for i, d := range averages {
		items = append(items, widget.Item{Words: averageWords(d), Name: "average-" + view.Name(averageWords(d)),
			Chosen: i == p.look.average, Act: func() {
				p.take(p.look.longer(i - p.look.average))
			}})
	}
	p.with.Open.ShowItems("spectrum-averages", p.averageKey, items)
}

func (p *Pane) openTops() {
	var items []widget.Item
	for i, top := range tops {
		items = append(items, widget.Item{Words: levelWords(top), Name: fmt.Sprintf("level-%g", top),
			Chosen: i == p.look.top, Act: func() {
				p.take(p.look.higher(i - p.look.top))
			}})
	}
	p.with.Open.ShowItems("spectrum-levels", p.levelKey, items)
}

// openSave asks where to write the picture or the recording, and as what.
func (p *Pane) openSave() {
	tape := p.source.Tape()
	to := tape.Written()
	if p.frozen {
		to = p.end
	}
	about := p.about()
	recording := func(words, name, tip string, minutes int64) save.Form {
		return save.Form{Words: words, Name: name, Tip: tip, Ending: ".wav", Body: func() ([]byte, error) {
			return recorded(tape, max(tape.Oldest(), to-minutes*60*spectrum.Rate), to, about)
		}}
	}
	save.Ask(p.with, "spectrum", "The receiver's audio in a file",
		"beamhelm-audio-"+p.now.At.UTC().Format("20060102-150405"), []save.Form{
			save.PNG("spectrum-png", widget.Picture(p.object)),
			recording("Newest minute, WAV", "spectrum-minute", "The newest minute as a recording, 12 kHz, 16 bit", 1),
			recording(fmt.Sprintf("All %d minutes, WAV", audio.TapeMinutes), "spectrum-all",
				"All that is kept, as a recording, 12 kHz, 16 bit", audio.TapeMinutes),
		}, p.told.SetWords)
}

// about makes the words of a recording's header, from the moment at which it begins.
func (p *Pane) about() func(began time.Time) string {
	now, ahead, scale := p.now, p.ahead, p.scale
	device := p.source.Status().Device.Name
	return func(began time.Time) string {
		words := []string{began.Add(ahead).UTC().Format("2006-01-02T15:04:05.000Z"), now.Station.Name,
			now.Station.Locator}
		if now.Practice {
			words = append(words, "PRACTICE")
		}
		if r := now.Radio; r != nil {
			hears := view.Megahertz(scale.Radio(now, scale.PitchHz))
			words = append(words, "band "+r.Band,
				"receive frequency "+hears+" MHz at an audio frequency of "+view.Number(scale.PitchHz, 0)+" Hz")
		}
		return strings.Join(append(words, "input "+device), "; ")
	}
}

// recorded is a piece of the tape as a WAV file.
func recorded(tape *audio.Tape, from, to int64, about func(time.Time) string) ([]byte, error) {
	if from >= to {
		return nil, errors.New("nothing had been heard when this sheet was opened")
	}
	samples := make([]float32, to-from)
	began, known := tape.TimeOf(from)
	if !known || !tape.Read(from, samples) {
		return nil, errors.New("newer audio has overwritten it since this sheet was opened")
	}
	a := wavfile.Audio{RateHz: spectrum.Rate, Samples: make([]float64, len(samples))}
	for i, x := range samples {
		a.Samples[i] = float64(x)
	}
	return wavfile.Bytes(a, about(began))
}
