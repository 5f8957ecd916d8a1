package panel

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/widget"
)

// A refusal has each line in words that may be drawn, and a button that ends it.
func TestRefusal(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(widget.NewTheme(widget.Dusk()))
	ended := 0
	window := test.NewTempWindow(t,
		refusal("beamhelm: another panel of this dish is running: process 123\nand \u202eturned",
			func() { ended++ }))
	var drawn strings.Builder
	for _, object := range test.LaidOutObjects(window.Content()) {
		switch o := object.(type) {
		case *widget.Text:
			drawn.WriteString(o.ControlWords() + "\n")
		case *widget.Button:
			test.Tap(o)
		}
	}
	if !strings.Contains(drawn.String(), "\nAnother panel of this dish is running: process 123\n") ||
		!strings.Contains(drawn.String(), "Beamhelm does not start") ||
		strings.Contains(drawn.String(), "\u202e") {
		t.Errorf("it draws %q", drawn.String())
	}
	if ended != 1 {
		t.Errorf("the button ended it %d times", ended)
	}
}
