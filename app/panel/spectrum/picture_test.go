package spectrum

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/panel/widget"
)

// What spectrum, waterfall and the scale of its colours draw in each palette.
func TestPictures(t *testing.T) {
	p, w := shown(t, heard(t, 20, 1200), fyne.NewSize(410, 600))
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		w.Canvas().Capture() // takes up the colours
		test.AssertImageMatches(t, "line-"+palette.Name+".png", p.plot.drawLine(240, 90))
		test.AssertImageMatches(t, "fall-"+palette.Name+".png", p.plot.drawFall(240, 90))
		test.AssertImageMatches(t, "scale-"+palette.Name+".png", drawScale(6, 90, &p.plot.fall.colours))
	}
}
