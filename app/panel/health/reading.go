package health

import (
	"math"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// readingSheet tells of one reading in full, whether it is within its limits or not: its state, its last ten minutes,
// its limits, what it was before, what is usual of it, and what to do.
type readingSheet struct {
	index       int
	pane        *Pane
	figure      *widget.Text
	state, next *widget.Prose
	limits      *fyne.Container // what it holds is made again as it changes
	before      *before
	plot        *chart.Plot
	reading     desk.Reading
	at          time.Time
	told        string // what was last worded: what must be laid out again
}

// openReading opens the sheet of a reading.
func (p *Pane) openReading(index int) {
	s := &readingSheet{
		index: index, pane: p,
		figure: widget.NewText("").Sized(widget.HeadingText).Bold().Reserve("-88.88 L/min").Named("reading-figure"),
		state:  widget.NewProse("").Named("reading-state"),
		next:   widget.NewProse(""), limits: container.NewStack(), before: newBefore(),
	}
	s.plot = chart.NewPlot(p.with, "reading-plot")
	close := widget.NewButton("Close", "reading-close", "Close this", nil)
	parts := []widget.Part{
		widget.Fixed(widget.Row(12, widget.Fixed(s.figure), widget.Sharing(s.state))),
		widget.Part{Object: s.plot.Object(), Min: 170}, widget.Fixed(s.next), widget.Fixed(s.limits),
	}
	if p.source != nil && p.now.Readings[index].Key != "" && p.now.Readings[index].Words.Code == "" {
		parts = append(parts, widget.Fixed(s.before.object))
		s.before.look(p.source, p.now.Readings[index], p.now)
	}
	buttons := []*widget.Button{close}
	key := p.now.Readings[index].Key
	if p.trend != nil && key != "" {
		buttons = append(buttons, widget.NewButton("Show in Records", "reading-records",
			"Its hours and days beside other readings", func() {
				p.with.Open.Close()
				p.trend(key)
			}))
	}
	s.show(p.now)
	sheet := p.with.Open.ShowSheet("reading-dialog", p.now.Readings[index].Name,
		widget.Column(8, parts...), buttons, close)
	sheet.OnTick(s.show)
}

// show brings the sheet up to date.
func (s *readingSheet) show(now view.Now) {
	if now.Status == nil || !now.Full && s.told != "" {
		return
	}
	told := view.TellReading(now, s.index)
	s.reading, s.at = now.Readings[s.index], now.At
	s.figure.Set(told.Figure.Words, told.Figure.Tone)
	s.state.Set(told.State.Words, told.State.Tone)
	words := told.Next.Words + "|" + strings.Join(told.Baseline, "|")
	for _, l := range append(told.IfCrossed, told.Limits...) {
		words += "|" + l.Name + l.Value.Words
	}
	if s.told != words+"|" {
		s.told = words + "|"
		s.lay(told)
	}
	s.plot.Show(s.trend())
}

// lay words the limits, the baseline and what to do.
func (s *readingSheet) lay(told view.ReadingTold) {
	var parts []widget.Part
	for _, l := range told.Limits {
		parts = append(parts, widget.Fixed(named(l.Name, widget.NewText(l.Value.Words).Small())))
	}
	for _, l := range told.IfCrossed {
		parts = append(parts, widget.Fixed(named(l.Name, widget.NewProse(l.Value.Words).Small())))
	}
	for i, words := range told.Baseline {
		name := "Baseline"
		if i > 0 {
			name = ""
		}
		parts = append(parts, widget.Fixed(named(name, widget.NewProse(words).Small())))
	}
	s.limits.Objects = []fyne.CanvasObject{widget.Column(2, parts...)}
	s.limits.Refresh()
	s.next.Set(told.Next.Words, told.Next.Tone)
	if told.Next.Words == "" {
		s.next.Hide() // it would leave a gap
	} else {
		s.next.Show()
	}
}

// named is a line of the sheet: its name, and beside it what there is to say.
func named(name string, said fyne.CanvasObject) fyne.CanvasObject {
	return widget.Row(8, widget.Top(widget.NewLabel(name).Reserve("Warning above:")), widget.Sharing(said))
}

// trend is what was read in the last ten minutes, with its limits; columns without a value are gaps.
func (s *readingSheet) trend() view.Plot {
	scale, history := s.span(), &s.pane.histories[s.index]
	all := view.Series{Look: view.Band}
	for back := columnCount - 1; back >= 0; back-- {
		low, high := float32(math.NaN()), float32(math.NaN())
		if history.any {
			low, high = history.at(back)
		}
		at := time.UnixMilli((history.column - int64(back)) * columnTime.Milliseconds())
		all.X = append(all.X, view.UnixSeconds(at))
		all.Y, all.Top = append(all.Y, float64(low)), append(all.Top, float64(high))
	}
	return view.Plot{Title: s.pane.now.Readings[s.index].Name + ", the last ten minutes", Unit: s.reading.Unit,
		Dates: true, Decimals: s.reading.Decimals,
		Left: view.UnixSeconds(s.at.Add(-columnCount * columnTime)), Right: view.UnixSeconds(s.at),
		Low: scale.Low, High: scale.High, Limits: view.LimitsOf(s.reading), Series: []view.Series{all}}
}

// span is the range of the plot: what was read, what it is now, and the limits that are near.
func (s *readingSheet) span() chart.Scale {
	minimum, maximum, ok := s.pane.histories[s.index].bounds()
	low, high := float64(minimum), float64(maximum)
	if !ok {
		low, high = s.reading.Low, s.reading.High
	}
	room := max(high-low, (s.reading.High-s.reading.Low)/10, math.Pow(10, -float64(s.reading.Decimals)))
	for _, limit := range view.LimitsOf(s.reading) {
		if limit > low-2*room && limit < high+2*room { // not where it is NaN
			low, high = min(low, limit), max(high, limit)
		}
	}
	middle := (low + high) / 2
	room = max(high-low, room) * 0.58
	return chart.Scale{Low: middle - room, High: middle + room, Unit: s.reading.Unit}
}
