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
	ended, acted := 0, 0
	window := test.NewTempWindow(t,
		refusal("beamhelm: another panel of this dish is running: process 123\nand \u202eturned"+
			strings.Repeat("\nanother line", 20), []Way{
			{Words: "Tell", Act: func() string { acted++; return "It was told" }},
			{Words: "Leave", Act: func() string { acted++; return "" }}},
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
	for _, object := range test.LaidOutObjects(window.Content()) { // what was told
		if o, is := object.(*widget.Text); is {
			drawn.WriteString(o.ControlWords() + "\n")
		}
	}
	if !strings.Contains(drawn.String(), "\nAnother panel of this dish is running: process 123\n") ||
		!strings.Contains(drawn.String(), "Beamhelm does not start") ||
		strings.Contains(drawn.String(), "\u202e") {
		t.Errorf("it draws %q", drawn.String())
	}
	if !strings.Contains(drawn.String(), "\nAnd 14 more\n") || !strings.Contains(drawn.String(), "\nIt was told\n") {
		t.Errorf("it draws %q", drawn.String())
	}
	if ended != 2 || acted != 2 {
		t.Errorf("the buttons ended it %d times, %d ways were taken", ended, acted)
	}
}
