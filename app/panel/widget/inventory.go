package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Named is anything in the window that can be found by name.
type Named interface {
	fyne.CanvasObject
	ControlName() string
}

// Composite is a widget that holds named parts.
type Composite interface{ Parts() []fyne.CanvasObject }

// Placed is a named object with its place on the canvas.
type Placed struct {
	Name    string
	At      fyne.Position
	Size    fyne.Size
	Words   string
	On      bool
	Enabled bool
	Focused bool
	Object  Named
}

// Inventory returns every visible named object in a tree of containers.
func Inventory(root fyne.CanvasObject) []Placed {
	var found []Placed
	driver := fyne.CurrentApp().Driver()
	Walk(root, func(object fyne.CanvasObject) {
		named, ok := object.(Named)
		if !ok || named.ControlName() == "" {
			return
		}
		placed := Placed{
			Name: named.ControlName(), At: driver.AbsolutePositionForObject(object), Size: object.Size(),
			Enabled: true, Object: named,
		}
		if spot, ok := object.(interface {
			ControlSpot() (fyne.Position, fyne.Size)
		}); ok {
			inner, size := spot.ControlSpot()
			placed.At, placed.Size = placed.At.Add(inner), size
		}
		if words, ok := object.(interface{ ControlWords() string }); ok {
			placed.Words = words.ControlWords()
		}
		if state, ok := object.(interface{ On() bool }); ok {
			placed.On = state.On()
		}
		if state, ok := object.(fyne.Disableable); ok {
			placed.Enabled = !state.Disabled()
		}
		if state, ok := object.(interface{ Focused() bool }); ok {
			placed.Focused = state.Focused()
		}
		found = append(found, placed)
	})
	return found
}

// Walk visits every visible object in a tree of containers, outer ones first.
func Walk(object fyne.CanvasObject, visit func(fyne.CanvasObject)) {
	if object == nil || !object.Visible() {
		return
	}
	visit(object)
	switch o := object.(type) {
	case *fyne.Container:
		for _, child := range o.Objects {
			Walk(child, visit)
		}
	case *container.Scroll:
		Walk(o.Content, visit)
	case Composite:
		for _, child := range o.Parts() {
			Walk(child, visit)
		}
	}
}
