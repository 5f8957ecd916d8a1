// Package widget is what the window is made of: palettes and theme, texts,
// buttons, arrows, entries, menus and sheets. Each forwards what it does not use,
// Esc above all, follows the palette, and can be found by name.
package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	tooltip "github.com/dweymouth/fyne-tooltip/widget"
)

// Control is what every control of the window shares: a name, a tooltip, the
// state of focus and of being enabled, and the handing on of keys that it does
// not use, Esc above all. A widget embeds it, calls Become with itself, and may
// override TypedKey, ending it with Forward. One that uses the arrow keys keeps
// them from KeyDown and KeyUp too, else they move the beam as well.
type Control struct {
	tooltip.ToolTipWidget
	self     fyne.Widget
	name     string
	focused  bool
	hovered  bool
	disabled bool
	down     bool // Space or Enter went down on this control
}

// Become ties the control to the widget that embeds it. The name is the one by
// which tests find it; the tip explains it to the operator.
func (c *Control) Become(self fyne.Widget, name, tip string) {
	c.self = self
	c.name = name
	c.ExtendBaseWidget(self)
	c.Tip(tip)
}

// Tip changes what explains the control to the operator.
func (c *Control) Tip(tip string) { c.SetToolTip(Printable(tip)) }

// ControlName returns the name by which tests find the control.
func (c *Control) ControlName() string { return c.name }

// Focused says whether the control has the keyboard.
func (c *Control) Focused() bool { return c.focused }

// Hovered says whether the pointer is over the control.
func (c *Control) Hovered() bool { return c.hovered && !c.disabled }

// Pointed says whether the pointer is over the control, whether it is enabled or not.
func (c *Control) Pointed() bool { return c.hovered }

// FocusGained implements fyne.Focusable.
func (c *Control) FocusGained() {
	c.focused = true
	c.self.Refresh()
}

// FocusLost implements fyne.Focusable.
func (c *Control) FocusLost() {
	c.focused, c.down = false, false
	c.self.Refresh()
}

// TypedRune implements fyne.Focusable: a control without text has no use for letters.
func (c *Control) TypedRune(letter rune) { ForwardRune(c.self, letter) }

// TypedKey implements fyne.Focusable: hands the key on to the window.
func (c *Control) TypedKey(event *fyne.KeyEvent) { c.Forward(event) }

// Press acts where a key presses the control, Space or Enter, and hands any
// other on. It acts once for each time that the key goes down on this control: a
// key that is held, or that went down in a dialog just closed, does nothing more.
func (c *Control) Press(event *fyne.KeyEvent, act func()) {
	switch {
	case !pressesControl(event):
		c.Forward(event)
	case c.down:
		c.down = false
		act()
	}
}

// ArrowKey says that a key is one of the four arrows, which move the beam where no control takes them.
func ArrowKey(name fyne.KeyName) bool {
	switch name {
	case fyne.KeyLeft, fyne.KeyRight, fyne.KeyUp, fyne.KeyDown:
		return true
	}
	return false
}

// Forward hands a key on to the window's own handler.
func (c *Control) Forward(event *fyne.KeyEvent) { ForwardKey(c.self, event) }

// KeyDown implements desktop.Keyable: hands it on to the window.
func (c *Control) KeyDown(event *fyne.KeyEvent) {
	c.down = pressesControl(event)
	forwardDown(c.self, event)
}

// KeyUp implements desktop.Keyable: hands it on to the window.
func (c *Control) KeyUp(event *fyne.KeyEvent) { forwardUp(c.self, event) }

// ArrowControl is a control whose own the arrow keys are: they don't move the beam.
type ArrowControl struct{ Control }

// KeyDown implements desktop.Keyable.
func (c *ArrowControl) KeyDown(event *fyne.KeyEvent) {
	if !ArrowKey(event.Name) {
		c.Control.KeyDown(event)
	}
}

// KeyUp implements desktop.Keyable.
func (c *ArrowControl) KeyUp(event *fyne.KeyEvent) {
	if !ArrowKey(event.Name) {
		c.Control.KeyUp(event)
	}
}

// Enable implements fyne.Disableable.
func (c *Control) Enable() { c.setDisabled(false) }

// Disable implements fyne.Disableable.
func (c *Control) Disable() { c.setDisabled(true) }

// Disabled implements fyne.Disableable.
func (c *Control) Disabled() bool { return c.disabled }

// SetEnabled enables or disables the control, and refreshes it if that changed.
func (c *Control) SetEnabled(enabled bool) { c.setDisabled(!enabled) }

func (c *Control) setDisabled(disabled bool) {
	if c.disabled == disabled {
		return
	}
	c.disabled = disabled
	c.self.Refresh()
}

// MouseIn implements desktop.Hoverable.
func (c *Control) MouseIn(event *desktop.MouseEvent) {
	c.ToolTipWidget.MouseIn(event)
	c.hovered = true
	c.self.Refresh()
}

// MouseOut implements desktop.Hoverable.
func (c *Control) MouseOut() {
	c.ToolTipWidget.MouseOut()
	c.hovered = false
	c.self.Refresh()
}

// Focus gives the control the keyboard.
func (c *Control) Focus() {
	if canvas := canvasOf(c.self); canvas != nil && !c.disabled {
		canvas.Focus(c.self.(fyne.Focusable))
	}
}

// Unfocus takes the keyboard from what is within an object that is about to be hidden: keys would press what nobody
// sees.
func Unfocus(within fyne.CanvasObject) {
	canvas := canvasOf(within)
	if canvas == nil {
		return
	}
	Walk(within, func(object fyne.CanvasObject) {
		if one, takes := object.(fyne.Focusable); takes && one == canvas.Focused() {
			canvas.Unfocus()
		}
	})
}

func canvasOf(object fyne.CanvasObject) fyne.Canvas {
	return fyne.CurrentApp().Driver().CanvasForObject(object)
}

// ForwardKey hands a key that a widget has no use for on to the window's own handler.
func ForwardKey(from fyne.CanvasObject, event *fyne.KeyEvent) {
	if canvas := canvasOf(from); canvas != nil {
		if handle := canvas.OnTypedKey(); handle != nil {
			handle(event)
		}
	}
}

// ForwardRune hands a letter that a widget has no use for on to the window's own handler.
func ForwardRune(from fyne.CanvasObject, letter rune) {
	if canvas := canvasOf(from); canvas != nil {
		if handle := canvas.OnTypedRune(); handle != nil {
			handle(letter)
		}
	}
}

func forwardDown(from fyne.CanvasObject, event *fyne.KeyEvent) {
	if canvas, ok := canvasOf(from).(desktop.Canvas); ok {
		if handle := canvas.OnKeyDown(); handle != nil {
			handle(event)
		}
	}
}

func forwardUp(from fyne.CanvasObject, event *fyne.KeyEvent) {
	if canvas, ok := canvasOf(from).(desktop.Canvas); ok {
		if handle := canvas.OnKeyUp(); handle != nil {
			handle(event)
		}
	}
}
