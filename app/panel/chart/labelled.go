package chart

import (
	"image/color"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Labelled is a plot with figures at its left, those of a second reading at its right, those of a third beyond them,
// and moments beneath it. The uppermost figure of each has the unit.
type Labelled struct {
	object  *fyne.Container
	plot    fyne.CanvasObject
	sides   [maxSides]side // left, right, and beyond the right
	moments []label
}

// side are the figures of one axis.
type side struct {
	figures []label
	used    bool
	reserve float32 // the widest figure so far: the plot does not jump as one comes and goes
}

// label is a text at a part of the plot's height from above, or of its width.
type label struct {
	at   float64
	text *widget.Text
}

// Scale is the range of an axis: Low at the plot's lower edge.
type Scale struct {
	Low, High float64
	Unit      string
}

// maxFigures and maxMoments are how many labels an axis has at most, maxSides how many axes of figures there are.
const maxFigures, maxMoments, maxSides = 4, 5, 3

// NewLabelled returns the labels around a plot.
func NewLabelled(plot fyne.CanvasObject) *Labelled {
	l := &Labelled{plot: plot}
	l.object = container.New(labelledLayout{l}, plot)
	return l
}

// Object returns the plot with its labels.
func (l *Labelled) Object() fyne.CanvasObject { return l.object }

// Show sets the labels: round figures of up to three scales, and round moments of UTC.
func (l *Labelled) Show(from, to time.Time, scales ...Scale) { l.ShowAt(Moments(from, to), scales...) }

// ShowAt is Show for any ticks.
func (l *Labelled) ShowAt(below []Tick, scales ...Scale) {
	for i := range l.sides {
		a := &l.sides[i]
		if a.used = i < len(scales) && scales[i].High > scales[i].Low; !a.used {
			a.figures, a.reserve = l.take(a.figures, 0, nil), 0
			continue
		}
		s := scales[i]
		figures, step := view.Ticks(s.Low, s.High, maxFigures), view.TickStep(s.Low, s.High, maxFigures)
		a.figures = l.take(a.figures, len(figures), func(k int) (float64, string) {
			words := view.Number(figures[k], view.TickDecimals(step))
			if k == len(figures)-1 {
				words += view.Spaced(s.Unit)
			}
			return (s.High - figures[k]) / (s.High - s.Low), words
		})
	}
	l.moments = l.take(l.moments, len(below), func(i int) (float64, string) { return below[i].at, below[i].words })
	l.object.Layout.Layout(nil, l.object.Size())
}

// Tick is a place along the lower edge, as a part of the width, with its words.
type Tick struct {
	at    float64
	words string
}

// Moments are the ticks of a time: round moments of UTC.
func Moments(from, to time.Time) (ticks []Tick) {
	moments, layout := view.TimeTicks(from, to, maxMoments)
	for _, at := range moments {
		ticks = append(ticks, Tick{at.Sub(from).Seconds() / to.Sub(from).Seconds(), at.Format(layout)})
	}
	return ticks
}

// Figures are the ticks of a range of figures, each with the unit.
func Figures(left, right float64, unit string) (ticks []Tick) {
	decimals := view.TickDecimals(view.TickStep(left, right, maxMoments))
	for _, v := range view.Ticks(left, right, maxMoments) {
		ticks = append(ticks, Tick{(v - left) / (right - left), view.Number(v, decimals) + view.Spaced(unit)})
	}
	return ticks
}

// Grid draws the lines that the labels stand at: those of the first scale, and the moments.
func Grid(d *Drawing, from, to time.Time, s Scale, unit float64, ink color.NRGBA) {
	GridAt(d, Moments(from, to), s, unit, ink)
}

// GridAt is Grid for any ticks.
func GridAt(d *Drawing, ticks []Tick, s Scale, unit float64, ink color.NRGBA) {
	w, h, thin := float64(d.picture.Rect.Dx()), float64(d.picture.Rect.Dy()), max(1, int(unit))
	for _, v := range view.Ticks(s.Low, s.High, maxFigures) {
		d.Across(0, w, s.Y(v, h), thin, ink)
	}
	for _, t := range ticks {
		d.Down(t.at*w, 0, h, thin, ink)
	}
}

// Limits draws the low alarm, low warning, high warning and high alarm limit of a reading as dashed lines, where
// they are within the scale; NaN: none.
func Limits(d *Drawing, s Scale, limits [4]float64, unit float64) {
	p, w, h := widget.Current(), float64(d.picture.Rect.Dx()), float64(d.picture.Rect.Dy())
	for i, limit := range limits {
		if !(limit >= s.Low && limit <= s.High) {
			continue
		}
		y := s.Y(limit, h)
		d.Dashed([]Point{{X: 0, Y: y}, {X: w, Y: y}}, 1.4*unit, 5*unit, 4*unit)
		if i == 0 || i == len(limits)-1 {
			d.Paint(p.Alarm)
		} else {
			d.Paint(p.Warning)
		}
	}
}

// Y is the place of a value in a plot of a height, from above.
func (s Scale) Y(value, height float64) float64 { return (s.High - value) / (s.High - s.Low) * height }

// take brings a row of labels up to date.
func (l *Labelled) take(labels []label, count int, of func(int) (float64, string)) []label {
	for len(labels) < count {
		text := widget.NewLabel("")
		labels = append(labels, label{text: text})
		l.object.Add(text)
	}
	for i := range labels {
		if i >= count {
			labels[i].text.SetWords("")
			continue
		}
		at, words := of(i)
		labels[i].at = at
		labels[i].text.SetWords(words)
	}
	return labels
}

// labelledLayout leaves room for the figures at the left and the moments beneath.
type labelledLayout struct{ l *Labelled }

const labelGap = 4

// edges are the room of each side's figures, and that of the moments beneath.
func (a labelledLayout) edges() (rooms [maxSides]float32, bottom float32) {
	for i := range a.l.sides {
		side := &a.l.sides[i]
		if !side.used {
			continue
		}
		for _, f := range side.figures {
			side.reserve = max(side.reserve, f.text.MinSize().Width)
		}
		rooms[i] = side.reserve + labelGap
	}
	return rooms, widget.NewLabel("").MinSize().Height
}

// MinSize implements fyne.Layout.
func (a labelledLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	rooms, bottom := a.edges()
	return a.l.plot.MinSize().Add(fyne.NewSize(rooms[0]+rooms[1]+rooms[2], bottom))
}

// Layout implements fyne.Layout.
func (a labelledLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	rooms, bottom := a.edges()
	left, right := rooms[0], rooms[1]+rooms[2]
	plot := fyne.NewSize(max(0, size.Width-left-right), max(0, size.Height-bottom))
	a.l.plot.Move(fyne.NewPos(left, 0))
	a.l.plot.Resize(plot)
	put := func(t *widget.Text, x, y float32) {
		t.Resize(t.MinSize())
		t.Move(fyne.NewPos(float32(int(x)), float32(int(y))))
	}
	for i := range a.l.sides {
		side := &a.l.sides[i]
		x := func(t *widget.Text) float32 { // figures end at the plot, or begin there
			if i == 0 {
				return side.reserve - t.MinSize().Width
			}
			return size.Width - rooms[2]*float32(2-i) - side.reserve
		}
		for _, f := range side.figures {
			high := f.text.MinSize().Height
			put(f.text, x(f.text), max(0, min(float32(f.at)*plot.Height-high/2, plot.Height-high)))
		}
	}
	free := left // moments that would run into the one before are left out
	for _, m := range a.l.moments {
		minimum := m.text.MinSize()
		x := max(left, min(left+float32(m.at)*plot.Width-minimum.Width/2, size.Width-right-minimum.Width))
		if x < free {
			widget.Away(m.text)
			continue
		}
		put(m.text, x, plot.Height)
		free = x + minimum.Width + 2*labelGap
	}
}
