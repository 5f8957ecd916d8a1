package sky

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/soniakeys/unit"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// scale is the figures along an edge of the plot, which they reach beyond by the overhang.
type scale struct {
	object *widget.Still
	lying  *fyne.Container
	texts  []*widget.Text
}

func newScale() *scale {
	s := &scale{lying: container.NewWithoutLayout()}
	s.object = widget.NewStill(s.lying)
	return s
}

// arrange writes the figures.
func (s *scale) arrange(plot view.SkyPlot, axis int) {
	used := 0
	put := func(words string, x, y float32, centre bool) {
		if used == len(s.texts) {
			text := widget.NewLabel("")
			s.texts = append(s.texts, text)
			s.lying.Add(text)
		}
		text := s.texts[used]
		used++
		text.SetWords(words)
		size := text.MinSize()
		if centre {
			x = min(max(x-size.Width/2, 0), float32(plot.Width)+2*overhang-size.Width)
		}
		text.Resize(size)
		text.Move(fyne.NewPos(float32(int(x)), float32(int(y-size.Height/2))))
		text.Show()
	}
	if axis == view.Azimuth {
		for _, az := range multiples(plot.LowAz, plot.HighAz, azimuthStep(plot, 1)) {
			words := view.Number(az.Deg(), 0) + "°"
			if eighth := math.Remainder(az.Deg(), 45); math.Abs(eighth) < 0.5 {
				words = view.Compass(az) + " " + words
			}
			put(words, overhang+float32(plot.X(az)), azScale/2, true)
		}
	} else {
		for _, el := range multiples(max(0, plot.LowEl), plot.HighEl, elevationStep(plot, 1)) {
			put(view.Number(el.Deg(), 0)+"°", 4, overhang+float32(plot.Y(el)), false)
		}
	}
	for _, text := range s.texts[used:] {
		text.Hide()
	}
	s.object.Redraw()
}

// azimuthStep is the distance of the azimuth's lines in degrees, so that their figures have room; perUnit is the number
// of the plot's pixels in a unit.
func azimuthStep(plot view.SkyPlot, perUnit float64) float64 {
	return stepOf(plot.Width/perUnit/(plot.HighAz-plot.LowAz).Deg(), 45, [2]float64{15, 70}, [2]float64{5, 70},
		[2]float64{1, 70})
}

// elevationStep is the same for the elevation.
func elevationStep(plot view.SkyPlot, perUnit float64) float64 {
	return stepOf(plot.Height/perUnit/(plot.HighEl-plot.LowEl).Deg(), 30, [2]float64{15, 18}, [2]float64{5, 26},
		[2]float64{1, 26})
}

// stepOf is the least of steps, each with how many units it must be wide, at a number of units in a degree.
func stepOf(perDegree, step float64, finer ...[2]float64) float64 {
	for _, f := range finer {
		if f[0]*perDegree >= f[1] {
			step = f[0]
		}
	}
	return step
}

// multiples are the multiples of a step in degrees between two angles.
func multiples(low, high unit.Angle, step float64) (all []unit.Angle) {
	const rounding = 1e-9
	first := unit.AngleFromDeg(math.Ceil(low.Deg()/step-rounding) * step)
	for at := first; at <= high+rounding; at += unit.AngleFromDeg(step) {
		all = append(all, at)
	}
	return all
}
