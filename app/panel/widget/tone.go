package widget

import (
	"image/color"

	"fyne.io/fyne/v2"

	"beamhelm/app/view"
)

// Pane is a part of the window.
type Pane interface {
	// Title is the word on its tab, when it has one.
	Title() string
	// Object is what is drawn; the same one always.
	Object() fyne.CanvasObject
	// Show brings the pane up to date. It runs on Fyne's goroutine at every
	// tick in which the pane is visible, and refreshes only what changed.
	Show(now view.Now)
}

// Tint returns the colour of a tone in the palette.
func (p *Palette) Tint(tone view.Tone) color.NRGBA {
	switch tone {
	case view.Faint:
		return p.Dim
	case view.Old:
		return p.Old
	case view.Wanted:
		return p.Setpoint
	case view.Measured:
		return p.Measured
	case view.MoonTone:
		return p.Moon
	case view.SunTone:
		return p.Sun
	case view.Attention:
		return p.Warning
	case view.Alarming:
		return p.Alarm
	case view.OnFill:
		return p.OnSetpoint
	}
	return p.Text
}
