package panel

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// foot is the line along the window's lower edge: the stop control, what became
// of a stop, a lock-out or an announced start, and the newest events.
type foot struct {
	object fyne.CanvasObject
	with   widget.Context

	stop       *stopButton
	state      *widget.Text
	banner     *fyne.Container
	newest     fyne.CanvasObject    // holds the events
	offers     [4]fyne.CanvasObject // what holds release, cancel, park and confirm
	head, next *widget.Text
	release    *widget.Button
	cancel     *widget.Button
	park       *widget.Button
	confirm    *widget.Button
	events     *eventLine
}

const (
	// minBanner is the least room of the banner's words. With all that can stand beside them the line is no wider than
	// the smallest screen at the largest size of words: more would make the window larger than the screen.
	minBanner = 70
	// eventsFrom is from which width of the line the newest events have room beside a banner.
	eventsFrom = 1000
)

func newFoot(with widget.Context, stop func()) *foot {
	f := &foot{
		with: with, stop: newStopButton(stop),
		state:  widget.NewText("").Bold().Reserve("stopped, confirmed").Named("stop-state"),
		head:   widget.NewText("").Bold().Elastic().Named("banner"),
		next:   widget.NewLabel("").Elastic().Named("banner-next"),
		events: newEventLine(),
	}
	f.release = widget.NewButton("Release", "release", "End the lock-out once its cause is gone",
		func() { with.Desk.Ask(desk.Release{}) }).Bold()
	f.cancel = widget.NewButton("Cancel", "cancel-start", "Cancel the announced start, or drop what was proposed",
		func() { with.Desk.Ask(desk.CancelWarning{}) }).Bold().Looking(widget.Caution)
	f.park = widget.NewButton("Park", "park-offer", "Go to the park position",
		func() { with.Desk.Ask(desk.Park{}) }).Bold()
	f.confirm = widget.NewButton("Confirm", "confirm-slew", "Let the dish go there",
		func() { with.Desk.Ask(desk.Confirm{}) }).Bold()
	middle := func(object fyne.CanvasObject) fyne.CanvasObject {
		return widget.Column(0, widget.Spring(), widget.Fixed(object), widget.Spring())
	}
	f.offers = [4]fyne.CanvasObject{middle(f.release), middle(f.cancel), middle(f.park), middle(f.confirm)}
	f.banner = widget.Row(12,
		widget.Fixed(f.offers[0]), widget.Fixed(f.offers[3]), widget.Fixed(f.offers[1]), widget.Fixed(f.offers[2]),
		widget.Part{Object: widget.NewWhole("banner-in-full",
			middle(widget.Column(1, widget.Fixed(f.head), widget.Fixed(f.next))), with.InFull),
			Share: 1, Min: minBanner})
	f.banner.Hide()
	f.newest = middle(f.events.object)
	row := widget.Row(14, widget.Fixed(f.stop), widget.Fixed(middle(f.state)),
		widget.Part{Object: f.banner, Share: 2}, widget.Sharing(f.newest))
	f.object = widget.Padded(row, 8, 3)
	return f
}

func (f *foot) show(now view.Now) {
	f.stop.set(view.CanMove(now))
	state := view.StopWords(now)
	banner := view.BannerOf(now)
	changed := show(f.state, state.Words != "")
	f.state.Set(state.Words, state.Tone)
	changed = show(f.banner, banner.Head != "") || changed
	changed = show(f.offers[0], banner.Release) || changed
	changed = show(f.offers[1], banner.Cancel) || changed
	changed = show(f.offers[3], banner.Confirm) || changed
	changed = show(f.offers[2], banner.Head != "" && !banner.Release && !banner.Cancel) || changed
	f.head.Set(banner.Head, banner.Tone)
	f.next.Set(banner.Next, view.Plain)
	// Why the dish is locked out takes all the room there is, and so does all else that is asked where there is little.
	changed = show(f.newest, banner.Head == "" || !banner.Release && f.object.Size().Width >= eventsFrom) || changed
	f.release.SetEnabled(banner.ReleaseReady)
	f.release.SetLook(widget.Primary)
	f.park.SetEnabled(view.MoveBlocked(now) == "")
	f.events.show(now, f.with.Desk)
	if changed {
		f.object.Refresh()
	}
}

// show makes an object visible or not, and says whether that changed.
func show(object fyne.CanvasObject, visible bool) bool {
	if object.Visible() == visible {
		return false
	}
	if visible {
		object.Show()
	} else {
		object.Hide()
	}
	return true
}
