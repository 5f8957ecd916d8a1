package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// maxEvents is how many of the newest events the line keeps.
const maxEvents = 4

// eventLine shows the newest events, the newest first, as many as fit.
type eventLine struct {
	object *widget.Still
	lying  *fyne.Container
	texts  [maxEvents]*widget.Text
	recent []desk.Event // the newest last
	last   uint64
	buffer []desk.Event
}

func newEventLine() *eventLine {
	e := &eventLine{lying: container.New(fitting{gap: 22})}
	e.object = widget.NewStill(e.lying)
	for i := range e.texts {
		e.texts[i] = widget.NewLabel("")
		if i == 0 {
			e.texts[i].Named("newest-event")
		}
		e.lying.Add(e.texts[i])
	}
	return e
}

func (e *eventLine) show(now view.Now, source view.Desk) {
	if now.LastEvent == e.last {
		return
	}
	e.buffer = source.EventsSince(e.last, e.buffer[:0])
	e.last = now.LastEvent
	e.add(e.buffer...)
}

// add shows events after those that are there: those of the desk, and what the window itself has done.
func (e *eventLine) add(events ...desk.Event) {
	e.recent = append(e.recent, events...)
	if extra := len(e.recent) - maxEvents; extra > 0 {
		e.recent = append(e.recent[:0], e.recent[extra:]...)
	}
	for i, text := range e.texts {
		if n := len(e.recent) - 1 - i; n >= 0 {
			event := e.recent[n]
			text.Set(view.Clock(event.At)+" "+view.Minus(event.Words.String()), view.GradeTone(event.Grade, view.Faint))
		}
	}
}

// fitting lays lines beside each other and leaves out what has no room; the
// first is cut where it is too long alone.
type fitting struct{ gap float32 }

// MinSize implements fyne.Layout.
func (f fitting) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(0, objects[0].MinSize().Height)
}

// Layout implements fyne.Layout.
func (f fitting) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	x := float32(0)
	for i, object := range objects {
		width := object.MinSize().Width
		if i == 0 {
			width = min(width, size.Width)
		}
		if width == 0 || x+width > size.Width {
			// Out of the picture rather than hidden, so that it comes back when there is room.
			widget.Away(object)
			object.Resize(fyne.NewSize(0, 0))
			x = size.Width + 1
			continue
		}
		object.Move(fyne.NewPos(x, 0))
		object.Resize(fyne.NewSize(width, size.Height))
		x += width + f.gap
	}
}
