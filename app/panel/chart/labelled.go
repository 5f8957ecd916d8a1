package chart

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Labelled is a plot with figures at the left of it and moments beneath it.
type Labelled struct {
	object  *fyne.Container
	plot    fyne.CanvasObject
	unit    *widget.Text
	figures []label
	moments []label
	reserve float32 // for the figures
}

// label is a text at a part of the plot's height from above, or of its width.
type label struct {
	at   float64
	text *widget.Text
}

// NewLabelled returns the labels around a plot.
func NewLabelled(plot fyne.CanvasObject) *Labelled {
	l := &Labelled{plot: plot, unit: widget.NewLabel("")}
	l.object = container.New(labelledLayout{l}, plot, l.unit)
	return l
}

// Object returns the plot with its labels.
func (l *Labelled) Object() fyne.CanvasObject { return l.object }

// Show sets the labels: round figures of a range, its low end at the plot's lower edge, and round moments.
func (l *Labelled) Show(low, high float64, unit string, from, to time.Time) {
	l.unit.SetWords(unit)
	step := view.TickStep(low, high, 4)
	figures := view.Ticks(low, high, 4)
	l.figures = l.take(l.figures, len(figures), func(i int) (float64, string) {
		return (high - figures[i]) / (high - low), view.Number(figures[i], view.TickDecimals(step))
	})
	moments, layout := view.TimeTicks(from, to, 5)
	l.moments = l.take(l.moments, len(moments), func(i int) (float64, string) {
		return moments[i].Sub(from).Seconds() / to.Sub(from).Seconds(), moments[i].Format(layout)
	})
	l.object.Layout.Layout(nil, l.object.Size())
}

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

func (a labelledLayout) edges() (left, bottom float32) {
	left = a.l.unit.MinSize().Width
	for _, f := range a.l.figures {
		left = max(left, f.text.MinSize().Width)
	}
	// Once wide it stays so: the plot doesn't jump as a figure comes and goes.
	a.l.reserve = max(a.l.reserve, left)
	return a.l.reserve + labelGap, a.l.unit.MinSize().Height
}

// MinSize implements fyne.Layout.
func (a labelledLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	left, bottom := a.edges()
	return a.l.plot.MinSize().Add(fyne.NewSize(left, bottom))
}

// Layout implements fyne.Layout.
func (a labelledLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	left, bottom := a.edges()
	plot := fyne.NewSize(max(0, size.Width-left), max(0, size.Height-bottom))
	a.l.plot.Move(fyne.NewPos(left, 0))
	a.l.plot.Resize(plot)
	put := func(t *widget.Text, x, y float32) {
		least := t.MinSize()
		t.Resize(least)
		t.Move(fyne.NewPos(float32(int(x)), float32(int(y))))
	}
	for _, f := range a.l.figures {
		least := f.text.MinSize()
		put(f.text, a.l.reserve-least.Width, max(0, min(float32(f.at)*plot.Height-least.Height/2, plot.Height-least.Height)))
	}
	free := left // moments that would run into the one before are left out
	for _, m := range a.l.moments {
		least := m.text.MinSize()
		x := max(left, min(left+float32(m.at)*plot.Width-least.Width/2, size.Width-least.Width))
		if x < free {
			put(m.text, x, -1000)
			continue
		}
		put(m.text, x, plot.Height)
		free = x + least.Width + 2*labelGap
	}
	put(a.l.unit, 0, plot.Height)
}
