package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// late is a pane that is built when it is first chosen: one that is seldom opened costs neither memory nor time before.
type late[P widget.Pane] struct {
	title string
	build func() P
	stack *fyne.Container
	pane  P
	built bool
}

func newLate[P widget.Pane](title string, build func() P) *late[P] {
	return &late[P]{title: title, build: build, stack: container.NewStack()}
}

// get returns the pane, and builds it if need be.
func (l *late[P]) get() P {
	if !l.built {
		l.pane, l.built = l.build(), true
		l.stack.Add(l.pane.Object())
	}
	return l.pane
}

// prepare builds the pane a tick before it shows figures: a control works only once the canvas has painted it.
func (l *late[P]) prepare() { l.get() }

// Title implements widget.Pane.
func (l *late[P]) Title() string { return l.title }

// Object implements widget.Pane.
func (l *late[P]) Object() fyne.CanvasObject { return l.stack }

// Show implements widget.Pane.
func (l *late[P]) Show(now view.Now) { l.get().Show(now) }
