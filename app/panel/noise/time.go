package noise

import (
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/view"
)

// span is the time that a strip of so many columns covers.
func span(columns int, newest int64) (from, to time.Time) {
	each := float64(view.NoiseTime) / float64(max(columns, 1))
	at := func(number int64) time.Time { return time.Unix(0, int64(math.Round(float64(number)*each))).UTC() }
	return at(newest - int64(columns) + 1), at(newest + 1)
}

// maxMoments is how many round moments are marked along the strip at most.
const maxMoments = 5

// moments are the round moments of UTC along a strip of so many columns, as columns from its left edge.
func moments(columns int, newest int64) (at []float64, words []string) {
	from, to := span(columns, newest)
	ticks, layout := view.TimeTicks(from, to, maxMoments)
	for _, tick := range ticks {
		at = append(at, tick.Sub(from).Seconds()/to.Sub(from).Seconds()*float64(columns))
		words = append(words, tick.Format(layout))
	}
	return at, words
}

// strand is the strip under the pointer.
type strand struct {
	fynewidget.BaseWidget
	pane   *Pane
	raster *canvas.Raster
}

func newStrand(p *Pane) *strand {
	s := &strand{pane: p, raster: p.raster}
	s.ExtendBaseWidget(s)
	return s
}

// CreateRenderer implements fyne.Widget.
func (s *strand) CreateRenderer() fyne.WidgetRenderer { return fynewidget.NewSimpleRenderer(s.raster) }

// MouseIn implements desktop.Hoverable.
func (s *strand) MouseIn(event *desktop.MouseEvent) { s.MouseMoved(event) }

// MouseMoved implements desktop.Hoverable.
func (s *strand) MouseMoved(event *desktop.MouseEvent) {
	s.pane.pointer = float64(event.Position.X)
	s.pane.tell()
}

// MouseOut implements desktop.Hoverable.
func (s *strand) MouseOut() {
	s.pane.pointer = math.NaN()
	s.pane.tell()
}

// tell says what was heard under the pointer, or what is heard now.
func (p *Pane) tell() {
	if p.now.Status == nil {
		return
	}
	words := view.NoiseWords(p.now)
	if p.holding && !math.IsNaN(p.held) && p.now.Replay == "" {
		words.Under.Words += ", " + view.HeldWords(p.now, p.held)
	}
	n := len(p.columns)
	from, to := span(n, p.newest)
	width := float64(p.raster.Size().Width)
	if i := int(p.pointer / max(1, width) * float64(n)); n > 0 && i >= 0 && i < n && !math.IsNaN(p.pointer) {
		c := p.columns[i]
		at := from.Add(time.Duration(float64(to.Sub(from)) * (float64(i) + 0.5) / float64(n)))
		words.Head, words.Under = view.NoiseAt(p.scale, float64(c.minimum), float64(c.maximum), c.keyed, at)
	}
	p.level.Set(words.Head.Words, words.Head.Tone)
	p.what.Set(words.Under.Words, words.Under.Tone)
}
