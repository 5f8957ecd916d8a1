package beam

import (
	"image"
	"image/color"
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// frame is the geometry of the beam view: true angle around its centre.
type frame struct {
	width, height float64
	perRad        float64
}

// newFrame returns the frame in which reach is the distance from the centre to the nearer edges.
func newFrame(width, height float64, reach unit.Angle) frame {
	return frame{width, height, min(width, height) / 2 / reach.Rad()}
}

// at returns the place of a spot.
func (f frame) at(s view.Spot) chart.Point {
	return chart.Point{X: f.width/2 + s.Cross.Rad()*f.perRad, Y: f.height/2 - s.El.Rad()*f.perRad}
}

// spot returns the spot at a place: the inverse of at.
func (f frame) spot(p chart.Point) view.Spot {
	return view.Spot{
		Cross: unit.Angle((p.X - f.width/2) / f.perRad),
		El:    unit.Angle((f.height/2 - p.Y) / f.perRad),
	}
}

// holds says whether a spot lies in the frame, in or out by a margin.
func (f frame) holds(s view.Spot, margin float64) bool {
	p := f.at(s)
	return p.X >= -margin && p.X <= f.width+margin && p.Y >= -margin && p.Y <= f.height+margin
}

// margins are what is left free at the frame's edges for the words, from above clockwise.
type margins struct{ top, right, bottom, left float64 }

// rim returns where a line from the centre to a spot leaves the frame within
// its margins, and the line's direction.
func (f frame) rim(s view.Spot, m margins) (at chart.Point, ux, uy float64) {
	far := s.Far().Rad()
	ux, uy = s.Cross.Rad()/far, -s.El.Rad()/far
	room := math.Inf(1)
	reach := func(u, before, after float64) {
		switch {
		case u > 0:
			room = min(room, after/u)
		case u < 0:
			room = min(room, before/-u)
		}
	}
	reach(ux, f.width/2-m.left, f.width/2-m.right)
	reach(uy, f.height/2-m.top, f.height/2-m.bottom)
	return chart.Point{X: f.width/2 + ux*room, Y: f.height/2 + uy*room}, ux, uy
}

// besideWords are the margins that keep an arrow clear of the words in the corners, two lines of them, in units.
func besideWords() margins { return margins{top: 40, right: 5, bottom: 40, left: 5} }

func (m margins) times(k float64) margins {
	return margins{m.top * k, m.right * k, m.bottom * k, m.left * k}
}

// picture draws the beam view.
type picture struct {
	*chart.Drawing
	frame
	palette *widget.Palette
	unit    float64 // pixels in a unit of the window
	live    bool
}

// layers are what the beam view is drawn in: the ground with its rings, which hardly ever changes, and the picture.
type layers struct {
	ground  chart.Kept[ground]
	picture *chart.Drawing
}

// ground is all that the rings follow.
type ground struct {
	palette      string
	every, reach unit.Angle
	perUnit      float64
}

func (l *layers) draw(w, h int, perUnit float64, b view.Beam, t *trace, live bool) image.Image {
	l.picture = l.picture.Again(w, h)
	p := picture{l.picture, newFrame(float64(w), float64(h), b.Reach), widget.Current(), perUnit, live}
	key := ground{p.palette.Name, b.Ring(), b.Reach, perUnit}
	p.Copy(l.ground.Of(key, w, h, func(d *chart.Drawing) {
		below := p
		below.Drawing = d
		below.FillAll(p.palette.Well)
		below.rings(b.Ring())
	}))
	for _, disc := range b.Discs {
		p.disc(disc)
	}
	for _, a := range p.arrows(b, p.unit) {
		p.Polygon(a.corners[:]...)
		p.Paint(a.ink(p.palette))
	}
	if !b.Known {
		return p.Picture() // no beam pretends to know where it looks
	}
	p.trace(b, t)
	if b.HalfPower > 0 {
		p.halfPower(b)
	}
	if b.HasSetpoint {
		p.drawSetpoint(b.Setpoint)
	}
	p.drawPosition(b.Position)
	return p.Picture()
}

// centre is where the rings are centred.
func (p picture) centre() chart.Point { return chart.Point{X: p.width / 2, Y: p.height / 2} }

func (p picture) rings(every unit.Angle) {
	thick := max(1, int(math.Round(p.unit)))
	p.Across(0, p.width, p.centre().Y, thick, p.palette.Line)
	p.Down(p.centre().X, 0, p.height, thick, p.palette.Line)
	maximum := math.Hypot(p.width, p.height) / 2
	for radius := every.Rad() * p.perRad; radius < maximum; radius += every.Rad() * p.perRad {
		p.Ring(p.centre(), radius, p.unit)
	}
	p.Paint(p.palette.Line)
}

// disc draws a body to scale; a point, or one too small to be seen, as a diamond.
func (p picture) disc(disc view.Disc) {
	ink := chart.BodyInk(p.palette, disc.Kind)
	radius := disc.Diameter.Rad() / 2 * p.perRad
	if !p.holds(disc.At, radius) {
		return
	}
	at := p.at(disc.At)
	if radius < 3*p.unit {
		p.Line(chart.Diamond(at, 5.5*p.unit), 1.6*p.unit)
		p.Paint(ink)
		return
	}
	p.Disc(at, radius)
	if disc.Kind == desk.Sun {
		p.Paint(widget.Fade(ink, 0.55))
		p.Ring(at, radius, 1.5*p.unit)
		p.Paint(ink)
		return
	}
	p.Paint(widget.Fade(ink, 0.85))
}

// traceShades is in how many shades the trace fades.
const traceShades = 4

func (p picture) trace(b view.Beam, t *trace) {
	if !b.HasSetpoint || b.Setpoint != (view.Spot{}) {
		return // the trace is beside the setpoint, which is not in the middle
	}
	// The newest spot is traceCount-1 in age order, whatever the trace's length.
	age := traceCount - len(t.spots)
	for shade := range traceShades {
		from, to := shade*traceCount/traceShades-age, (shade+1)*traceCount/traceShades-age
		for i := max(1, from); i < min(to, len(t.spots)); i++ {
			if !t.gaps[i] {
				p.Line([]chart.Point{p.at(t.spots[i-1]), p.at(t.spots[i])}, 1.3*p.unit)
			}
		}
		p.Paint(widget.Fade(p.palette.Mark, 0.35+0.65*float64(shade+1)/traceShades))
	}
}

// onTop paints lines in a colour with a dark edge, to be seen on a disc as well.
func (p picture) onTop(ink color.NRGBA, width float64, lines func(width float64)) {
	lines(width + 2*p.unit)
	p.Paint(widget.Fade(p.palette.Well, 0.75))
	lines(width)
	p.Paint(ink)
}

func (p picture) halfPower(b view.Beam) {
	circle := chart.Circle(p.at(b.Position), b.HalfPower.Rad()/2*p.perRad)
	p.onTop(p.isInk(), 1.5*p.unit, func(width float64) { p.Dashed(circle, width, 6*p.unit, 4*p.unit) })
}

func (p picture) isInk() color.NRGBA {
	if p.live {
		return p.palette.Measured
	}
	return p.palette.Old
}

// drawPosition draws the beam's cross: four strokes around a gap.
func (p picture) drawPosition(s view.Spot) {
	at := whole(p.at(s))
	p.onTop(p.isInk(), 2*p.unit, func(width float64) {
		for _, u := range [4]chart.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
			from, to := 7*p.unit, 16*p.unit
			p.Line([]chart.Point{{X: at.X + u.X*from, Y: at.Y + u.Y*from}, {X: at.X + u.X*to, Y: at.Y + u.Y*to}}, width)
		}
	})
}

// whole moves a point to a corner of pixels, where strokes along the axes are sharp.
func whole(at chart.Point) chart.Point { return chart.Point{X: math.Round(at.X), Y: math.Round(at.Y)} }

// drawSetpoint draws the setpoint's cross, where it is in view.
func (p picture) drawSetpoint(s view.Spot) {
	if !p.holds(s, 0) {
		return
	}
	at, r := whole(p.at(s)), 5*p.unit
	p.onTop(p.palette.Setpoint, 2*p.unit, func(width float64) {
		p.Line([]chart.Point{{X: at.X - r, Y: at.Y}, {X: at.X + r, Y: at.Y}}, width)
		p.Line([]chart.Point{{X: at.X, Y: at.Y - r}, {X: at.X, Y: at.Y + r}}, width)
	})
}
