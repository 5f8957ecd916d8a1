package beam

import (
	"image/color"
	"math"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// arrow points from the rim towards a spot outside the frame: its tip, then its other corners.
type arrow struct {
	corners [3]chart.Point
	ink     func(*widget.Palette) color.NRGBA
}

// How long and half how wide an arrow is, and how far the one behind another stands inside the rim at most, units.
const (
	arrowLong   = 13
	arrowHalf   = 6.5
	arrowInside = 40
)

// arrows are those to a target and to a setpoint that are out of view, the target's first; a unit has so many pixels.
// Where both point the same way, the setpoint's stands behind the target's.
func (f frame) arrows(b view.Beam, unit float64) (all []arrow) {
	if t, has := b.Target(); has && !f.holds(t.At, t.Diameter.Rad()/2*f.perRad) {
		all = append(all, arrow{f.corners(t.At, 0, unit),
			func(p *widget.Palette) color.NRGBA { return chart.BodyInk(p, t.Kind) }})
	}
	if b.Known && b.HasSetpoint && !f.holds(b.Setpoint, 0) {
		a := arrow{ink: func(p *widget.Palette) color.NRGBA { return p.Setpoint }}
		for inside := 0.0; inside <= arrowInside; inside += 2 {
			a.corners = f.corners(b.Setpoint, inside, unit)
			if len(all) == 0 || a.box().meets(all[0].box()) == 0 {
				break
			}
		}
		all = append(all, a)
	}
	return all
}

// corners are those of an arrow to a spot, so many units inside the rim.
func (f frame) corners(s view.Spot, inside, unit float64) [3]chart.Point {
	tip, ux, uy := f.rim(s, besideWords().times(unit))
	tip.X, tip.Y = tip.X-ux*inside*unit, tip.Y-uy*inside*unit
	l, h := arrowLong*unit, arrowHalf*unit
	return [3]chart.Point{tip, {X: tip.X - ux*l - uy*h, Y: tip.Y - uy*l + ux*h},
		{X: tip.X - ux*l + uy*h, Y: tip.Y - uy*l - ux*h}}
}

// box is a part of the view.
type box struct{ x0, y0, x1, y1 float32 }

// box is what an arrow takes.
func (a arrow) box() box {
	b := box{float32(a.corners[0].X), float32(a.corners[0].Y), float32(a.corners[0].X), float32(a.corners[0].Y)}
	for _, c := range a.corners[1:] {
		b.x0, b.x1 = min(b.x0, float32(c.X)), max(b.x1, float32(c.X))
		b.y0, b.y1 = min(b.y0, float32(c.Y)), max(b.y1, float32(c.Y))
	}
	return b
}

// box is what words take.
func (w words) box() box {
	if !w.text.Visible() {
		return box{}
	}
	at, size := w.text.Position(), w.text.Size()
	return box{at.X, at.Y, at.X + size.Width, at.Y + size.Height}
}

// meets is how much two parts share.
func (b box) meets(o box) float32 {
	return max(0, min(b.x1, o.x1)-max(b.x0, o.x0)) * max(0, min(b.y1, o.y1)-max(b.y0, o.y0))
}

// beside puts the words of the first arrow beneath, above or beside it, as near as they lie on nothing else.
func (v *beamView) beside(all []arrow) {
	const inset, gap = 5, 2
	size, at := v.far.size(), all[0].box()
	taken := []box{v.title.box(), v.moves.box(), v.scale.box(), v.off.box(), v.loss.box()}
	for _, a := range all {
		taken = append(taken, a.box())
	}
	x, y := (at.x0+at.x1-size.Width)/2, (at.y0+at.y1-size.Height)/2
	best, least := box{}, float32(math.Inf(1))
	for far := float32(gap); far < 40; far += 4 {
		below, above := at.y1+far, at.y0-far-size.Height
		right, left := at.x1+far, at.x0-far-size.Width
		for _, corner := range [][2]float32{{x, below}, {x, above}, {right, y}, {left, y}} {
			left := float32(int(max(inset, min(corner[0], v.Size().Width-inset-size.Width))))
			top := float32(int(max(inset, min(corner[1], v.Size().Height-inset-size.Height))))
			put, shared := box{left, top, left + size.Width, top + size.Height}, float32(0)
			for _, t := range taken {
				shared += put.meets(t)
			}
			if shared < least {
				best, least = put, shared
			}
		}
	}
	v.far.move(best.x0, best.y0)
}
