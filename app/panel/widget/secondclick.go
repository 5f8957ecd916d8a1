package widget

import (
	"fyne.io/fyne/v2"
)

// secondClickWithin is how many ticks a double click may take, at the most: those of half a second.
const secondClickWithin = 5

// shield lies for a moment where a control was pressed that closed or opened a sheet: the second click of a double
// click is not meant for what is seen there now.
type shield struct {
	catcher
	until uint64 // the tick
}

// shieldOver keeps the next click from what comes to lie where the pointer is on a control of a part of the window.
// Nothing is kept from it where the keyboard did it.
func (o *Open) shieldOver(part fyne.CanvasObject) {
	var pointed fyne.CanvasObject
	Walk(part, func(object fyne.CanvasObject) {
		if control, is := object.(interface{ Pointed() bool }); is && control.Pointed() {
			pointed = object
		}
	})
	if pointed == nil {
		return
	}
	o.dropShield()
	o.shield = &shield{until: o.now.Tick + secondClickWithin}
	o.shield.act = func() {}
	o.shield.ExtendBaseWidget(o.shield)
	o.shield.Move(o.place(pointed))
	o.shield.Resize(pointed.Size())
	o.layer.Add(o.shield)
}

// whatItCovers is what a dialog that is opened comes to lie over.
func (o *Open) whatItCovers() fyne.CanvasObject {
	if n := len(o.sheets); n > 0 {
		return o.sheets[n-1].content
	}
	return o.dock
}

// raiseShield lays it over what was opened last.
func (o *Open) raiseShield() {
	if o.shield != nil {
		o.layer.Remove(o.shield)
		o.layer.Add(o.shield)
	}
}

func (o *Open) dropShield() {
	if o.shield != nil {
		o.layer.Remove(o.shield)
		o.shield = nil
	}
}
