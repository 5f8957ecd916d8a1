package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// Press is a button that does something for as long as it is held, and another
// thing, or nothing, at a short press. Losing the focus, the pointer's leaving and Esc end it.
type Press struct {
	Button
	Hold
}

// NewPress returns a button that calls renew while it is held, and does nothing at a short press.
func NewPress(words, name, tip string, renew func()) *Press {
	p := &Press{Button: Button{words: words, size: SmallText, tight: true}, Hold: Hold{Tap: func() {}, Renew: renew}}
	p.Become(p, name, tip)
	return p
}

// On says whether a press lasts.
func (p *Press) On() bool { return p.Pressed() }

// Tapped implements fyne.Tappable: a short press is the affair of Hold.
func (p *Press) Tapped(*fyne.PointEvent) {}

// MouseDown implements desktop.Mouseable.
func (p *Press) MouseDown(event *desktop.MouseEvent) {
	if p.Disabled() {
		return
	}
	p.Focus()
	p.Down()
	p.Button.MouseDown(event)
}

// MouseUp implements desktop.Mouseable.
func (p *Press) MouseUp(event *desktop.MouseEvent) {
	p.Up()
	p.Button.MouseUp(event)
}

// MouseOut implements desktop.Hoverable: a press ends when the pointer leaves.
func (p *Press) MouseOut() {
	p.end()
	p.Button.MouseOut()
}

// FocusLost implements fyne.Focusable.
func (p *Press) FocusLost() {
	p.end()
	p.Button.FocusLost()
}

// Disable implements fyne.Disableable: a press doesn't outlast it.
func (p *Press) Disable() {
	p.end()
	p.Button.Disable()
}

// SetEnabled enables or disables the button.
func (p *Press) SetEnabled(enabled bool) {
	if !enabled {
		p.end()
	}
	p.Button.SetEnabled(enabled)
}

func (p *Press) end() {
	p.End()
	p.showPress(false)
}

// KeyDown implements desktop.Keyable: Space and Enter hold the button.
func (p *Press) KeyDown(event *fyne.KeyEvent) {
	if pressesControl(event) && !p.Disabled() {
		p.Down()
		p.showPress(true)
		return
	}
	p.Button.KeyDown(event)
}

// KeyUp implements desktop.Keyable.
func (p *Press) KeyUp(event *fyne.KeyEvent) {
	if pressesControl(event) {
		p.Up()
		p.showPress(false)
		return
	}
	p.Button.KeyUp(event)
}

// TypedKey implements fyne.Focusable. Esc ends a press before it goes on to the window.
func (p *Press) TypedKey(event *fyne.KeyEvent) {
	if pressesControl(event) {
		return
	}
	if event.Name == fyne.KeyEscape {
		p.end()
	}
	p.Forward(event)
}
