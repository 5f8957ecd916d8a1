package panel

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// frames stand around the views that show the past while a trip is replayed, and around the heading that says so. What
// has none is live.
type frames struct{ all []*canvas.Rectangle }

// frameWidth is that of their lines, in units.
const frameWidth = 2

// around returns an object with its frame, which is not there until a replay is and lies outside it by so much.
func (f *frames) around(object fyne.CanvasObject, out float32) fyne.CanvasObject {
	frame := canvas.NewRectangle(color.Transparent)
	frame.StrokeWidth, frame.CornerRadius = frameWidth, 3
	frame.Hide()
	f.all = append(f.all, frame)
	return container.New(outside(out), object, frame)
}

// outside lays an object out over the whole, and its frame outside it.
type outside float32

// MinSize implements fyne.Layout.
func (outside) MinSize(objects []fyne.CanvasObject) fyne.Size { return objects[0].MinSize() }

// Layout implements fyne.Layout.
func (o outside) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	out := float32(o)
	objects[0].Resize(size)
	objects[1].Move(fyne.NewPos(-out, -out))
	objects[1].Resize(size.AddWidthHeight(2*out, 2*out))
}

// show shows the frames, or hides them.
func (f *frames) show(replaying bool) {
	ink := widget.Seen(widget.Current().Warning)
	for _, frame := range f.all {
		if show(frame, replaying) || frame.StrokeColor != ink {
			frame.StrokeColor = ink
			frame.Refresh()
		}
	}
}

// heldBack is for how many ticks after a command that was held back another one is too: a key that is held down, or a
// double click, must not do what the first press didn't.
const heldBack = 10

// holdsBack reports whether an order is not to be sent, for it was given while a replay was shown or just after one
// ended by it. The replay ends then; what ends, withdraws or acknowledges something is sent at any time.
func (a *asking) holdsBack(o desk.Order) bool {
	w := a.window
	if !desk.NeedsLive(o) || w.records == nil {
		return false
	}
	if w.records.Replaying() {
		w.records.GiveWay(desk.ReplayByCommand)
		w.keys.end()
		a.held, a.heldAt, a.refusedAt = true, w.now.Tick, w.now.Tick+1
	}
	if a.held = a.held && w.now.Tick-a.heldAt < heldBack; a.held {
		a.heldAt = w.now.Tick
	}
	return a.held
}

// toldFor is for how many ticks the heading says that a command was not sent.
const toldFor = 60

// refused says that a command was not sent a short while ago, and that must still be told.
func (a *asking) refused(tick uint64) bool { return a.refusedAt > 0 && tick-(a.refusedAt-1) < toldFor }

// heading is what stands in place of station and activity while a trip is replayed. Nothing else at the upper edge
// moves for it: it is laid out over where these are.
type heading struct {
	pair        pair
	frame       frames
	object      fyne.CanvasObject
	first, last fyne.CanvasObject // over which it lies, and what is between
}

func newHeading(first, last fyne.CanvasObject) *heading {
	h := &heading{pair: newPair("replay-heading", ""), first: first, last: last}
	h.pair.head.Bold()
	h.object = h.frame.around(widget.Padded(widget.NewWhole("replay-in-full", h.pair.object, nil), 8, 1), 0)
	h.object.Hide()
	return h
}

// MinSize implements fyne.Layout.
func (h *heading) MinSize(objects []fyne.CanvasObject) fyne.Size { return objects[0].MinSize() }

// Layout implements fyne.Layout: the line fills the whole, and the heading its place in it.
func (h *heading) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Resize(size)
	from, to := h.first.Position().X, h.last.Position().X+h.last.Size().Width
	top, room := h.first.Position().Y, h.first.Size().Height // of the row that they stand in
	height := min(room, h.object.MinSize().Height)
	h.object.Move(fyne.NewPos(from, top+float32(int((room-height)/2))))
	h.object.Resize(fyne.NewSize(to-from, height))
}

// show says of when the framed views are, what the dish did then, and what it does now; after a replay, for a while,
// that a command was not sent. Empty words are the end of it.
func (h *heading) show(words view.Pair, replaying bool) {
	h.frame.show(replaying)
	show(h.object, words.Head.Words != "")
	h.pair.show(words)
}

// showReplay brings what tells of a replay up to date.
func (w *Window) showReplay(past view.Now, did string, live view.Now, replaying bool) {
	w.frames.show(replaying)
	var words view.Pair
	switch {
	case replaying:
		words = view.ReplayLine(past.Replay, did, live)
	case w.asked.refused(live.Tick):
		words = view.ReplayRefused(live)
	}
	w.top.replay(words, replaying)
}
