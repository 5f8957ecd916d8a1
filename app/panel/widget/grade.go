package widget

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
	"golang.org/x/image/vector"

	"beamhelm/app/desk"
)

// GradeMark tells a grade by its shape as well as by its colour: a triangle for
// a warning, a square for an alarm, nothing for what is normal.
type GradeMark struct {
	widget.BaseWidget
	grade desk.Grade
}

// markSide is the side of a mark, in units.
const markSide = 11

// NewGradeMark returns the mark of what is normal.
func NewGradeMark() *GradeMark {
	m := &GradeMark{}
	m.ExtendBaseWidget(m)
	return m
}

// Set shows a grade.
func (m *GradeMark) Set(grade desk.Grade) {
	if m.grade != grade {
		m.grade = grade
		m.Refresh()
	}
}

// CreateRenderer implements fyne.Widget.
func (m *GradeMark) CreateRenderer() fyne.WidgetRenderer {
	r := &gradeRenderer{mark: m}
	r.raster = NewRaster(r.draw)
	return r
}

type gradeRenderer struct {
	mark   *GradeMark
	raster *canvas.Raster
}

func (r *gradeRenderer) draw(w, h int) image.Image {
	picture := image.NewNRGBA(image.Rect(0, 0, w, h))
	p := Current()
	outline := vector.NewRasterizer(w, h)
	x, y := float32(w), float32(h)
	var ink color.NRGBA
	switch r.mark.grade {
	case desk.Warning:
		ink = p.Warning
		outline.MoveTo(x*0.5, y*0.06)
		outline.LineTo(x, y*0.94)
		outline.LineTo(0, y*0.94)
	case desk.AlarmGrade:
		ink = p.Alarm
		outline.MoveTo(x*0.06, y*0.06)
		outline.LineTo(x*0.94, y*0.06)
		outline.LineTo(x*0.94, y*0.94)
		outline.LineTo(x*0.06, y*0.94)
	default:
		return picture
	}
	outline.ClosePath()
	outline.Draw(picture, picture.Bounds(), image.NewUniform(ink), image.Point{})
	return picture
}

// Layout keeps the mark square, in the middle.
func (r *gradeRenderer) Layout(size fyne.Size) {
	r.raster.Resize(fyne.NewSize(markSide, markSide))
	r.raster.Move(fyne.NewPos(0, float32(int((size.Height-markSide)/2))))
}

// MinSize is the same for every grade, so that words stay where they are.
func (r *gradeRenderer) MinSize() fyne.Size { return fyne.NewSize(markSide, markSide) }

func (r *gradeRenderer) Refresh()                     { Redraw(r.raster) }
func (r *gradeRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.raster} }
func (r *gradeRenderer) Destroy()                     {}
