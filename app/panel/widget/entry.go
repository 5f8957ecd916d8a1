package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	fynewidget "fyne.io/fyne/v2/widget"
)

// Entry is a line to type in. It hands Esc, the function keys and the shortcuts it has no use for on to the window.
type Entry struct {
	fynewidget.Entry
	self    fyne.Widget // what embeds it: only that is known to the canvas
	name    string
	focused bool
	// OnLeft is called as the keyboard goes elsewhere; nil for nothing.
	OnLeft func()
}

// NewEntry returns an empty line with a faint hint of what belongs in it.
func NewEntry(name, hint string) *Entry {
	e := &Entry{}
	e.become(e, name, hint)
	return e
}

// become makes the entry part of a widget.
func (e *Entry) become(self fyne.Widget, name, hint string) {
	e.self, e.name = self, name
	e.ExtendBaseWidget(self)
	e.PlaceHolder = hint
	e.Scroll = fyne.ScrollHorizontalOnly // what is typed makes nothing wider
}

// ControlName returns the name by which tests find the entry.
func (e *Entry) ControlName() string { return e.name }

// ControlWords returns what was typed.
func (e *Entry) ControlWords() string { return e.Text }

// Focused says whether the entry has the keyboard.
func (e *Entry) Focused() bool { return e.focused }

// FocusGained implements fyne.Focusable.
func (e *Entry) FocusGained() {
	e.focused = true
	e.Entry.FocusGained()
}

// FocusLost implements fyne.Focusable.
func (e *Entry) FocusLost() {
	e.focused = false
	e.Entry.FocusLost()
	if e.OnLeft != nil {
		e.OnLeft()
	}
}

// TypedKey implements fyne.Focusable.
func (e *Entry) TypedKey(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyEscape, fyne.KeyF1, fyne.KeyF2, fyne.KeyF3, fyne.KeyF4, fyne.KeyF5, fyne.KeyF6, fyne.KeyF7,
		fyne.KeyF8, fyne.KeyF9, fyne.KeyF10, fyne.KeyF11, fyne.KeyF12:
		ForwardKey(e.self, event)
		return
	}
	e.Entry.TypedKey(event)
}

// TypedShortcut implements fyne.Shortcutable: what is no editing goes to the window.
func (e *Entry) TypedShortcut(shortcut fyne.Shortcut) {
	if custom, ok := shortcut.(*desktop.CustomShortcut); ok {
		if canvas := canvasOf(e.self); canvas != nil {
			canvas.(fyne.Shortcutable).TypedShortcut(custom)
		}
		return
	}
	e.Entry.TypedShortcut(shortcut)
}
