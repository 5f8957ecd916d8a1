package camera

import (
	"image"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	pictures "beamhelm/app/camera"
	"beamhelm/app/panel/widget"
)

type film struct {
	picture *pictures.Picture
	trouble string
}

func (f *film) Newest() *pictures.Picture { return f.picture }
func (f *film) Trouble() string           { return f.trouble }

// TestAPictureThatStallsIsVeiled: at no moment does an old picture look like one of now.
func TestAPictureThatStallsIsVeiled(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	source := &film{}
	f := NewFrame(source, "x", fyne.NewSize(80, 60), true)
	at := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	picture := &pictures.Picture{Image: image.NewGray(image.Rect(0, 0, 8, 6)), At: at, Every: time.Second}
	for _, c := range []struct {
		name    string
		after   time.Duration
		picture *pictures.Picture
		veiled  bool
		says    string
	}{
		{"none yet", 0, nil, true, "Camera: no picture"},
		{"new", 0, picture, false, "Camera, 0 s old"},
		{"a little late", 4 * time.Second, picture, false, "Camera, 4 s old"},
		{"stalled", 6 * time.Second, picture, true, "▲ stale: 6 s old"},
		{"long stalled", 10 * time.Minute, picture, true, "▲ stale: 10 min old"},
		{"back", 10 * time.Minute, &pictures.Picture{Image: picture.Image, At: at.Add(10 * time.Minute),
			Every: time.Second}, false, "Camera, 0 s old"},
		{"a clock set back", 0, &pictures.Picture{Image: picture.Image, At: at.Add(10 * time.Minute),
			Every: time.Second}, false, "Camera, 0 s old"},
	} {
		source.picture = c.picture
		f.Show(at.Add(c.after))
		if f.veil.Visible() != c.veiled || f.age.ControlWords() != c.says {
			t.Errorf("%s: veiled %v, %q", c.name, f.veil.Visible(), f.age.ControlWords())
		}
	}
}
