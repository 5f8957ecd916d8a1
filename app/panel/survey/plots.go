package survey

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// skyPlot shows where in the sky the observations lie: the zenith in the middle,
// north up, east to the right, as on a map.
type skyPlot struct {
	object *fyne.Container
	raster *canvas.Raster
	sides  [4]*widget.Text // N, E, S, W
	rings  []*widget.Text  // elevations of the rings
	// What the colour tells: its head, and between what it lies.
	shadeHead, shade *widget.Text
	scaled           *widget.Text // how much longer the residuals are drawn
	points           []view.SurveyPoint
	cells            []view.SurveyCell
	beam             float64 // half-power width, degrees
	// stretch is how many times longer than they are the residuals are drawn.
	stretch float64
	survey  desk.Survey
}

func newSkyPlot() *skyPlot {
	s := &skyPlot{shadeHead: widget.NewLabel(""), shade: widget.NewLabel("").Named("survey-shade"),
		scaled: widget.NewLabel("").Right().Named("survey-scale")}
	s.raster = widget.NewRaster(s.draw)
	objects := []fyne.CanvasObject{s.raster, s.shadeHead, s.shade, s.scaled}
	for i, words := range [...]string{"N", "E", "S", "W"} {
		s.sides[i] = widget.NewLabel(words)
		objects = append(objects, s.sides[i])
	}
	for _, el := range ringsAt {
		s.rings = append(s.rings, widget.NewLabel(view.Number(el, 0)+"°"))
		objects = append(objects, s.rings[len(s.rings)-1])
	}
	s.object = container.New(skyLayout{s}, objects...)
	return s
}

func (s *skyPlot) show(points []view.SurveyPoint, survey desk.Survey, beamDeg float64) {
	s.points, s.survey, s.cells, s.beam = points, survey, view.SurveyCells(survey), beamDeg
	s.stretch = view.SurveyStretch(points)
	shade, scaled := view.SurveySkyWords(survey, beamDeg, s.stretch)
	s.shade.SetWords(shade)
	if s.shadeHead.SetWords(""); shade != "" {
		s.shadeHead.SetWords("Predicted error")
	}
	s.scaled.SetWords(scaled)
	s.object.Layout.Layout(nil, s.object.Size())
	widget.Redraw(s.raster)
}

// ringsAt are the elevations at which rings are drawn and labelled, above the horizon.
var ringsAt = [...]float64{30, 60}

// middleOf is the zenith of a plot of a size, and the radius of its horizon; edge is left free for the letters.
func middleOf(w, h, edge float64) (middle chart.Point, radius float64) {
	return chart.Point{X: w / 2, Y: h / 2}, math.Min(w, h)/2 - edge
}

// skyLayout puts the letters round the plot and the elevations at their rings.
type skyLayout struct{ sky *skyPlot }

// MinSize implements fyne.Layout.
func (skyLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(160, 120) }

// edge is the room for a letter, in units.
func (s *skyPlot) edge() float64 { return float64(s.sides[0].MinSize().Height) }

// Layout implements fyne.Layout.
func (l skyLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	s := l.sky
	s.raster.Resize(size)
	middle, radius := middleOf(float64(size.Width), float64(size.Height), s.edge())
	put := func(t *widget.Text, x, y float64) { // its middle
		minimum := t.MinSize()
		t.Resize(minimum)
		t.Move(fyne.NewPos(float32(math.Round(x-float64(minimum.Width)/2)),
			float32(math.Round(y-float64(minimum.Height)/2))))
	}
	for i, t := range s.sides {
		sin, cos := math.Sincos(float64(i) * math.Pi / 2)
		away := radius + s.edge()/2
		put(t, middle.X+away*sin, middle.Y-away*cos)
	}
	for i, t := range s.rings {
		put(t, middle.X+float64(t.MinSize().Width)/2+2, middle.Y-radius*(90-ringsAt[i])/90+s.edge()/2)
	}
	corner := func(t *widget.Text, right bool, row float32) {
		minimum := t.MinSize()
		t.Resize(minimum)
		x := float32(4)
		if right {
			x = size.Width - minimum.Width - 4
		}
		t.Move(fyne.NewPos(x, size.Height-row*minimum.Height))
	}
	corner(s.shadeHead, false, 2)
	corner(s.shade, false, 1)
	corner(s.scaled, true, 1)
}

func (s *skyPlot) draw(w, h int) image.Image {
	ink := widget.Current()
	d := chart.New(w, h)
	d.FillAll(ink.Well)
	unit := chart.PerUnit(w, s.raster)
	middle, radius := middleOf(float64(w), float64(h), s.edge()*unit)
	if radius < 10 {
		return d.Picture()
	}
	place := func(az, el float64) chart.Point {
		away := radius * (90 - max(0, el)) / 90
		sin, cos := math.Sincos(az * math.Pi / 180)
		return chart.Point{X: middle.X + away*sin, Y: middle.Y - away*cos}
	}
	// The darker the colour, the less the model is known: from a twentieth of the beam to half of it.
	for _, c := range s.cells {
		half := c.Size / 2
		d.Polygon(place(c.Az-half, c.El-half), place(c.Az+half, c.El-half), place(c.Az+half, c.El+half),
			place(c.Az-half, c.El+half))
		d.Paint(widget.Fade(ink.Setpoint, 0.75*view.SurveyShade(c.Within, s.beam)))
	}
	for _, el := range []float64{0, ringsAt[0], ringsAt[1]} {
		d.Ring(middle, radius*(90-el)/90, unit)
	}
	for _, az := range []float64{0, 90} {
		d.Line([]chart.Point{place(az, 0), place(az+180, 0)}, unit)
	}
	d.Paint(ink.Line)
	for _, p := range s.points {
		at := place(p.Az, p.El)
		if across := p.Across / math.Cos(p.El*math.Pi/180); across == across && !p.Excluded { // not where it is NaN
			stretch := min(s.stretch, view.SurveyLongest/math.Hypot(p.Across, p.Up))
			d.Line([]chart.Point{at, place(p.Az+stretch*across, p.El+stretch*p.Up)}, 1.3*unit)
			d.Paint(inkOf(p, ink))
		}
		if p.Excluded {
			d.Ring(at, 3.5*unit, unit)
		} else {
			d.Disc(at, 3*unit)
		}
		d.Paint(inkOf(p, ink))
	}
	if az, el, ok := view.SurveyNextPlace(s.survey); ok {
		d.Ring(place(az, el), 8*unit, 1.5*unit)
		d.Paint(ink.Setpoint)
	}
	return d.Picture()
}

// inkOf is the colour of an observation.
func inkOf(p view.SurveyPoint, ink *widget.Palette) color.NRGBA {
	switch {
	case p.Excluded:
		return ink.Dim
	case p.Suspect:
		return ink.Warning
	}
	return ink.Measured
}
