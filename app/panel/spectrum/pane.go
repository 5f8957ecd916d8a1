// Package spectrum shows the receiver's audio: its spectrum, and below it the
// waterfall, with the places where the own echo and the partner must be.
package spectrum

import (
	"math"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/audio"
	"beamhelm/app/audio/spectrum"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Source is the receiver's audio.
type Source interface {
	// Listen says that somebody listens, for some seconds.
	Listen()
	Status() audio.InputStatus
	Tape() *audio.Tape
}

// Pane is the pane Spectrum.
type Pane struct {
	with   widget.Context
	source Source
	scale  view.AudioScale
	now    view.Now
	object fyne.CanvasObject

	device, own, partner, readout, told *widget.Text
	spanKey, averageKey, levelKey       *widget.Button
	freeze, save                        *widget.Button
	plot                                *plot

	look   look
	rows   spectrum.Rows
	mean   []float32 // of the newest rows, power over the noise
	marks  []view.AudioMark
	frozen bool
	end    int64         // of the tape, when it was frozen
	ahead  time.Duration // of the sky's time, from the computer's
	keyed  keyings
}

// keep is how many rows are kept: more than a pane is high.
const keep = 900

// New returns the pane.
func New(with widget.Context, source Source, scale view.AudioScale) *Pane {
	p := &Pane{with: with, source: source, scale: scale, look: usualLook().within(),
		device:  widget.NewText("").Small().Elastic().Named("spectrum-device"),
		own:     widget.NewText("").Small().Tone(view.MoonTone).Elastic().Named("spectrum-own"),
		partner: widget.NewText("").Small().Tone(view.Wanted).Elastic().Named("spectrum-partner"),
		readout: widget.NewText("").Small().Elastic().Named("spectrum-readout"),
		told:    widget.NewLabel("").Elastic().Named("spectrum-result"),
	}
	key := func(name, tip string, act func()) *widget.Button {
		return widget.NewButton("", name, tip, act).Tight().Sized(widget.SmallText)
	}
	p.spanKey = key("spectrum-span", "How wide the view is; the wheel and + and − do the same",
		p.openSpans).Reserve("Span 500 Hz ▾")
	p.averageKey = key("spectrum-average", "Time that each row averages: a weak steady line shows better in long rows",
		p.openAverages).Reserve("Average 0.125 s ▾")
	p.levelKey = key("spectrum-level", "Levels between the darkest and the brightest colour, over the median noise",
		p.openTops).Reserve("−3 to +60 dB ▾")
	p.freeze = key("spectrum-freeze", "Stops the picture; the recording goes on", p.toggle)
	p.freeze.Set("Freeze", widget.Quiet)
	p.save = key("spectrum-save", "The picture, or the newest minutes as a recording, in a file", p.openSave)
	p.save.Set("Save…", widget.Quiet)
	p.plot = newPlot(p)
	p.rows.Look(p.look.view(), keep)
	p.object = widget.Column(4,
		widget.Fixed(widget.Row(6, widget.Sharing(p.device), widget.Fixed(p.freeze), widget.Fixed(p.save))),
		widget.Fixed(widget.Row(6, widget.Fixed(p.spanKey), widget.Fixed(p.averageKey), widget.Fixed(p.levelKey),
			widget.Spring())),
		widget.Sharing(p.plot),
		widget.Fixed(p.readout),
		widget.Fixed(p.own), widget.Fixed(p.partner),
		widget.Fixed(p.told))
	p.sayLook()
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Spectrum" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Watch takes note of when the transmitter was keyed.
func (p *Pane) Watch(now view.Now) { p.keyed.note(now.Transmit.Keyed, time.Now()) }

// Show implements widget.Pane: rows are made here and nowhere else, so a hidden pane costs nothing.
func (p *Pane) Show(now view.Now) {
	p.source.Listen()
	p.now = now
	at := time.Now()
	if ahead := now.At.Sub(at); (ahead - p.ahead).Abs() > 500*time.Millisecond {
		p.ahead = ahead // it is kept else: a status may be a tick old
	}
	if now.Full {
		p.showWords()
	}
	if p.frozen || !now.Full && !p.Eager() {
		return // long rows come with all else that changes once a second
	}
	if made := p.make(time.Now()); made > 0 {
		p.mean = p.rows.Mean(meanOf, p.mean)
		p.plot.add(made)
		if p.plot.over {
			p.tell()
		}
	}
}

// Eager says that rows come about at every tick.
func (p *Pane) Eager() bool { return !p.frozen && averages[p.look.average] < time.Second }

// meanOf is how many rows the line is the mean of.
const meanOf = 4

// makeFor is for how long rows are made in one tick: the window draws and hears Esc in between.
const makeFor = 12 * time.Millisecond

// make makes the rows that have come about, and counts them.
func (p *Pane) make(began time.Time) (made int) {
	for made == 0 || time.Since(began) < makeFor {
		n := p.rows.Next(p.source.Tape(), 4, p.keyed.during)
		if made += n; n < 4 {
			break
		}
	}
	return made
}

// showWords says what is heard, and where echo and partner must be.
func (p *Pane) showWords() {
	s := p.source.Status()
	none := ""
	switch {
	case s.Trouble != "":
		p.device.Set("▲ "+view.Sentence(s.Trouble), view.Attention)
		none = "Nothing is heard"
	case s.Device.ID == "":
		p.device.Set("No receiver audio", view.Faint)
		none = "Choose an input in Set-up, Receiver audio"
	default:
		level := view.LevelWords(s.Level.RMSDBFS, s.Level.PeakDBFS, s.Level.Clipping, s.Level.Dead)
		p.device.Set(s.Device.Name+", "+level.Words, level.Tone)
	}
	if len(p.rows.Rows()) > 0 {
		none = ""
	}
	p.plot.none.SetWords(none)
	p.marks = view.AudioMarks(p.now, p.scale)
	own, partner := "", ""
	for _, m := range p.marks {
		if m.Own {
			own = "▼ " + view.AudioMarkWords(m)
		} else {
			partner = "◆ " + view.AudioMarkWords(m)
		}
	}
	if own == "" {
		own = "Own echo: the Moon is below its limit"
	}
	p.own.SetWords(own)
	p.partner.SetWords(partner)
	p.plot.labels.arrange(p.plot)
	p.tell()
}

// sky is the time of the sky at a moment of the computer's clock.
func (p *Pane) sky(at time.Time) time.Time { return at.Add(p.ahead).UTC() }

// tell says what is under the pointer.
func (p *Pane) tell() {
	t := p.plot
	if !t.over {
		p.readout.Set("Point at the plot for its figures", view.Faint)
		return
	}
	hz := t.hz(t.pointer.X)
	words := view.Number(hz, decimals(p.rows.BinHz())) + " Hz"
	if radio := p.scale.Radio(p.now, hz); !math.IsNaN(radio) {
		words += "   " + view.Megahertz(radio) + " MHz"
	}
	over, rows := p.mean, p.rows.Rows()
	back, inFall := t.row(t.pointer.Y)
	if inFall {
		if over = nil; back < len(rows) {
			over = rows[len(rows)-1-back].Over
		}
	}
	if bin := int(math.Round((hz - p.rows.FirstHz()) / p.rows.BinHz())); bin >= 0 && bin < len(over) {
		words += "   " + view.Signed(spectrum.Decibels(over[bin]), 1) + " dB"
	}
	if inFall && back < len(rows) {
		words += "   " + p.sky(rows[len(rows)-1-back].To).Format("15:04:05") + " UTC"
	}
	p.readout.Set(words, view.Measured)
}

func decimals(binHz float64) int {
	if binHz < 1 {
		return 1
	}
	return 0
}

// take looks at the audio in another way, and goes through what is on the tape again where it must.
func (p *Pane) take(l look) {
	l = l.within()
	if l == p.look {
		return
	}
	p.look = l
	if p.rows.View() != l.view() {
		p.rows.Look(l.view(), keep)
		p.mean = p.mean[:0]
		p.frozen = false // its rows are gone
	}
	p.sayLook()
	p.plot.again()
	p.tell()
}

func (p *Pane) sayLook() {
	l := p.look
	p.spanKey.Set("Span "+spanWords(spans[l.span])+" ▾", widget.Quiet)
	p.averageKey.Set("Average "+averageWords(averages[l.average])+" ▾", widget.Quiet)
	p.levelKey.Set(levelWords(tops[l.top])+" ▾", widget.Quiet)
	p.freeze.Choose(p.frozen)
}

// toggle freezes the picture, or lets it run again.
func (p *Pane) toggle() {
	p.frozen = !p.frozen
	p.end = p.source.Tape().Written()
	p.sayLook()
}

// keyings are the times at which the transmitter was keyed, as far as the newest tape reaches.
type keyings struct {
	keyed   bool
	changes []time.Time // keyed and unkeyed, alternating: keyed first
}

// maxChanges is how many changes are kept: more than there are in five minutes of contacts.
const maxChanges = 400

func (k *keyings) note(keyed bool, at time.Time) {
	if keyed == k.keyed {
		return
	}
	k.keyed = keyed
	if k.changes = append(k.changes, at); len(k.changes) > maxChanges {
		k.changes = append(k.changes[:0:0], k.changes[maxChanges/2:]...)
	}
}

// during says whether the transmitter was keyed at some moment of a piece of time.
func (k *keyings) during(from, to time.Time) bool {
	for i := 0; i < len(k.changes); i += 2 {
		if k.changes[i].Before(to) && (i+1 == len(k.changes) || k.changes[i+1].After(from)) {
			return true
		}
	}
	return false
}
