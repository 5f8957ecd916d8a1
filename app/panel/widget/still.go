package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Still shows what stays as it is in most frames, texts, grounds and pictures, as a single picture. Nothing in it can
// be pressed or pointed at. A text in it that changes has it painted again; any other change needs Redraw.
type Still struct {
	widget.BaseWidget
	content *fyne.Container
	merged  *Merged
}

// NewStill returns what shows a content as one picture.
func NewStill(content *fyne.Container) *Still {
	s := &Still{content: content, merged: NewMerged(0, content)}
	s.ExtendBaseWidget(s)
	s.layOut(content)
	return s
}

// Parts implements Composite.
func (s *Still) Parts() []fyne.CanvasObject { return []fyne.CanvasObject{s.content} }

// Redraw has the content laid out and painted again, and of the pictures in it those given.
func (s *Still) Redraw(pictures ...*canvas.Raster) {
	s.layOut(s.content)
	s.merged.Redraw(pictures...)
}

// RedrawAll is Redraw for a content or a palette that is another.
func (s *Still) RedrawAll() {
	s.merged.forgetAll()
	s.Redraw()
}

// layOut lays a container of the content out, and those in it: the window library does that by itself only for what it
// draws. The texts then know whose picture they are part of.
func (s *Still) layOut(content *fyne.Container) {
	if content.Layout != nil {
		content.Layout.Layout(content.Objects, content.Size())
	}
	for _, object := range content.Objects {
		switch o := object.(type) {
		case *fyne.Container:
			s.layOut(o)
		case *Text:
			o.still = s
		}
	}
}

// CreateRenderer implements fyne.Widget.
func (s *Still) CreateRenderer() fyne.WidgetRenderer {
	return &stillRenderer{widget.NewSimpleRenderer(s.merged.Picture), s}
}

type stillRenderer struct {
	fyne.WidgetRenderer
	still *Still
}

// MinSize implements fyne.WidgetRenderer: the content's.
func (r *stillRenderer) MinSize() fyne.Size { return r.still.content.MinSize() }

// Layout implements fyne.WidgetRenderer.
func (r *stillRenderer) Layout(size fyne.Size) {
	r.still.content.Resize(size)
	r.still.merged.Resize(size)
}

// Refresh implements fyne.WidgetRenderer: the palette may be another.
func (r *stillRenderer) Refresh() { r.still.RedrawAll() }
