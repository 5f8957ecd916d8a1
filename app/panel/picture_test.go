//go:build !race

// Without the race detector, which makes painting slow: nothing here runs beside anything.

package panel

import (
	"bytes"
	"image"
	"image/draw"
	"strconv"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/widget"
)

// A picture can be saved of every pane, also while a control of it has the keyboard.
func TestPicturesOfPanes(t *testing.T) {
	w, _ := open(t, fyne.NewSize(1400, 900), nil)
	for _, pane := range w.right.panes {
		w.right.chooseTitle(pane.Title())
		w.show(w.now)
		for range 12 {
			w.window.Canvas().FocusNext()
			if b := widget.Picture(pane.Object()).Bounds(); b.Dx() < 100 || b.Dy() < 100 {
				t.Errorf("%s: %v", pane.Title(), b)
			}
		}
	}
	widget.Picture(w.body)
}

// Whatever changes, each picture that is drawn shows what is so now: painted again it would be the same.
func TestPicturesAreOfNow(t *testing.T) {
	w, d := open(t, fyne.NewSize(1400, 900), nil)
	states := append(fullStates(), nil,
		func(s *desk.Status) { // every figure another
			for i := range s.Readings {
				s.Readings[i].Value += (s.Readings[i].High - s.Readings[i].Low) / 20 // more than the marks leave out
			}
			s.Axes[0].Position += 0.3
			s.Axes[1].Position -= 0.2
			s.Trim.CrossEl += 0.01
		},
		func(s *desk.Status) { s.Activity, s.Power, s.Moving = desk.Idle, desk.PowerOff, false },
		func(s *desk.Status) { s.Target.Choice, s.Target.Name = desk.BodyChoice{Kind: desk.Sun}, "Sun" },
		func(s *desk.Status) { s.Practice, s.TimeScale = true, 1 },
		func(s *desk.Status) { s.Practice, s.TimeScale = true, 10 },
		func(s *desk.Status) { s.Practice, s.TimeScale = true, 60 },
		func(s *desk.Status) { scene := *s.Scene; scene.Structures, s.Scene = nil, &scene },
	)
	later := time.Duration(0) // traces move on with their columns alone
	for i, pane := range w.right.panes {
		w.right.chooseTitle(pane.Title())
		for n, state := range states {
			if i > 0 && n%3 != 0 { // the other panes have little of their own that is merged
				continue
			}
			later += time.Minute
			bring(w, d, func(s *desk.Status) {
				if s.At = s.At.Add(later); state != nil {
					state(s)
				}
			})
			w.foot.events.add(desk.Event{At: w.now.At, Words: message.Text("event " + strconv.Itoa(n))})
			was := drawn(w.parts)
			w.parts.Refresh()
			compared := 0
			walkDrawn(w.parts, func(object fyne.CanvasObject, at fyne.Position, _ box) {
				raster, is := object.(*canvas.Raster)
				if !is || was[raster] == nil {
					return
				}
				raster.Generator(2*was[raster].Rect.Dx(), 2*was[raster].Rect.Dy()) // nothing of what was kept fits that
				now := pixelsOf(raster)
				if now.Rect != was[raster].Rect { // it was drawn again for its size: other words need another layout
					return
				}
				compared++
				if !bytes.Equal(now.Pix, was[raster].Pix) {
					t.Errorf("%s, state %d: the picture at %v, %v, is an old one", pane.Title(), n, at, raster.Size())
				}
			})
			if compared < 40 {
				t.Fatalf("only %d pictures are drawn", compared)
			}
		}
	}
}

// drawn is what is drawn now of each picture.
func drawn(root fyne.CanvasObject) map[*canvas.Raster]*image.RGBA {
	all := map[*canvas.Raster]*image.RGBA{}
	walkDrawn(root, func(object fyne.CanvasObject, _ fyne.Position, _ box) {
		if raster, is := object.(*canvas.Raster); is {
			all[raster] = pixelsOf(raster)
		}
	})
	return all
}

// pixelsOf is what a picture draws at its size.
func pixelsOf(raster *canvas.Raster) *image.RGBA {
	size := raster.Size()
	picture := raster.Generator(int(size.Width), int(size.Height))
	copied := image.NewRGBA(picture.Bounds())
	draw.Draw(copied, copied.Rect, picture, picture.Bounds().Min, draw.Src)
	return copied
}
