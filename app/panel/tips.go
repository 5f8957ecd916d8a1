package panel

import (
	"math"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
)

// tipLayout puts a tooltip where it lies over nothing that can be pressed: neither the control that it explains, nor
// those beside it, nor the tabs.
type tipLayout struct{ window *Window }

// MinSize implements fyne.Layout.
func (tipLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

// Layout implements fyne.Layout; a tip comes with its size, at the pointer.
func (l tipLayout) Layout(tips []fyne.CanvasObject, room fyne.Size) {
	if len(tips) == 0 {
		return
	}
	explained, pressed := l.window.pressable()
	tip := tips[0]
	if explained == (area{}) {
		return
	}
	tip.Move(placeTip(tip.Size(), tip.Position(), explained, pressed, room))
}

// area is a part of the window.
type area struct{ x0, y0, x1, y1 float32 }

func areaOf(at fyne.Position, size fyne.Size) area {
	return area{at.X, at.Y, at.X + size.Width, at.Y + size.Height}
}

// covers is how much of another area lies in this one.
func (a area) covers(b area) float32 {
	width, height := min(a.x1, b.x1)-max(a.x0, b.x0), min(a.y1, b.y1)-max(a.y0, b.y0)
	return max(0, width) * max(0, height)
}

// maxPressed is how high a button or a line to type in is at most: a chart is no such thing.
const maxPressed = 60

// withTips has the tips of a layer placed by tipLayout.
func (w *Window) withTips(content fyne.CanvasObject) fyne.CanvasObject {
	if stack, is := content.(*fyne.Container); is && len(stack.Objects) == 2 {
		if layer, is := stack.Objects[1].(*fyne.Container); is {
			layer.Layout = tipLayout{w}
		}
	}
	return content
}

// pressable are what the pointer is over, and all that can be pressed.
func (w *Window) pressable() (pointed area, all []area) {
	for _, placed := range widget.Inventory(w.parts) {
		at := areaOf(placed.At, placed.Size)
		if over, is := placed.Object.(interface{ Pointed() bool }); is && over.Pointed() {
			pointed = at
		}
		if _, is := placed.Object.(fyne.Focusable); is && placed.Size.Height <= maxPressed {
			all = append(all, at)
		}
	}
	return pointed, all
}

// How far from its control a tip may stand, in steps, and how near.
const (
	tipGap   = 5
	tipStep  = 8
	tipSteps = 16
)

// placeTip is where a tip of a size stands: the nearest place to the control at which it covers nothing that can be
// pressed, or else where it covers least.
func placeTip(size fyne.Size, pointer fyne.Position, explained area, pressed []area, room fyne.Size) fyne.Position {
	best, least := pointer, float32(math.Inf(1))
	for i := range tipSteps {
		far := float32(tipGap + i*tipStep)
		for _, y := range []float32{explained.y1 + far, explained.y0 - far - size.Height} {
			if y < 0 || y+size.Height > room.Height {
				continue
			}
			for _, x := range []float32{pointer.X, explained.x0, explained.x1 - size.Width} {
				at := fyne.NewPos(max(2, min(x, room.Width-size.Width-2)), y)
				covered := areaOf(at, size).coversOf(pressed)
				if covered == 0 {
					return at
				}
				if covered < least {
					best, least = at, covered
				}
			}
		}
	}
	return best
}

// coversOf is how much of some areas lies in this one.
func (a area) coversOf(all []area) (sum float32) {
	for _, b := range all {
		sum += a.covers(b)
	}
	return sum
}
