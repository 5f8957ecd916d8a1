package spectrum

import (
	"math"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// labels are the words at the axes: levels, audio frequencies, times, and the radio frequencies of the edges.
type labels struct {
	levels [4]*widget.Text
	hertz  [8]*widget.Text
	clocks [8]*widget.Text
	radio  [2]*widget.Text
}

func newLabels() (l labels) {
	for i := range l.levels {
		l.levels[i] = widget.NewLabel("").Right()
	}
	for i := range l.hertz {
		l.hertz[i] = widget.NewLabel("").Middle()
	}
	for i := range l.clocks {
		l.clocks[i] = widget.NewLabel("").Right()
	}
	l.radio = [2]*widget.Text{widget.NewLabel("").Named("spectrum-low"),
		widget.NewLabel("").Right().Named("spectrum-high")}
	return l
}

func (l *labels) objects() (all []fyne.CanvasObject) {
	for _, group := range [][]*widget.Text{l.levels[:], l.hertz[:], l.clocks[:], l.radio[:]} {
		for _, text := range group {
			all = append(all, text)
		}
	}
	return all
}

// put shows a word with its place; it touches nothing that is as it was.
func put(text *widget.Text, words string, x, y, w float32) {
	text.SetWords(words)
	at, size := fyne.NewPos(x, y), fyne.NewSize(w, strip)
	if text.Position() != at {
		text.Move(at)
	}
	if text.Size() != size {
		text.Resize(size)
	}
	text.Show()
}

func hideFrom(texts []*widget.Text) {
	for _, text := range texts {
		text.Hide()
	}
}

// arrange puts all labels of a plot into their places.
func (l *labels) arrange(t *plot) {
	look := t.pane.look
	v, top := look.view(), tops[look.top]
	wide, high := t.line.Size().Width, t.line.Size().Height
	n := 0
	for step, level := tickStep(top, 3), 0.0; level < top && n < len(l.levels); level += step {
		y := high*float32(1-(level-bottomDB)/(top-bottomDB)) - strip/2
		words := view.Signed(level, 0)
		if level == 0 {
			words = "0 dB"
		}
		put(l.levels[n], words, 0, max(0, min(y, high-strip)), leftEdge-scaleWide-4)
		n++
	}
	hideFrom(l.levels[n:])
	n = 0
	const half = 30
	for step, hz := frequencyTicks(v); hz <= v.HighHz && n < len(l.hertz); hz += step {
		x := leftEdge + wide*float32((hz-v.LowHz)/(v.HighHz-v.LowHz)) - half
		if x < leftEdge-half+14 || x > leftEdge+wide-half-14 {
			continue // it would be cut at the edge
		}
		put(l.hertz[n], view.Number(hz, 0), x, high, 2*half)
		n++
	}
	hideFrom(l.hertz[n:])
	put(t.unit(), "Hz", 0, high, leftEdge-scaleWide-4)
	bottom := t.falls.Position().Y + t.falls.Size().Height
	scale := t.pane.scale
	for i, hz := range []float64{v.LowHz, v.HighHz} {
		words := view.Megahertz(scale.Radio(t.pane.now, hz)) + " MHz"
		put(l.radio[i], words, leftEdge+float32(i)*wide/2, bottom, wide/2)
	}
	l.times(t)
}

// unit is the label that names the unit of the frequencies.
func (t *plot) unit() *widget.Text { return t.labels.clocks[0] }

// clockSteps are the times between two labels.
var clockSteps = [...]time.Duration{5 * time.Second, 10 * time.Second, 20 * time.Second, 30 * time.Second, time.Minute,
	2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 30 * time.Minute}

// times puts the times beside the rows of the waterfall.
func (l *labels) times(t *plot) {
	rows := t.pane.rows.Rows()
	used, clocks := 0, l.clocks[1:]
	if f := t.fall.picture; f != nil {
		perUnit := chart.PerUnit(f.Bounds().Dx(), t.falls)
		step := clockStep(time.Duration(f.Bounds().Dy())*averages[t.pane.look.average], float64(t.falls.Size().Height))
		top, last := t.falls.Position().Y, t.falls.Size().Height-strip
		for back := 0; back+1 < len(rows) && used < len(clocks); back++ {
			at := t.pane.sky(rows[len(rows)-1-back].To)
			older := t.pane.sky(rows[len(rows)-2-back].To)
			y := float32(math.Round(float64(back)/perUnit)) - strip/2
			if at.Truncate(step).Equal(older.Truncate(step)) || y < 0 {
				continue
			}
			if y > last {
				break
			}
			put(clocks[used], at.Truncate(step).Format("15:04:05"), 0, top+y, leftEdge-4)
			used++
		}
	}
	hideFrom(clocks[used:])
}

// clockStep is the time between two labels where the fall is so high and shows so much.
func clockStep(shows time.Duration, high float64) time.Duration {
	for _, step := range clockSteps {
		if step.Seconds()/shows.Seconds()*high >= 3*strip && shows/step <= 6 {
			return step
		}
	}
	return clockSteps[len(clockSteps)-1]
}
