package panel

import (
	"image"
	"math"
	"runtime"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/driver/software"

	"beamhelm/app/panel/widget"
)

// Layout is where the named controls of the window are and what they show, in
// pixels from the upper left corner of its content.
type Layout struct {
	Title   string  `json:"title"`
	Scale   float32 `json:"scale"`
	Width   int     `json:"width"`
	Height  int     `json:"height"`
	Frame   uint64  `json:"frame"`
	Focused string  `json:"focused"`
	// Goroutines is how many the program has.
	Goroutines int               `json:"goroutines"`
	Control    map[string]Placed `json:"controls"`
}

// Placed is one control.
type Placed struct {
	X       int    `json:"x"`
	Y       int    `json:"y"`
	W       int    `json:"w"`
	H       int    `json:"h"`
	Words   string `json:"words"`
	On      bool   `json:"on"`
	Enabled bool   `json:"enabled"`
}

// Layout returns the layout of what is visible. Call it on Fyne's goroutine.
func (w *Window) Layout() Layout {
	canvas := w.window.Canvas()
	scale := canvas.Scale()
	pixels := func(units float32) int { return int(math.Round(float64(units * scale))) }
	l := Layout{
		Title: w.window.Title(), Scale: scale, Frame: w.now.Tick, Goroutines: runtime.NumGoroutine(),
		Control: map[string]Placed{},
		Width:   pixels(canvas.Size().Width), Height: pixels(canvas.Size().Height),
	}
	for _, placed := range widget.Inventory(w.parts) {
		l.Control[placed.Name] = Placed{
			X: pixels(placed.At.X), Y: pixels(placed.At.Y),
			W: pixels(placed.Size.Width), H: pixels(placed.Size.Height),
			Words: placed.Words, On: placed.On, Enabled: placed.Enabled,
		}
		if placed.Focused {
			l.Focused = placed.Name
		}
	}
	return l
}

// Press clicks the named control, and says whether it is there and enabled.
// Call it on Fyne's goroutine.
func (w *Window) Press(name string) bool {
	for _, placed := range widget.Inventory(w.parts) {
		if placed.Name != name || !placed.Enabled {
			continue
		}
		switch control := placed.Object.(type) {
		case fyne.Tappable:
			control.Tapped(&fyne.PointEvent{})
		case desktop.Mouseable:
			control.MouseDown(&desktop.MouseEvent{})
			control.MouseUp(&desktop.MouseEvent{})
		default:
			return false
		}
		return true
	}
	return false
}

// Picture returns a picture of the window's content, drawn without the graphics
// driver: what such a driver has on the screen cannot be read back everywhere.
// It is the last thing to be done with a window. Call it on Fyne's goroutine.
func (w *Window) Picture() image.Image {
	on := w.window.Canvas()
	canvas := software.NewCanvas()
	canvas.SetPadded(false)
	canvas.SetContent(w.parts)
	canvas.SetScale(on.Scale())
	canvas.Resize(on.Size())
	return canvas.Capture()
}
