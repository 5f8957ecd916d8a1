// Package records looks back: the trend of a reading over a time, and what
// happened in it.
package records

import (
	"context"
	"fmt"
	"strings"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Source is what is looked back into. Its methods may wait for the disk: the
// pane calls them on a goroutine of its own.
type Source interface {
	Trends(ctx context.Context, keys []string, from, to time.Time, columns int) ([]journal.Trend, error)
	Happenings(ctx context.Context, f journal.Filter) ([]journal.Happening, error)
}

const (
	// mostLines is how many happenings are listed.
	mostLines = 9
	// columns that a trend is drawn together to: no more are seen.
	columns = 400
	// askWithin is how long the disk may take before it is given up.
	askWithin = 5 * time.Second
	// askEvery is after how many ticks what is shown is looked up anew.
	askEvery = 100
)

// spans are the times that can be looked at.
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

	series journal.Series
	span   time.Duration
	back   int // how many halves of the span the end lies before now

	choose, before, after *widget.Button
	lengths               []*widget.Button
	trend                 *trend
	extent, from, to      *widget.Text
	search                *widget.Entry
	grades                []*widget.GradeMark
	times, words          []*widget.Text
	told                  *widget.Text

	asking, again bool // only on Fyne's goroutine
	shown         bool
}

// New returns the pane of a source, or of nothing when it is nil.
func New(with widget.Context, source Source) *Pane {
	p := &Pane{
		with: with, source: source, series: journal.AllSeries()[0], span: time.Hour,
		trend: newTrend(), extent: widget.NewText("").Small().Elastic().Named("records-extent"),
		from: widget.NewLabel(""), to: widget.NewLabel("").Right(),
		told:   widget.NewLabel("").Elastic().Named("records-told"),
		search: widget.NewEntry("records-search", "words to look for in what happened"),
	}
	p.choose = widget.NewButton(p.series.Name+" ▾", "records-reading", "Which reading is drawn", p.openGroups).Sized(widget.SmallText)
	p.before = widget.NewButton("◂", "records-before", "Look further back, by half of what is shown", func() { p.move(+1) }).Tight().Sized(widget.SmallText)
	p.after = widget.NewButton("▸", "records-after", "Look later, by half of what is shown", func() { p.move(-1) }).Tight().Sized(widget.SmallText)
	p.search.OnSubmitted = func(string) { p.ask() }
	lengths := []widget.Part{}
	for _, span := range spans() {
		b := widget.NewButton(spanWords(span), "records-span-"+view.Name(spanWords(span)), "How much is shown", func() {
			p.span, p.back = span, 0
			p.ask()
		}).Tight().Sized(widget.SmallText)
		p.lengths, lengths = append(p.lengths, b), append(lengths, widget.Sharing(b))
	}
	lengths = append(lengths, widget.Fixed(p.before), widget.Fixed(p.after))
	p.object = widget.Column(4,
		widget.Fixed(widget.Row(8, widget.Fixed(p.choose), widget.Sharing(p.extent))),
		widget.Sharing(p.trend.object),
		widget.Fixed(widget.Row(4, widget.Sharing(p.from), widget.Sharing(p.to))),
		widget.Fixed(widget.Row(3, lengths...)),
		widget.Part{Object: p.search, Least: 30},
		widget.Fixed(p.list()), widget.Fixed(p.told))
	return p
}

// list makes the lines of what happened.
func (p *Pane) list() fyne.CanvasObject {
	lines := []widget.Part{}
	for range mostLines {
		grade, at, words := widget.NewGradeMark(), widget.NewLabel("").Reserve("00:00 on 30 Sep"), widget.NewText("").Small().Elastic()
		p.grades, p.times, p.words = append(p.grades, grade), append(p.times, at), append(p.words, words)
		lines = append(lines, widget.Fixed(widget.Row(6, widget.Fixed(at), widget.Fixed(grade), widget.Sharing(words))))
	}
	return widget.Column(2, lines...)
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

// Show implements widget.Pane: what is shown is looked up anew every ten seconds.
func (p *Pane) Show(now view.Now) {
	p.now = now
	if !p.shown || now.Tick%askEvery == 0 && p.back == 0 {
		p.shown = true
		p.ask()
	}
}

func (p *Pane) move(by int) {
	p.back = max(0, p.back+by)
	p.ask()
}

// ask looks up what is chosen, one thing at a time.
func (p *Pane) ask() {
	for i, span := range spans() {
		p.lengths[i].Choose(span == p.span)
	}
	p.after.SetEnabled(p.back > 0)
	switch {
	case p.source == nil || p.now.Status == nil:
		return
	case p.asking:
		p.again = true
		return
	}
	p.asking = true
	to := p.now.At.Add(-time.Duration(p.back) * p.span / 2)
	q := question{p.series, to.Add(-p.span), to, p.search.Text}
	go func() {
		a := q.ask(p.source)
		fyne.Do(func() { p.take(a) })
	}()
}

// question is what is looked up, and answer what came of it.
type question struct {
	series   journal.Series
	from, to time.Time
	words    string
}

type answer struct {
	question
	points     []journal.Point
	step       time.Duration
	happenings []journal.Happening
	err        error
}

func (q question) ask(source Source) answer {
	ctx, end := context.WithTimeout(context.Background(), askWithin)
	defer end()
	a := answer{question: q}
	trends, err := source.Trends(ctx, []string{q.series.Key}, q.from, q.to, columns)
	if err == nil && len(trends) > 0 {
		a.points, a.step = trends[0].Points, trends[0].Step
	}
	if err == nil {
		a.happenings, err = source.Happenings(ctx, journal.Filter{From: q.from, To: q.to, Words: q.words, Most: mostLines})
	}
	a.err = err
	return a
}

// take shows an answer, and asks again when something else was chosen meanwhile.
func (p *Pane) take(a answer) {
	p.asking = false
	if p.again {
		p.again = false
		p.ask()
		return
	}
	p.trend.show(a)
	p.extent.SetWords(extentWords(a))
	p.from.SetWords(view.Moment(a.from, p.now.At))
	p.to.SetWords(view.Moment(a.to, p.now.At))
	for i := range p.words {
		grade, at, words := desk.Normal, "", ""
		if i < len(a.happenings) {
			h := a.happenings[i]
			grade, at, words = h.Grade, view.Moment(h.At, p.now.At), h.Words
		}
		p.grades[i].Set(grade)
		p.times[i].SetWords(at)
		p.words[i].SetWords(words)
	}
	switch {
	case a.err != nil:
		p.told.SetWords("Can't look back now: " + a.err.Error())
	case len(a.happenings) == 0:
		p.told.SetWords("Nothing happened in this time that holds these words")
	default:
		p.told.SetWords("The newest of this time, UTC. All of it: beamhelm records export")
	}
}

// extentWords says between what the reading lay.
func extentWords(a answer) string {
	low, high, ok := bounds(a.points)
	if !ok {
		return "nothing recorded in this time"
	}
	figure := func(v float64) string { return view.Number(v, a.series.Decimals) }
	unit := " " + a.series.Unit
	if a.series.Unit == "°" {
		unit = "°"
	}
	return strings.TrimSpace(figure(low) + " to " + figure(high) + unit)
}
