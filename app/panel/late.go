package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// late is a pane that is made when it is first shown: those that are opened seldom cost neither memory nor time before.
type late[P widget.Pane] struct {
	title string
	make  func() P
	stack *fyne.Container
	pane  P
	made  bool
}

func newLate[P widget.Pane](title string, make func() P) *late[P] {
	return &late[P]{title: title, make: make, stack: container.NewStack()}
}

// get returns the pane, and makes it if need be.
func (l *late[P]) get() P {
	if !l.made {
		l.pane, l.made = l.make(), true
		l.stack.Add(l.pane.Object())
	}
	return l.pane
}

// prepare makes the pane a tick before it shows figures: what a control does needs a canvas that has painted it.
func (l *late[P]) prepare() { l.get() }

// Title implements widget.Pane.
func (l *late[P]) Title() string { return l.title }

// Object implements widget.Pane.
func (l *late[P]) Object() fyne.CanvasObject { return l.stack }

// Show implements widget.Pane.
func (l *late[P]) Show(now view.Now) { l.get().Show(now) }
