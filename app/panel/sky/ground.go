package sky

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

// ground draws what moves seldom: limits, horizon, structures, closed sectors, and the ways across the sky.
type ground struct {
	*chart.Drawing
	plot    view.SkyPlot // in pixels
	scene   *desk.Scene
	palette *widget.Palette
	shading *desk.Shading // nil: none
	unit    float64       // pixels in a unit of the window
}

func (g *ground) thick() int { return max(1, int(math.Round(g.unit))) }

// box returns the pixels between two azimuths and two elevations.
func (g *ground) box(fromAz, toAz, fromEl, toEl unit.Angle) image.Rectangle {
	round := func(v float64) int { return int(math.Round(v)) }
	return image.Rect(round(g.plot.X(fromAz)), round(g.plot.Y(toEl)), round(g.plot.X(toAz)), round(g.plot.Y(fromEl)))
}

func (g *ground) draw(ways []view.Way) {
	p := g.palette
	g.FillAll(p.Well)
	g.shade()
	for _, sector := range g.scene.Closed {
		g.closed(sector)
	}
	g.grid()
	g.horizon()
	for _, structure := range g.scene.Structures {
		g.structure(structure)
	}
	for _, way := range ways {
		for _, turns := range way.Others {
			g.way(way, turns, 0.38)
		}
	}
	for _, way := range ways {
		g.way(way, 0, 1)
	}
	g.limits()
}

// shade colours the sky by the antenna temperature that the beam would have there, by its logarithm.
func (g *ground) shade() {
	if g.shading == nil {
		return
	}
	picture, from, to := g.Picture(), g.palette.Well, g.palette.Mark
	var inks [view.ShadeSteps + 1]color.NRGBA
	mix := func(a, b uint8, part float64) uint8 {
		return uint8(math.Round(float64(a) + (float64(b)-float64(a))*part))
	}
	for i := range inks {
		part := float64(i) / view.ShadeSteps
		inks[i] = color.NRGBA{R: mix(from.R, to.R, part), G: mix(from.G, to.G, part), B: mix(from.B, to.B, part),
			A: 255}
	}
	for y := range picture.Bounds().Dy() {
		el := g.plot.El(float64(y) + 0.5)
		if el < 0 {
			continue
		}
		for x := range picture.Bounds().Dx() {
			k := g.shading.AtK(g.plot.Az(float64(x)+0.5), el)
			picture.Set(x, y, inks[view.Shade(k, g.shading.LowestK)])
		}
	}
}

func (g *ground) grid() {
	for _, az := range multiples(g.plot.LowAz, g.plot.HighAz, azimuthStep(g.plot, g.unit)) {
		g.Down(g.plot.X(az), 0, g.plot.Height, g.thick(), g.palette.Line)
	}
	for _, el := range multiples(g.plot.LowEl, g.plot.HighEl, elevationStep(g.plot, g.unit)) {
		if el > 0 && el < g.plot.HighEl {
			g.Across(0, g.plot.Width, g.plot.Y(el), g.thick(), g.palette.Line)
		}
	}
}

// horizon fills what lies below the surveyed horizon.
func (g *ground) horizon() {
	base := g.plot.Y(g.plot.LowEl)
	corners := []chart.Point{{X: 0, Y: base}}
	var line []chart.Point
	for x := 0.0; x <= g.plot.Width; x += g.unit {
		point := chart.Point{X: x, Y: g.plot.Y(view.HorizonAt(g.scene, g.plot.Az(x)))}
		corners = append(corners, point)
		line = append(line, point)
	}
	corners = append(corners, chart.Point{X: g.plot.Width, Y: base})
	g.Polygon(corners...)
	g.Paint(g.palette.Ground)
	g.Line(line, 1.2*g.unit)
	g.Paint(widget.Fade(g.palette.Mark, 0.6))
}

// structure hatches what the dish must stay above, on every branch.
func (g *ground) structure(structure desk.Structure) {
	width := (structure.To - structure.From).Mod1()
	for _, from := range branches(g.plot, structure.From, width) {
		box := g.box(from, from+width, min(g.plot.LowEl, structure.Min), structure.Min)
		g.Fill(box, widget.Fade(g.palette.Well, 0.7))
		g.Hatch(box, 6*g.unit, 1.3*g.unit, g.palette.Hatch)
		g.frame(box, g.palette.Mark)
	}
}

// branches returns the azimuths, whole turns apart, at which something that
// begins at from and is width wide lies in the plot.
func branches(plot view.SkyPlot, from, width unit.Angle) []unit.Angle {
	wider := plot
	wider.LowAz -= width
	return wider.Branches(from)
}

// closed marks a part of the sky in which nothing is transmitted.
func (g *ground) closed(sector desk.Sector) {
	width := (sector.To - sector.From).Mod1()
	for _, from := range branches(g.plot, sector.From, width) {
		box := g.box(from, from+width, sector.FromEl, sector.ToEl)
		g.Fill(box, widget.Fade(g.palette.Transmit, 0.8))
		g.Dots(box, 8*g.unit, 0.9*g.unit, g.palette.Mark)
		g.frame(box, widget.Fade(g.palette.Mark, 0.7))
	}
}

// frame draws the sides of a box but the lower one.
func (g *ground) frame(box image.Rectangle, ink color.NRGBA) {
	t := g.thick()
	g.Fill(image.Rect(box.Min.X, box.Min.Y, box.Max.X, box.Min.Y+t), ink)
	g.Fill(image.Rect(box.Min.X, box.Min.Y+t, box.Min.X+t, box.Max.Y), ink)
	g.Fill(image.Rect(box.Max.X-t, box.Min.Y+t, box.Max.X, box.Max.Y), ink)
}

// limits hatches where the axes don't go, over everything else.
func (g *ground) limits() {
	low, high := g.scene.SoftLow, g.scene.SoftHigh
	if high[view.Azimuth] <= low[view.Azimuth] {
		return
	}
	inner := g.box(low[view.Azimuth], high[view.Azimuth], low[view.Elevation], high[view.Elevation])
	all := g.Picture().Bounds()
	part := func(v, most int) int { return max(0, min(v, most)) }
	left, right := part(inner.Min.X, all.Max.X), part(inner.Max.X, all.Max.X)
	for _, area := range []image.Rectangle{
		{Min: all.Min, Max: image.Pt(left, all.Max.Y)},
		{Min: image.Pt(right, 0), Max: all.Max},
		image.Rect(left, 0, right, part(inner.Min.Y, all.Max.Y)),
		image.Rect(left, part(inner.Max.Y, all.Max.Y), right, all.Max.Y),
	} {
		g.Fill(area, widget.Fade(g.palette.Well, 0.75))
		g.Hatch(area, 6*g.unit, 1.3*g.unit, widget.Fade(g.palette.Hatch, 0.8))
	}
	t := g.thick()
	g.Down(float64(inner.Min.X)-0.5, float64(inner.Min.Y), float64(inner.Max.Y), t, g.palette.Mark)
	g.Down(float64(inner.Max.X)+0.5, float64(inner.Min.Y), float64(inner.Max.Y), t, g.palette.Mark)
	g.Across(float64(inner.Min.X), float64(inner.Max.X), float64(inner.Min.Y)-0.5, t, g.palette.Mark)
}

// way draws a way across the sky with a dot at each whole hour.
func (g *ground) way(way view.Way, turns int, opacity float64) {
	shift := unit.AngleFromDeg(360 * float64(turns))
	g.shared(way, shift, opacity)
	var line []chart.Point
	for i, point := range way.Points {
		if point.El < 0 { // the way ends where it meets the horizon of the plot
			if i+1 < len(way.Points) && way.Points[i+1].El >= 0 {
				line = append(line, g.crossing(way.Points[i], way.Points[i+1], shift))
			} else if i > 0 && way.Points[i-1].El >= 0 {
				line = append(line, g.crossing(way.Points[i-1], way.Points[i], shift))
			}
			continue
		}
		line = append(line, g.at(point.Az+shift, point.El))
	}
	ink := chart.BodyInk(g.palette, way.Kind)
	width, dot := 1.2*g.unit, 1.7*g.unit
	if way.Target {
		width, dot = 2*g.unit, 2.9*g.unit
	}
	if way.Kind == desk.Sun || !way.Target {
		g.Dashed(line, width, 6*g.unit, 4*g.unit)
	} else {
		g.Line(line, width)
	}
	g.Paint(widget.Fade(ink, opacity))
	for _, hour := range way.Hours() {
		g.Disc(g.at(hour.Az+shift, hour.El), dot)
	}
	g.Paint(widget.Fade(ink, opacity))
}

// shared lays a pale band under the part of a way that the partner in use has too.
func (g *ground) shared(way view.Way, shift unit.Angle, opacity float64) {
	var part []chart.Point
	end := func() {
		if len(part) > 1 {
			g.Line(part, 8*g.unit)
		}
		part = nil
	}
	for _, point := range way.Points {
		if !point.Shared || point.El < 0 {
			end()
			continue
		}
		part = append(part, g.at(point.Az+shift, point.El))
	}
	end()
	g.Paint(widget.Fade(g.palette.Measured, 0.3*opacity))
}

func (g *ground) at(az, el unit.Angle) chart.Point {
	return chart.Point{X: g.plot.X(az), Y: g.plot.Y(el)}
}

// crossing returns where a way crosses elevation 0 between two points.
func (g *ground) crossing(a, b desk.ArcPoint, shift unit.Angle) chart.Point {
	part := a.El.Rad() / (a.El - b.El).Rad()
	return g.at(a.Az+(b.Az-a.Az).Mul(part)+shift, 0)
}
