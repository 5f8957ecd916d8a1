package widget

import (
	"image"
	"sync"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// NewRaster returns a picture that draw makes pixel by pixel. It is put on the screen as it is: smoothed, as the
// window library does it by itself, each of its pixels is sampled four times in every frame. Redraw has it made again.
func NewRaster(draw func(width, height int) image.Image) *canvas.Raster {
	r := canvas.NewRaster(draw)
	r.ScaleMode = canvas.ImageScalePixels
	return r
}

// Redraw has a picture made again. An object's own Refresh is not enough: the window library forgets from time to time
// which window an object is in, finds it again in the next frame, and takes no notice of a Refresh in between. A lamp
// that changes just then would keep its old picture.
func Redraw(picture fyne.CanvasObject) { missed.redraw(picture, onCanvas, time.Now()) }

// RedrawMissed makes up for what was not redrawn because of that. The window calls it at each change of what it shows.
func RedrawMissed() { missed.again(onCanvas, time.Now()) }

// onCanvas says whether the window library knows an object's window.
func onCanvas(object fyne.CanvasObject) bool {
	return fyne.CurrentApp().Driver().CanvasForObject(object) != nil
}

// missedFor is how long a picture is remembered. What has not been shown for so long, longer than early.keeps, has lost
// its old picture, and is redrawn when it is shown again.
const missedFor = 30 * time.Second

// missedPictures are those that were to be redrawn while their window was not known, with the moment.
type missedPictures struct {
	mu sync.Mutex
	at map[fyne.CanvasObject]time.Time
}

var missed = missedPictures{at: map[fyne.CanvasObject]time.Time{}}

func (m *missedPictures) redraw(picture fyne.CanvasObject, known func(fyne.CanvasObject) bool, now time.Time) {
	picture.Refresh()
	if known(picture) {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.at[picture] = now
}

func (m *missedPictures) again(known func(fyne.CanvasObject) bool, now time.Time) {
	for _, picture := range m.found(known, now) {
		picture.Refresh()
	}
}

// found takes the pictures out whose window is known again, and those that have been remembered for long enough.
func (m *missedPictures) found(known func(fyne.CanvasObject) bool, now time.Time) (pictures []fyne.CanvasObject) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for picture, at := range m.at {
		if known(picture) {
			pictures = append(pictures, picture)
		} else if now.Sub(at) < missedFor {
			continue
		}
		delete(m.at, picture)
	}
	return pictures
}
