package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/sky"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// leftPanes returns the panorama, the beam view and the noise strip.
func leftPanes(with widget.Context) (panorama, beam, noise widget.Pane) {
	return sky.New(with), newBlank("Beam"), newBlank("Noise")
}

type blank struct {
	title  string
	object fyne.CanvasObject
}

func newBlank(title string) *blank {
	return &blank{title, container.NewCenter(widget.NewLabel(title))}
}
func (b *blank) Title() string             { return b.title }
func (b *blank) Object() fyne.CanvasObject { return b.object }
func (b *blank) Show(view.Now)             {}
