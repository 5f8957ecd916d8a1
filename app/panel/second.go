package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// twoPanesWide is how wide a window is in which two panes fit side by side, in its own units.
const twoPanesWide = 1800

// second is the column for a second pane, beside the right-hand one. While it is off, or the window too narrow, it
// takes no room and its pane isn't drawn.
type second struct {
	object fyne.CanvasObject
	stack  *fyne.Container // of its frame
	tabs   []*widget.Button
	wanted bool
	shown  int // among the panes; another than the right-hand one
}

// newSecond returns the column; choose shows the pane with an index there.
func newSecond(panes []widget.Pane, choose func(index int)) *second {
	s := &second{shown: 1, stack: container.NewStack()}
	parts := []widget.Part{}
	for index, pane := range panes {
		tab := widget.NewButton(pane.Title(), "second-"+view.Name(pane.Title()),
			"Show the pane "+pane.Title()+" here", func() { choose(index) }).Tight()
		s.tabs = append(s.tabs, tab)
		parts = append(parts, widget.Fixed(tab))
	}
	parts = append(parts, widget.Spring())
	s.object = widget.Seamed(widget.Column(widget.Gap,
		widget.Fixed(widget.Capped(widget.Padded(widget.Row(4, parts...), 4, 3), 0)),
		widget.Sharing(widget.Capped(s.stack, 0))))
	s.object.Hide()
	return s
}

// on says whether there is a second pane now.
func (s *second) on() bool { return s.object.Visible() }

// toggleSecond switches the second pane on or off.
func (w *Window) toggleSecond() {
	w.right.second.wanted = !w.right.second.wanted
	w.fitSecond()
}

// fitSecond shows the second pane where it is wanted and fits.
func (w *Window) fitSecond() {
	s := w.right.second
	on := s.wanted && w.window.Canvas().Size().Width >= twoPanesWide
	if on == s.on() {
		return
	}
	show(s.object, on)
	w.right.arrange()
	w.body.Refresh()
}

// chooseSecond shows a pane in the second column; the two change places where the right-hand side shows it.
func (r *right) chooseSecond(index int) {
	if index == r.shown {
		r.with.Open.Leave(r.second.tabs[index], r.exchange)
		return
	}
	r.second.shown = index
	r.arrange()
}

// exchange has the two panes change places.
func (r *right) exchange() {
	r.shown, r.second.shown = r.second.shown, r.shown
	r.arrange()
}

// arrange puts each pane where it is shown, and lights its tab.
func (r *right) arrange() {
	s := r.second
	if s.shown == r.shown { // only one place for each
		s.shown = (r.shown + 1) % len(s.tabs)
	}
	var here, there []fyne.CanvasObject
	for i, frame := range r.frames {
		beside := s.on() && i == s.shown
		if !r.visible(i) {
			widget.Unfocus(frame)
		}
		if show(frame, r.visible(i)); beside {
			there = append(there, frame)
		} else {
			here = append(here, frame)
		}
	}
	if s.on() || len(s.stack.Objects) > 0 {
		r.stack.Objects, s.stack.Objects = here, there
		r.stack.Refresh()
		s.stack.Refresh()
	}
	for i, tab := range r.tabs {
		tab.Choose(i == r.shown)
	}
	for i, tab := range s.tabs {
		tab.Choose(i == s.shown)
	}
	r.view.Choose(r.shown >= len(r.tabs)) // what has no tab of its own is opened there
	r.chosen = true
}

// visible says whether a pane is shown, on either side.
func (r *right) visible(index int) bool {
	return index == r.shown || r.second.on() && index == r.second.shown
}

// openSecond switches the second pane on, with the pane of that title; any other title changes nothing.
func (r *right) openSecond(title string) {
	for i, tab := range r.second.tabs {
		if tab.ControlWords() == title && i != r.shown {
			r.second.wanted, r.second.shown = true, i
		}
	}
}
