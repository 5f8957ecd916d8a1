package widget

import "fyne.io/fyne/v2"

// SecondClickWithin is how many ticks a double click takes at most: half a second.
const SecondClickWithin = 5

// shield lies for half a second over the place of a control that closed or opened a sheet, and takes the second click
// of a double click: it is not meant for what is seen there now.
type shield struct {
	catcher
	until uint64 // the tick
}

// shieldOver lays a shield where the pointer is on a control in a part of the window; there is none where it is
// elsewhere, as it may be when a key was pressed.
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
	o.shield = &shield{until: o.now.Tick + SecondClickWithin}
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

// raiseShield lays the shield over what was opened last.
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
