// Package noise shows the receiver's noise of the last ten minutes as a strip,
// in dB above cold sky where that is known.
package noise

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the noise strip.
type Pane struct {
	with      widget.Context
	object    *fyne.Container
	raster    *canvas.Raster
	drawn     *chart.Drawing
	strand    *strand // the same under the pointer
	pointer   float64 // where it is, in units from the left edge; NaN elsewhere
	level     *widget.Text
	what      *widget.Text
	spanKey   *widget.Button
	cold      *widget.Button
	offSource *widget.Button
	figures   []*widget.Text // of the lines
	words     []*widget.Text // in the plot

	now     view.Now
	span    float64 // dB; 0 is automatic
	holding bool    // the highest level is held
	held    float64 // NaN before any
	read    uint64  // number of the newest sample taken in
	samples []desk.NoiseSample
	history history
	replay  replayed
	columns []column
	newest  int64 // the newest column drawn
	scale   view.NoiseScale
}

// New returns the noise strip.
func New(with widget.Context) *Pane {
	p := &Pane{
		with: with, held: math.NaN(), pointer: math.NaN(),
		level: widget.NewText("").Sized(widget.FigureText).Bold().Right().Named("noise-level"),
		what:  widget.NewLabel("").Elastic().Named("noise-above"),
	}
	p.spanKey = widget.NewButton(view.SpanWords(0), "noise-span",
		"How many dB the strip shows, the averaging time, and peak hold", p.openSpans).Tight().Sized(widget.SmallText)
	p.cold = widget.NewButton("Cold sky", "cold-sky", coldTip(view.Now{}), func() {
		with.Desk.Ask(desk.TakeColdSky{})
	}).Tight().Sized(widget.SmallText)
	p.offSource = widget.NewButton("Off source", "off-source",
		"Look some beamwidths beside the target, at the same elevation on the colder side, and back again (Ctrl+O)",
		p.OffSource).Tight().Sized(widget.SmallText).Reserve("Off source")
	p.raster = widget.NewRaster(p.draw)
	p.strand = newStrand(p)
	p.object = container.New(strip{p}, p.strand, p.level, p.what, p.spanKey, p.cold, p.offSource)
	return p
}

// OffSource goes beside the target, or back.
func (p *Pane) OffSource() {
	if !p.offSource.Disabled() {
		p.with.Desk.Ask(desk.OffSource{On: p.now.OffSource == 0})
	}
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Noise" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	if now.Status == p.now.Status && !now.Full {
		return
	}
	ended := p.now.Replay != "" && now.Replay == ""
	p.now = now
	p.samples = p.with.Desk.NoiseSince(p.read, p.samples[:0])
	for _, sample := range p.samples {
		p.history.add(sample)
		p.read = sample.Number
	}
	p.replay.take(now)
	if n := now.Noise; p.holding && now.Replay == "" && n.Clean && !(n.LevelDB <= p.held) {
		p.held = n.LevelDB
	}
	p.tell()
	p.cold.SetEnabled(view.ColdSkyBlocked(now) == "")
	p.cold.Tip(coldTip(now))
	if p.offSource.SetEnabled(view.OffSourceBlocked(now) == ""); now.OffSource != 0 {
		p.offSource.Set("On source", widget.Caution)
	} else {
		p.offSource.Set("Off source", widget.Quiet)
	}
	p.moveOn(ended)
}

// oddColumns is how many columns at either end the automatic span leaves out:
// a click of static doesn't flatten ten minutes of trace.
const oddColumns = 2

// moveOn draws the strip again when a column was added, or at any rate.
func (p *Pane) moveOn(anyway bool) {
	if p.now.Status == nil {
		return
	}
	columns, newest := p.shown().columns(p.pixels(), p.columns)
	p.columns = columns
	minimum, maximum := bounds(columns, oddColumns)
	scale := p.scale.Next(p.now.Noise, minimum, maximum, p.span)
	if newest == p.newest && scale == p.scale && !anyway {
		return
	}
	rescaled := scale != p.scale
	p.newest, p.scale = newest, scale
	widget.Redraw(p.raster)
	if rescaled || anyway {
		p.placeFigures()
	}
	p.placeWords()
}

// pixels returns the width of the strip in pixels of the screen.
func (p *Pane) pixels() int {
	perUnit := float32(1)
	if c := fyne.CurrentApp().Driver().CanvasForObject(p.raster); c != nil {
		perUnit = c.Scale()
	}
	return int(math.Round(float64(p.raster.Size().Width * perUnit)))
}

func (p *Pane) draw(w, h int) image.Image {
	columns := p.columns
	if len(columns) > w { // the window has just become smaller
		columns = columns[len(columns)-w:]
	}
	markPeriods(columns, p.newest, len(p.columns), p.now)
	held := math.NaN()
	if p.holding && p.now.Replay == "" {
		held = p.held
	}
	ticks, _ := moments(len(p.columns), p.newest)
	for i := range ticks {
		ticks[i] += float64(w - len(p.columns))
	}
	p.drawn = p.drawn.Again(w, h)
	return draw(p.drawn, chart.PerUnit(w, p.raster), columns, ticks, p.scale, held)
}

// coldTip says what the button takes, and what was taken.
func coldTip(now view.Now) string {
	tip := "Set the present level as that of cold sky: point away from Moon, Sun, sources and ground first"
	if now.Status == nil {
		return tip
	}
	if words := view.ColdWords(now); words != "" {
		tip += " (" + words + ")"
	}
	return tip
}

func (p *Pane) openSpans() {
	items := []widget.Item{}
	for _, span := range view.Spans() {
		words := view.SpanWords(span)
		items = append(items, widget.Item{Words: words, Name: view.Name(words), Chosen: span == p.span,
			Act: func() { p.SetSpan(span) }})
	}
	for _, ms := range view.Averages() {
		words := view.AverageWords(ms)
		items = append(items, widget.Item{
			Words: words, Name: view.Name(words), Chosen: p.now.Status != nil &&
				math.Round(p.now.Noise.AverageS*1000) == float64(ms),
			Act: func() { p.with.Desk.Ask(desk.AverageTo{MS: ms}) },
		})
	}
	items = append(items, widget.Item{Words: "Peak hold", Name: "hold-highest", Chosen: p.holding, Act: p.toggleHold})
	p.with.Open.ShowItems("noise-span-menu", p.spanKey, items)
}

// toggleHold begins to hold the highest level, or forgets it.
func (p *Pane) toggleHold() {
	p.holding, p.held = !p.holding, math.NaN()
	p.moveOn(true)
}

// SetSpan chooses the span in dB; 0 is automatic.
func (p *Pane) SetSpan(span float64) {
	p.span = span
	p.spanKey.Set(view.SpanWords(span), widget.Quiet)
	p.moveOn(true)
}

// placeFigures writes the figures of the lines.
func (p *Pane) placeFigures() {
	height := float64(p.raster.Size().Height)
	lines := p.scale.Lines()
	for len(p.figures) < len(lines) {
		text := widget.NewLabel("").Right()
		p.figures = append(p.figures, text)
		p.object.Objects = append(p.object.Objects, text)
	}
	free := math.Inf(1) // upper edge of the figure below
	for i, text := range p.figures {
		text.Hide()
		if i >= len(lines) {
			continue
		}
		text.SetWords(p.scale.LineWords(lines[i]))
		size := text.MinSize()
		y := p.scale.Y(lines[i]+p.scale.Zero, height)
		top := max(0, min(y-float64(size.Height)/2, height-float64(size.Height)))
		if math.Abs(top+float64(size.Height)/2-y) > float64(size.Height)/2+1 || top+float64(size.Height) > free+3 {
			continue
		}
		free = top
		text.Resize(fyne.NewSize(figureWidth, size.Height))
		text.Move(fyne.NewPos(0, float32(math.Round(top))))
		text.Show()
	}
}

// placeWords writes 'transmit' into the shaded parts and the names beside the newest marks.
func (p *Pane) placeWords() {
	used := 0
	var filled [][2]float32 // along the lower edge
	perUnit := float32(p.pixels()) / max(1, p.raster.Size().Width)
	left, width, height := p.strand.Position().X, p.raster.Size().Width, p.raster.Size().Height
	shift := width - float32(len(p.columns))/perUnit
	put := func(words string, x, room float32, low bool) bool {
		text := p.caption(used)
		text.SetWords(words)
		size := text.MinSize()
		if size.Width+6 > room {
			return false
		}
		y := float32(0)
		if low {
			y = height - size.Height + 1
		}
		text.Resize(size)
		text.Move(fyne.NewPos(float32(math.Round(float64(left+x+3))), y))
		text.Show()
		if used++; low {
			filled = append(filled, [2]float32{x, x + size.Width + 6})
		}
		return true
	}
	eachRun(p.columns, func(c column) bool { return c.keyed }, func(from, to int) {
		put("transmit", shift+float32(from)/perUnit, float32(to-from)/perUnit, false)
	})
	taken := width
	for i := len(p.columns) - 1; i >= 0; i-- {
		if mark := p.columns[i].mark; mark != 0 {
			x := shift + float32(i)/perUnit
			put(view.MarkWords(mark), x+4, taken-x-4, true)
			taken = x - 5
		}
	}
	at, words := moments(len(p.columns), p.newest)
	for i, x := range at {
		x := shift + float32(x)/perUnit
		free := width - x
		for _, f := range filled {
			if x < f[1] && x+momentWidth > f[0] {
				free = 0
			}
		}
		put(words[i], x, free, true)
	}
	for _, unused := range p.words[used:] {
		show(unused, false)
	}
}

// caption is a word in the plot, on a plate where it may lie on the trace.
func (p *Pane) caption(i int) *widget.Text {
	if i == len(p.words) {
		text := widget.NewLabel("").Plated(func(p *widget.Palette) color.NRGBA { return widget.Fade(p.Well, 0.7) }, 2)
		p.words = append(p.words, text)
		p.object.Objects = append(p.object.Objects, text)
	}
	return p.words[i]
}

func show(object fyne.CanvasObject, visible bool) {
	if object.Visible() == visible {
		return
	}
	if visible {
		object.Show()
	} else {
		object.Hide()
	}
}

// The columns of the pane, in units.
const (
	figureWidth = 46
	figureGap   = 6
	besideWidth = 226
	besideGap   = 10
	levelWidth  = 76
	momentWidth = 46
)

// strip lays the pane out.
type strip struct{ pane *Pane }

// MinSize implements fyne.Layout.
func (strip) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(400, 48) }

// Layout implements fyne.Layout.
func (l strip) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	p := l.pane
	left := float32(figureWidth + figureGap)
	right := float32(int(size.Width)) - besideWidth
	p.strand.Move(fyne.NewPos(left, 0))
	p.strand.Resize(fyne.NewSize(right-besideGap-left, size.Height))
	level, key := p.level.MinSize(), p.spanKey.MinSize()
	const gap = 2
	top := max(0, float32(int((size.Height-level.Height-gap-key.Height)/2)))
	p.level.Move(fyne.NewPos(right, top))
	p.level.Resize(fyne.NewSize(levelWidth, level.Height))
	p.what.Move(fyne.NewPos(right+levelWidth+6, top))
	p.what.Resize(fyne.NewSize(besideWidth-levelWidth-6, level.Height))
	share := float32(besideWidth-2*6) / 3
	for i, button := range []*widget.Button{p.spanKey, p.cold, p.offSource} {
		button.Move(fyne.NewPos(right+float32(i)*(share+6), top+level.Height+gap))
		button.Resize(fyne.NewSize(share, key.Height))
	}
	p.moveOn(true)
}
