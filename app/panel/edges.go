package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
)

// edges places the line along the upper edge, the body and the line along the lower edge, which has
// the stop control: whatever room there is, both lines are whole and the body scrolls between them.
type edges struct {
	top    *top
	scroll *container.Scroll
	foot   fyne.CanvasObject
}

// minBody is how high the room of the body is at least, leastBody how large the body is: what is larger
// than its room is scrolled.
const minBody = 120

var leastBody = fyne.NewSize(1242, 560)

// roomy gives an object at least the size leastBody.
type roomy struct{}

// MinSize implements fyne.Layout.
func (roomy) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return objects[0].MinSize().Max(leastBody)
}

// Layout implements fyne.Layout.
func (roomy) Layout(objects []fyne.CanvasObject, size fyne.Size) { objects[0].Resize(size) }

// MinSize implements fyne.Layout.
func (e edges) MinSize([]fyne.CanvasObject) fyne.Size {
	width := max(e.top.object.MinSize().Width, e.foot.MinSize().Width)
	return fyne.NewSize(width, e.top.heightAt(width)+minBody+e.foot.MinSize().Height)
}

// Layout implements fyne.Layout.
func (e edges) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	upper, lower := e.top.heightAt(size.Width), e.foot.MinSize().Height
	at := float32(0)
	for _, part := range []struct {
		object fyne.CanvasObject
		height float32
	}{{e.top.object, upper}, {e.scroll, size.Height - upper - lower}, {e.foot, lower}} {
		part.object.Move(fyne.NewPos(0, at))
		part.object.Resize(fyne.NewSize(size.Width, part.height))
		at += part.height
	}
}

// keepFocusInSight scrolls to the control that has just got the keyboard, where the body is larger than its room.
func (w *Window) keepFocusInSight() {
	focused := w.window.Canvas().Focused()
	if focused == w.sighted {
		return
	}
	w.sighted = focused
	if object, ok := focused.(fyne.CanvasObject); ok {
		w.bringIntoSight(object)
	}
}

// scrolls says whether an object is a part of the body, and that is larger than its room.
func (w *Window) scrolls(part fyne.CanvasObject) (within bool) {
	content, room := w.scroll.Content.Size(), w.scroll.Size()
	if content.Width > room.Width || content.Height > room.Height {
		widget.Walk(w.scroll.Content, func(o fyne.CanvasObject) { within = within || o == part })
	}
	return within
}

// scrollBody scrolls the body or a dialog by the wheel, where an object is a part of it and it is larger than its room;
// with Ctrl the wheel is the object's.
func (w *Window) scrollBody(over fyne.CanvasObject, by *fyne.ScrollEvent) bool {
	keys, has := w.app.Driver().(interface{ CurrentKeyModifiers() fyne.KeyModifier })
	switch {
	case has && keys.CurrentKeyModifiers()&fyne.KeyModifierControl != 0:
		return false
	case w.scrolls(over):
		w.scroll.Scrolled(by)
		return true
	}
	return w.with.Open.ScrollUnder(over, by)
}

// bringIntoSight scrolls to a part of the body, where that is larger than its room.
func (w *Window) bringIntoSight(part fyne.CanvasObject) {
	if !w.scrolls(part) {
		return
	}
	content, room := w.scroll.Content, w.scroll.Size()
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	at, size, offset := place(part).Subtract(place(content)), part.Size(), w.scroll.Offset
	// The bars lie over the edges of the room.
	const bar = 14
	offset.X = widget.InSight(offset.X, at.X, size.Width+bar, room.Width)
	offset.Y = widget.InSight(offset.Y, at.Y, size.Height+bar, room.Height)
	if offset != w.scroll.Offset {
		w.scroll.ScrollToOffset(offset)
	}
}
