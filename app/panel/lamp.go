package panel

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// lampSide is the side of the lamp, in units.
const lampSide = 18

// lamp tells by its shape whether the station transmits: a ring while it receives, a ring with a point while it may
// transmit, a disc in a ring while it does, a bar where that is not known.
type lamp struct {
	raster *canvas.Raster
	shown  view.Lamp
}

func newLamp() *lamp {
	l := &lamp{}
	l.raster = chart.NewMark(lampSide, l.draw)
	l.raster.SetMinSize(fyne.NewSize(lampSide, lampSide))
	return l
}

func (l *lamp) show(now view.Now) {
	if lit := view.TransmitLamp(now); lit != l.shown {
		l.shown = lit
		widget.Redraw(l.raster)
	}
}

func (l *lamp) draw(d *chart.Drawing, w, h, unit float64) {
	p, centre := widget.Current(), chart.Point{X: w / 2, Y: h / 2}
	switch l.shown {
	case view.LampUnknown:
		d.Line([]chart.Point{{X: w/2 - 4*unit, Y: h / 2}, {X: w/2 + 4*unit, Y: h / 2}}, 1.6*unit)
		d.Paint(p.Old)
	case view.LampOff:
		d.Ring(centre, 5*unit, 1.4*unit)
		d.Paint(p.Dim)
	case view.LampPermitted:
		d.Ring(centre, 5*unit, 1.4*unit)
		d.Disc(centre, 2*unit)
		d.Paint(p.Setpoint)
	case view.LampKeyed:
		d.Disc(centre, 5*unit)
		d.Ring(centre, 8*unit, 1.4*unit)
		d.Paint(p.Measured)
	}
}
