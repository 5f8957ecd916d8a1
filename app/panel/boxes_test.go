package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/widget"
)

// box is where an object is on the canvas.
type box struct{ left, top, right, bottom float32 }

func boxOf(o fyne.CanvasObject) box {
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(o)
	return box{at.X, at.Y, at.X + o.Size().Width, at.Y + o.Size().Height}
}

// within says whether a box lies in another, to half a unit.
func (b box) within(other box) bool {
	return b.left > other.left-0.5 && b.top > other.top-0.5 && b.right < other.right+0.5 && b.bottom < other.bottom+0.5
}

// common is what two boxes share.
func (b box) common(other box) box {
	return box{max(b.left, other.left), max(b.top, other.top), min(b.right, other.right),
		min(b.bottom, other.bottom)}
}

// walkDrawn visits every object that is drawn, the parts of those that are merged into one picture among them, each
// with its place and with what is seen of where it lies.
func walkDrawn(root fyne.CanvasObject, visit func(object fyne.CanvasObject, at fyne.Position, seen box)) {
	visited := map[fyne.CanvasObject]bool{}
	var walk func(object fyne.CanvasObject, at fyne.Position, seen box)
	walk = func(object fyne.CanvasObject, at fyne.Position, seen box) {
		if object == nil || !object.Visible() || visited[object] {
			return
		}
		visited[object] = true
		visit(object, at, seen)
		inside := func(children ...fyne.CanvasObject) {
			for _, child := range children {
				walk(child, at.Add(child.Position()), seen)
			}
		}
		switch o := object.(type) {
		case *fyne.Container:
			inside(o.Objects...)
		case *container.Scroll:
			seen = seen.common(box{at.X, at.Y, at.X + o.Size().Width, at.Y + o.Size().Height})
			inside(o.Content)
		case fyne.Widget:
			inside(test.WidgetRenderer(o).Objects()...)
			if composite, is := o.(widget.Composite); is {
				inside(composite.Parts()...)
			}
		}
	}
	walk(root, fyne.CurrentApp().Driver().AbsolutePositionForObject(root), box{-1e6, -1e6, 1e6, 1e6})
}
