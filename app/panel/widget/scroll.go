package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
)

// NewScroll returns content that is scrolled both ways where it has no room.
func NewScroll(content fyne.CanvasObject) *container.Scroll {
	return leaving(container.NewScroll(content))
}

// NewVScroll returns content that is scrolled up and down where it has no room.
func NewVScroll(content fyne.CanvasObject) *container.Scroll {
	return leaving(container.NewVScroll(content))
}

// leaving has what was under the pointer lose its tip and its shade as it is scrolled away: the library tells it
// nothing before the pointer moves.
func leaving(s *container.Scroll) *container.Scroll {
	s.OnScrolled = func(fyne.Position) {
		Walk(s.Content, func(object fyne.CanvasObject) {
			if over, is := object.(pointable); is && over.Pointed() {
				over.MouseOut()
			}
		})
	}
	return s
}

// pointable is what knows whether the pointer is over it.
type pointable interface {
	desktop.Hoverable
	Pointed() bool
}
