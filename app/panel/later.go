package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// later is a pane that is made when it is shown first: what is seldom looked at
// must not hold up the start.
type later[P widget.Pane] struct {
	title string
	make  func() P
	made  P
	is    bool
	stack *fyne.Container
}

// newLater returns a pane with a title that is made by a function when it is wanted.
func newLater[P widget.Pane](title string, make func() P) *later[P] {
	return &later[P]{title: title, make: make, stack: container.NewStack()}
}

// Title implements widget.Pane.
func (l *later[P]) Title() string { return l.title }

// Object implements widget.Pane.
func (l *later[P]) Object() fyne.CanvasObject { return l.stack }

// Show implements widget.Pane.
func (l *later[P]) Show(now view.Now) { l.pane().Show(now) }

// pane is the pane itself.
func (l *later[P]) pane() P {
	if !l.is {
		l.made, l.is = l.make(), true
		l.stack.Objects = []fyne.CanvasObject{l.made.Object()}
		l.stack.Refresh()
	}
	return l.made
}
