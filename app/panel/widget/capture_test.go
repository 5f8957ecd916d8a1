package widget

import (
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
)

// A picture holds the object alone, at the window's scale, and leaves it where it is in the window.
func TestPicture(t *testing.T) {
	test.NewTempApp(t)
	red, blue := color.NRGBA{200, 0, 0, 255}, color.NRGBA{0, 0, 200, 255}
	beside, object := canvas.NewRectangle(blue), canvas.NewRectangle(red)
	beside.Resize(fyne.NewSize(200, 100))
	object.Move(fyne.NewPos(30, 20))
	object.Resize(fyne.NewSize(50, 40))
	w := test.NewTempWindow(t, container.NewWithoutLayout(beside, object))
	w.Resize(fyne.NewSize(200, 100))
	picture := Picture(object)
	if size := picture.Bounds().Size(); size.X != 50 || size.Y != 40 {
		t.Errorf("%v pixels", size)
	}
	for x := range 50 {
		for y := range 40 {
			if c := color.NRGBAModel.Convert(picture.At(x, y)); c != red {
				t.Fatalf("%v at %d, %d", c, x, y)
			}
		}
	}
	if object.Position() != fyne.NewPos(30, 20) || object.Size() != fyne.NewSize(50, 40) ||
		fyne.CurrentApp().Driver().CanvasForObject(object) != w.Canvas() {
		t.Error("the object is not where it was")
	}
	if size := Picture(canvas.NewRectangle(red)).Bounds().Size(); size.X > 1 || size.Y > 1 {
		t.Errorf("an object in no window: %v", size)
	}
}
