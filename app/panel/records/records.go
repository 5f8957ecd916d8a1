// Package records looks back: the trends of readings over a time, what happened
// in it, and a trip as it was, in place of what is live.
package records

import (
	"context"
	"fmt"
	"image"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/journal"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Source is what is looked back into. Its methods may wait for the disk: the
// pane calls them on a goroutine of its own.
type Source interface {
	Trends(ctx context.Context, keys []string, from, to time.Time, columns int) ([]journal.Trend, error)
	Entries(ctx context.Context, f journal.Filter) ([]journal.Entry, error)
	Places(ctx context.Context, from, to time.Time, maximum int) ([]journal.Place, error)
}

const (
	// columns that a trend is drawn together to: no more are seen.
	columns = 400
	// askWithin is how long the disk may take before it is given up.
	askWithin = 5 * time.Second
	// askEvery is after how many ticks what is shown is refreshed, askAfter how many after an event: by then it is
	// in the file.
	askEvery = 100
	askAfter = 12
	// shownEvery is how many ticks lie at most between two calls of Show while the pane is open.
	shownEvery = 20
	// The least and the greatest time that is shown at once.
	minSpan = time.Minute
	maxSpan = 3 * 365 * 24 * time.Hour
)

// spans are the times to choose from.
func spans() []time.Duration {
	const day = 24 * time.Hour
	return []time.Duration{10 * time.Minute, time.Hour, 6 * time.Hour, day, 7 * day, 365 * day}
}

// Pane is the pane Records.
type Pane struct {
	with   widget.Context
	source Source
	object fyne.CanvasObject
	now    view.Now

	readings []journal.Series
	span     time.Duration
	to       time.Time // the end of what is shown; zero: now
	first    time.Time // the oldest reading found by the first look; zero: none yet
	chosen   bool      // the operator has chosen how much is shown: it no longer grows with what there is
	tick     uint64    // of the newest Show
	due      uint64    // the tick at which what is shown is looked up again
	event    uint64    // the number of the newest event, known when that was set
	earlier  time.Duration
	filter   filter

	before, after, beside, sift *widget.Button
	lengths                     []*widget.Button
	legend                      []legendLine
	add                         *widget.Button
	plot                        *plot
	labelled                    *chart.Labelled
	from, station, until        *widget.Text
	search                      *widget.Entry
	list                        *entryList
	told                        *widget.Text
	replay                      *replay
	answer                      answer

	again          bool // something else was chosen meanwhile
	job, replayJob offwindow.Job
	shown          bool
}

// legendLine is a reading over the chart: how it is drawn, its name, and between what it lay.
type legendLine struct {
	choose *widget.Button
	extent *widget.Text
	row    *fyne.Container
}

// New returns the pane of a source, or of nothing when it is nil.
func New(with widget.Context, source Source) *Pane {
	p := &Pane{
		with: with, source: source, readings: journal.AllSeries()[:1:1], span: time.Hour,
		from: widget.NewLabel(""), station: widget.NewLabel("").Middle(), until: widget.NewLabel("").Right(),
		told:   widget.NewLabel("").Elastic().Named("records-result"),
		search: widget.NewEntry("records-search", "Search events"),
	}
	p.plot = newPlot(p)
	p.labelled = chart.NewLabelled(p.plot)
	small := func(words, name, tip string, act func()) *widget.Button {
		return widget.NewButton(words, name, tip, act).Tight().Sized(widget.SmallText)
	}
	p.before = small("‹", "records-before", "Earlier, by half of what is shown", func() { p.shift(-p.span / 2) })
	p.after = small("›", "records-after", "Later, by half of what is shown", func() { p.shift(p.span / 2) })
	p.add = small("Add a reading ▾", "records-add", "Draw another reading as well",
		func() { p.openGroups(len(p.readings), p.add) })
	p.beside = small("No comparison ▾", "records-comparison", "Draw the first reading of an earlier time as well",
		p.openBeside)
	p.sift = small("Everything ▾", "records-sift", "What is listed", p.openSift)
	export := small("Export…", "records-export", "What is drawn, as a table (CSV) or a picture (PNG)", p.openExport)
	p.search.OnSubmitted = func(string) { p.ask() }
	lengths := []widget.Part{}
	for _, span := range spans() {
		b := small(spanWords(span), "records-span-"+view.Name(spanWords(span)), "How much is shown, up to now", func() {
			p.span, p.to, p.chosen = span, time.Time{}, true
			p.ask()
		})
		p.lengths, lengths = append(p.lengths, b), append(lengths, widget.Sharing(b))
	}
	lengths = append(lengths, widget.Fixed(p.before), widget.Fixed(p.after))
	legend := []widget.Part{}
	for i := range maxReadings {
		p.legend = append(p.legend, p.newLegend(i))
		legend = append(legend, widget.Fixed(p.legend[i].row))
	}
	p.list = newEntryList(p.begin)
	p.list.row = widget.Row(3, widget.Part{Object: p.search, Share: 1, Min: 30},
		widget.Fixed(p.list.newer), widget.Fixed(p.sift))
	p.list.next, p.list.shown = p.search, p.tellListed
	p.replay = newReplay(func(words string) { p.told.SetWords(words) }, p.EndReplay)
	p.object = widget.Column(4,
		widget.Fixed(widget.Column(3, legend...)),
		widget.Sharing(p.labelled.Object()),
		widget.Fixed(widget.Row(4, widget.Sharing(p.from), widget.Fixed(p.station), widget.Sharing(p.until))),
		widget.Fixed(widget.Row(3, lengths...)),
		widget.Fixed(widget.Row(3, widget.Fixed(p.add), widget.Fixed(p.beside), widget.Spring(), widget.Fixed(export))),
		widget.Fixed(p.list.row),
		widget.Fixed(p.list.object), widget.Fixed(p.told), widget.Fixed(p.replay.row))
	p.arrange()
	return p
}

func (p *Pane) newLegend(index int) legendLine {
	mark := widget.NewRaster(nil)
	mark.Generator = func(w, h int) image.Image { return swatch(index, w, h, chart.PerUnit(w, mark)) }
	mark.SetMinSize(fyne.NewSize(22, 12))
	l := legendLine{extent: widget.NewText("").Small().Elastic().Named(fmt.Sprintf("records-extent-%d", index+1))}
	l.choose = widget.NewButton("", fmt.Sprintf("records-reading-%d", index+1), "Which reading is drawn so",
		nil).Tight().Sized(widget.SmallText)
	l.choose.SetAct(func() { p.openGroups(index, l.choose) })
	l.row = widget.Row(8, widget.Fixed(container.NewStack(mark)), widget.Fixed(l.choose), widget.Sharing(l.extent))
	return l
}

// arrange shows the readings that are chosen.
func (p *Pane) arrange() {
	for i, l := range p.legend {
		if i < len(p.readings) {
			l.choose.Set(p.readings[i].Name+" ▾", widget.Quiet)
			l.row.Show()
		} else {
			l.row.Hide()
		}
	}
	p.add.SetEnabled(len(p.readings) < maxReadings)
	p.object.Refresh()
}

func spanWords(d time.Duration) string {
	switch {
	case d < time.Hour:
		return fmt.Sprintf("%d min", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h", int(d.Hours()))
	case d < 365*24*time.Hour:
		return fmt.Sprintf("%d d", int(d.Hours()/24))
	}
	return "1 year"
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Records" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane: what is shown is looked up again every ten seconds, and after an event.
func (p *Pane) Show(now view.Now) {
	p.now = now
	opened := !p.shown || now.Tick > p.tick+shownEvery
	p.tick, p.shown = now.Tick, true
	if now.Status != nil && now.LastEvent != p.event {
		p.event, p.due = now.LastEvent, min(p.due, now.Tick+askAfter)
	}
	if opened {
		p.list.anew = true // nobody has looked at it meanwhile, wherever pointer and keyboard are
	}
	if opened || now.Tick >= p.due && p.to.IsZero() {
		p.due = now.Tick + askEvery
		p.fit()
		p.ask()
	}
}

// fit shows as much as there is, up to an hour, while nothing else is chosen.
func (p *Pane) fit() {
	if !p.chosen && p.to.IsZero() && !p.first.IsZero() {
		p.span = max(minSpan, min(time.Hour, p.now.At.Sub(p.first)))
	}
}

// window is the time shown.
func (p *Pane) window() (from, to time.Time) {
	to = p.to
	if to.IsZero() && p.now.Status != nil {
		to = p.now.At
	}
	return to.Add(-p.span), to
}

// shift moves the time shown; beyond now there is nothing: it follows.
func (p *Pane) shift(by time.Duration) {
	_, to := p.window()
	p.show(to.Add(by))
}

// show lets what is shown end at a moment.
func (p *Pane) show(to time.Time) {
	if p.to = to; p.now.Status == nil || !to.Before(p.now.At) {
		p.to = time.Time{}
	}
	p.ask()
}

// follow goes back to now.
func (p *Pane) follow() { p.show(p.now.At) }

// zoom widens (above 1) or narrows what is shown; one moment stays where it is.
func (p *Pane) zoom(factor float64, about time.Time) {
	from, to := p.window()
	span := max(minSpan, min(maxSpan, time.Duration(float64(p.span)*factor)))
	part := float64(to.Sub(about)) / float64(to.Sub(from))
	p.span, p.chosen = span, true
	p.show(about.Add(time.Duration(part * float64(span))))
}

// zoomMiddle zooms about the middle, or about now while it follows.
func (p *Pane) zoomMiddle(factor float64) {
	_, about := p.window()
	if !p.to.IsZero() {
		about = about.Add(-p.span / 2)
	}
	p.zoom(factor, about)
}
