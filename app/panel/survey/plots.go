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
	points []view.SurveyPoint
	cells  []view.SurveyCell
	beam   float64 // half-power width, degrees
	survey desk.Survey
}

func newSkyPlot() *skyPlot {
	s := &skyPlot{}
	s.raster = canvas.NewRaster(s.draw)
	s.object = container.NewStack(s.raster)
	return s
}

func (s *skyPlot) show(points []view.SurveyPoint, survey desk.Survey, beamDeg float64) {
	s.points, s.survey, s.cells, s.beam = points, survey, view.SurveyCells(survey), beamDeg
	s.raster.Refresh()
}

func (s *skyPlot) draw(w, h int) image.Image {
	ink := widget.Current()
	d := chart.New(w, h)
	d.FillAll(ink.Well)
	unit := chart.PerUnit(w, s.raster)
	radius := math.Min(float64(w), float64(h))/2 - 6*unit
	if radius < 10 {
		return d.Picture()
	}
	middle := chart.Point{X: float64(w) / 2, Y: float64(h) / 2}
	place := func(az, el float64) chart.Point {
		away := radius * (90 - max(0, el)) / 90
		sin, cos := math.Sincos(az * math.Pi / 180)
		return chart.Point{X: middle.X + away*sin, Y: middle.Y - away*cos}
	}
	// The darker the colour, the less the model is known: from a twentieth of the beam to half of it.
	for _, c := range s.cells {
		half := c.Size / 2
		d.Polygon(place(c.Az-half, c.El-half), place(c.Az+half, c.El-half), place(c.Az+half, c.El+half), place(c.Az-half, c.El+half))
		d.Paint(widget.Fade(ink.Want, 0.75*view.SurveyShade(c.Within, s.beam)))
	}
	for _, el := range []float64{0, 30, 60} {
		d.Ring(middle, radius*(90-el)/90, unit)
	}
	for _, az := range []float64{0, 90} {
		d.Line([]chart.Point{place(az, 0), place(az+180, 0)}, unit)
	}
	d.Paint(ink.Line)
	// North has a mark of its own.
	d.Polygon(place(0, 8), place(-3, 0), place(3, 0))
	d.Paint(ink.Dim)
	for _, p := range s.points {
		at := place(p.Az, p.El)
		if p.Excluded {
			d.Ring(at, 3.5*unit, unit)
		} else {
			d.Disc(at, 3*unit)
		}
		d.Paint(inkOf(p, ink))
	}
	if az, el, ok := view.SurveyNextPlace(s.survey); ok {
		d.Ring(place(az, el), 8*unit, 1.5*unit)
		d.Paint(ink.Want)
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
	return ink.Is
}

// residuals shows what is left of the observations along one coordinate:
// across as discs, up as rings.
type residuals struct {
	object          *fyne.Container
	raster          *canvas.Raster
	title, low, top *widget.Text
	from, to, reach float64
	along           func(view.SurveyPoint) float64
	points          []view.SurveyPoint
}

func newResiduals(title string, from, to float64) *residuals {
	r := &residuals{title: widget.NewLabel(title).Elastic(), low: widget.NewLabel("").Right(), top: widget.NewLabel("").Right(), from: from, to: to}
	r.raster = canvas.NewRaster(r.draw)
	r.object = container.New(residualsLayout{r}, r.raster, r.title, r.low, r.top)
	return r
}

func (r *residuals) show(points []view.SurveyPoint, reach float64, along func(view.SurveyPoint) float64) {
	r.points, r.reach, r.along = points, reach, along
	r.top.SetWords("+" + view.Number(reach, 2) + "°")
	r.low.SetWords(view.Signed(-reach, 2) + "°")
	r.raster.Refresh()
}

func (r *residuals) draw(w, h int) image.Image {
	ink := widget.Current()
	d := chart.New(w, h)
	d.FillAll(ink.Well)
	if r.along == nil || r.reach <= 0 || h < 8 {
		return d.Picture()
	}
	unit := chart.PerUnit(w, r.raster)
	y := func(v float64) float64 { return float64(h) / 2 * (1 - max(-1, min(1, v/r.reach))*0.94) }
	d.Across(0, float64(w), float64(h)/2, max(1, int(unit+0.5)), ink.Line)
	for _, p := range r.points {
		if math.IsNaN(p.Across) {
			continue
		}
		x := (r.along(p) - r.from) / (r.to - r.from) * float64(w-1)
		d.Disc(chart.Point{X: x, Y: y(p.Across)}, 2*unit)
		d.Ring(chart.Point{X: x, Y: y(p.Up)}, 2.5*unit, unit)
		d.Paint(inkOf(p, ink))
	}
	return d.Picture()
}

// residualsLayout puts title and edges into a plot.
type residualsLayout struct{ plot *residuals }

// MinSize implements fyne.Layout.
func (residualsLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(120, 50) }

// Layout implements fyne.Layout.
func (l residualsLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	r := l.plot
	height := r.title.MinSize().Height
	const edge = 44
	put := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	}
	put(r.title, 0, 0, size.Width, height)
	put(r.raster, 0, height, size.Width-edge, size.Height-height)
	put(r.top, size.Width-edge, height-2, edge-2, height)
	put(r.low, size.Width-edge, size.Height-height, edge-2, height)
}
