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

// Composite is a widget that holds named parts, whose positions are from its own corner.
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
	// Fyne finds a position by going through the whole window: it is asked once, not for each object.
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(root)
	walk(root, at, func(object fyne.CanvasObject, at fyne.Position) {
		named, ok := object.(Named)
		if !ok || named.ControlName() == "" {
			return
		}
		placed := Placed{
			Name: named.ControlName(), At: at, Size: object.Size(),
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
	walk(object, fyne.Position{}, func(object fyne.CanvasObject, _ fyne.Position) { visit(object) })
}

// walk is Walk with each object's position; at is that of the first.
func walk(object fyne.CanvasObject, at fyne.Position, visit func(fyne.CanvasObject, fyne.Position)) {
	if object == nil || !object.Visible() {
		return
	}
	visit(object, at)
	inside := func(children ...fyne.CanvasObject) {
		for _, child := range children {
			if child != nil {
				walk(child, at.Add(child.Position()), visit)
			}
		}
	}
	switch o := object.(type) {
	case *fyne.Container:
		inside(o.Objects...)
	case *container.Scroll:
		inside(o.Content)
	case Composite:
		inside(o.Parts()...)
	}
}
