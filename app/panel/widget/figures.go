package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"image/color"

	"beamhelm/app/view"
)

// Figures is a list of lines, each a name, a figure and what qualifies it, as
// high as there is room for.
type Figures struct {
	object *fyne.Container
	name   string
	lines  []figureLine
	wide   bool
}

type figureLine struct {
	name, value, note *Text
	rule              *Ground
}

// Heights of a line, in units.
const (
	minLine float32 = 15
	maxLine float32 = 23
)

// NewFigures returns a list of as many lines as are shown at first. The name is the one by which tests find
// its figures: name-1, name-2 and so on.
func NewFigures(name string, lines int) *Figures {
	f := &Figures{name: name}
	f.object = container.New(figuresLayout{f})
	for range lines {
		f.add()
	}
	return f
}

func (f *Figures) add() {
	number := string(rune('1' + len(f.lines)))
	l := figureLine{
		name:  NewText("").Small().Elastic(),
		value: NewText("").Bold().Right().Elastic().Named(f.name + "-" + number),
		note:  NewLabel("").Elastic().Named(f.name + "-" + number + "-note"),
		rule:  NewGround(func(p *Palette) color.NRGBA { return p.Line }, 0),
	}
	f.lines = append(f.lines, l)
	f.object.Objects = append(f.object.Objects, l.rule, l.name, l.value, l.note)
}

// Wide gives the figures more room than the names: for frequencies.
func (f *Figures) Wide() *Figures { f.wide = true; return f }

// Object is what is drawn.
func (f *Figures) Object() fyne.CanvasObject { return f.object }

// Show brings the lines up to date, and says whether their number or a name is another.
func (f *Figures) Show(lines []view.Figure) bool {
	changed := len(lines) != len(f.lines)
	for len(f.lines) < len(lines) {
		f.add()
	}
	f.lines = f.lines[:len(lines)]
	f.object.Objects = f.object.Objects[:4*len(lines)]
	for i, line := range lines {
		changed = changed || f.lines[i].name.words != line.Name
		f.lines[i].name.Set(line.Name, view.Plain)
		f.lines[i].value.Set(line.Value.Words, line.Value.Tone)
		f.lines[i].note.Set(line.Note.Words, line.Note.Tone)
	}
	if changed {
		f.object.Refresh()
	}
	return changed
}

type figuresLayout struct{ figures *Figures }

// MinSize implements fyne.Layout.
func (l figuresLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(300, float32(len(l.figures.lines))*minLine)
}

// Layout implements fyne.Layout.
func (l figuresLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	f := l.figures
	if len(f.lines) == 0 {
		return
	}
	height := max(minLine, min(float32(int(size.Height/float32(len(f.lines)))), maxLine))
	// Figures end at a common edge, notes begin at it.
	name, value := float32(int(size.Width*0.37)), float32(int(size.Width*0.25))
	if f.wide {
		name, value = float32(int(size.Width*0.29)), float32(int(size.Width*0.36))
	}
	note := size.Width - name - value - 8
	for i, line := range f.lines {
		y := float32(i) * height
		put := func(o fyne.CanvasObject, x, width, h float32) {
			o.Move(fyne.NewPos(x, y))
			o.Resize(fyne.NewSize(width, h))
		}
		own := max(name, min(line.name.WholeWidth(), name+value/2)) // a long name takes room from its own figure
		put(line.name, 0, own, height-1)
		put(line.value, own, name+value-own, height-1)
		put(line.note, name+value+8, note, height-1)
		line.rule.Move(fyne.NewPos(0, y+height-1))
		line.rule.Resize(fyne.NewSize(size.Width, 1))
		show(line.rule, height >= minLine+2)
	}
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
