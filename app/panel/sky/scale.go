package sky

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/soniakeys/unit"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// scale is the figures along an edge of the plot.
type scale struct {
	object *fyne.Container
	texts  []*widget.Text
}

func newScale() *scale { return &scale{object: container.NewWithoutLayout()} }

// arrange writes the figures.
func (s *scale) arrange(plot view.SkyPlot, axis int) {
	used := 0
	put := func(words string, x, y float32, centre bool) {
		if used == len(s.texts) {
			text := widget.NewLabel("")
			s.texts = append(s.texts, text)
			s.object.Add(text)
		}
		text := s.texts[used]
		used++
		text.SetWords(words)
		size := text.MinSize()
		if centre {
			x = min(max(x-size.Width/2, -overhang), float32(plot.Width)+overhang-size.Width)
		}
		text.Resize(size)
		text.Move(fyne.NewPos(float32(int(x)), float32(int(y-size.Height/2))))
		text.Show()
	}
	if axis == view.Azimuth {
		for az := ceil45(plot.LowAz); az <= plot.HighAz; az += unit.AngleFromDeg(45) {
			put(view.Compass(az)+" "+view.Number(az.Deg(), 0)+"°", float32(plot.X(az)), azScale/2, true)
		}
	} else {
		step := elevationStep(plot.Height)
		for el := 0.0; el <= plot.HighEl.Deg()+1e-9; el += step {
			put(view.Number(el, 0)+"°", 4, float32(plot.Y(unit.AngleFromDeg(el))), false)
		}
	}
	for _, text := range s.texts[used:] {
		text.Hide()
	}
}
