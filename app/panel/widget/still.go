package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Still shows what stays as it is in most frames, texts, grounds and pictures, as a single picture. Nothing in it can
// be pressed or pointed at.
type Still struct {
	widget.BaseWidget
	content *fyne.Container
	merged  *Merged
}

// NewStill returns what shows a content as one picture. Redraw has to be called when something in it has changed.
func NewStill(content *fyne.Container) *Still {
	s := &Still{content: content, merged: NewMerged(0, content)}
	s.ExtendBaseWidget(s)
	return s
}

// Parts implements Composite.
func (s *Still) Parts() []fyne.CanvasObject { return []fyne.CanvasObject{s.content} }

// Forget has pictures of the content drawn again the next time it is painted.
func (s *Still) Forget(pictures ...*canvas.Raster) { s.merged.Forget(pictures...) }

// Redraw has the content laid out and painted anew.
func (s *Still) Redraw() {
	layOut(s.content)
	s.merged.Redraw()
}

// layOut lays a container out, and those in it: the window library does that by itself only for what it draws.
func layOut(content *fyne.Container) {
	if content.Layout != nil {
		content.Layout.Layout(content.Objects, content.Size())
	}
	for _, object := range content.Objects {
		if inner, is := object.(*fyne.Container); is {
			layOut(inner)
		}
	}
}

// Emptied forgets a content that has been taken out.
func (s *Still) Emptied() {
	s.merged.ForgetAll()
	s.Redraw()
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
func (r *stillRenderer) Refresh() { r.still.Emptied() }
