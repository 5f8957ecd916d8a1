package setup

import (
	"context"
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/audio"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Audio is the receiver's audio while its input is chosen.
type Audio interface {
	// Inputs are those that there are; it may take seconds.
	Inputs(context.Context) ([]audio.Device, error)
	// Outputs are those that there are; it may take seconds. TestTone plays a short tone on one, by its ID or name, and
	// returns at its end; it keys nothing.
	Outputs(context.Context) ([]audio.Device, error)
	TestTone(ctx context.Context, wanted string) error
	// Choose hears an input from now on, by its ID or name; empty: none.
	Choose(string)
	// Listen says that somebody listens, for some seconds.
	Listen()
	Status() audio.InputStatus
}

// hearing shows the input that is heard and how strong it is.
type hearing struct {
	pane   *Pane
	inputs *widget.Button
	device *widget.Text
	words  *widget.Text
	bar    *canvas.Raster
	level  audio.Level
}

// The bar goes from barLowDB to full scale; above barHighDB a peak is nearly too strong.
const (
	barLowDB  = -60
	barHighDB = -6
)

// hearingRows are the rows of the chapter Receiver audio above its keys.
func (p *Pane) hearingRows() []widget.Part {
	h := &hearing{pane: p, device: widget.NewText("").Small().Elastic().Named("setup-audio-device"),
		words: widget.NewText("").Small().Elastic().Named("setup-audio-level")}
	h.inputs = widget.NewButton("Inputs found…", "setup-inputs",
		"The inputs of the sound system; one that is chosen is heard at once", h.find).Tight().Sized(widget.SmallText)
	h.bar = widget.NewRaster(h.draw)
	h.bar.SetMinSize(fyne.NewSize(200, 14))
	p.hearing = h
	h.show()
	return []widget.Part{
		widget.Fixed(widget.Row(6, widget.Fixed(h.inputs), widget.Spring())),
		widget.Fixed(h.device), widget.Fixed(h.bar), widget.Fixed(h.words),
		widget.Fixed(widget.Paragraph("Set the receiver's output so that noise alone stays between −40 and −20 dBFS. "+
			"Switch off noise blanker, noise reduction, notch and automatic gain.", aboutLetters, view.Faint)),
	}
}

// find offers the inputs that are there.
func (h *hearing) find() {
	p := h.pane
	opening(p, "Looking for inputs…", offwindow.Usual, func(ctx offwindow.Context) ([]audio.Device, error) {
		return p.keeper.Audio().Inputs(ctx)
	}, h.offer)
}

func (h *hearing) offer(devices []audio.Device) {
	p := h.pane
	if len(devices) == 0 {
		p.told.Set("The sound system has no input", view.Attention)
	}
	p.with.Open.ShowItems("setup-input-list", h.inputs,
		deviceItems("input", devices, p.draft.Settings().Audio.Input, h.take))
}

// deviceItems offer the inputs or outputs of the sound system, and none of them.
func deviceItems(kind string, devices []audio.Device, now string, take func(wanted string)) []widget.Item {
	items := []widget.Item{{Words: "No " + kind, Name: "setup-" + kind + "-none", Chosen: now == "",
		Act: func() { take("") }}}
	for _, d := range devices {
		wanted := d.Name
		if _, err := audio.Find(devices, d.Name); err != nil {
			wanted = d.ID // another device has the same name
		}
		items = append(items, widget.Item{Words: d.Name, Name: "setup-" + kind + "-" + view.Name(d.ID), Tip: d.ID,
			Chosen: now == d.ID || now == d.Name, Act: func() { take(wanted) }})
	}
	return items
}

// take writes an input into the draft, and hears it.
func (h *hearing) take(wanted string) {
	p := h.pane
	p.say(p.draft.Set("audio.input", wanted))
	p.build()
}

// listen hears the input of the draft.
func (p *Pane) listen() {
	if a := p.keeper.Audio(); a != nil {
		a.Choose(p.draft.Settings().Audio.Input)
	}
}

// show brings device and level up to date.
func (h *hearing) show() {
	a := h.pane.keeper.Audio()
	if a == nil {
		h.device.Set("No receiver audio", view.Faint)
		return
	}
	a.Listen()
	s := a.Status()
	device, tone, level := "Heard: "+s.Device.Name, view.Plain, view.Phrase{}
	switch {
	case s.Trouble != "":
		device, tone = "▲ "+view.Sentence(s.Trouble), view.Attention
	case s.Device.ID == "":
		device, tone = "Nothing is heard", view.Faint
	default:
		level = view.LevelWords(s.Level.RMSDBFS, s.Level.PeakDBFS, s.Level.Clipping, s.Level.Dead)
	}
	h.device.Set(device, tone)
	h.words.Set(level.Words, level.Tone)
	if s.Device.ID == "" {
		s.Level = audio.Level{RMSDBFS: math.Inf(-1), PeakDBFS: math.Inf(-1)}
	}
	if s.Level != h.level {
		h.level = s.Level
		widget.Redraw(h.bar)
	}
}

// draw draws the level as a bar, its peak as a line, a tick every 10 dB.
func (h *hearing) draw(w, height int) image.Image {
	ink := widget.Current()
	d := chart.New(w, height)
	d.FillAll(ink.Well)
	at := func(db float64) int { return int(float64(w) * max(0, min(1, (db-barLowDB)/-barLowDB))) }
	fill := ink.Setpoint
	if h.level.Clipping {
		fill = ink.Warning
	}
	d.Fill(image.Rect(0, 0, at(h.level.RMSDBFS), height), fill)
	for db := barLowDB + 10; db < 0; db += 10 {
		d.Fill(image.Rect(at(float64(db)), height*2/3, at(float64(db))+1, height), ink.Mark)
	}
	peak := ink.Measured
	if h.level.PeakDBFS > barHighDB {
		peak = ink.Warning
	}
	if x := at(h.level.PeakDBFS); x > 0 {
		d.Fill(image.Rect(x-2, 0, x, height), peak)
	}
	return d.Picture()
}
