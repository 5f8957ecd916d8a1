package panel

import "fyne.io/fyne/v2"

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
