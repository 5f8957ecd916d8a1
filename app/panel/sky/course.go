package sky

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
)

// The dots that mark the way of a slew, their side in units, and how many of them are one picture: in every frame of
// a slew each object costs as much as several hundred pixels.
const (
	dotCount = 40
	dotEvery = 12
	dotSide  = 3
	dotRun   = 8
)

// course is the way of a slew, drawn as dots.
type course struct{ runs []*run }

// run is some dots one after the other.
type run struct {
	picture *canvas.Raster
	dots    []fyne.Position // their corners from that of the picture
}

func newCourse() *course {
	c := &course{}
	for range dotCount / dotRun {
		r := &run{}
		r.picture = chart.NewMark(0, r.draw)
		r.picture.Hide()
		c.runs = append(c.runs, r)
	}
	return c
}

// show puts the upper left corners of the dots in their places.
func (c *course) show(corners []fyne.Position) {
	for i, run := range c.runs {
		run.show(corners[min(i*dotRun, len(corners)):min((i+1)*dotRun, len(corners))])
	}
}

// dots is how many are seen.
func (c *course) dots() (count int) {
	for _, run := range c.runs {
		if run.picture.Visible() {
			count += len(run.dots)
		}
	}
	return count
}

// objects is what is drawn.
func (c *course) objects() (all []fyne.CanvasObject) {
	for _, run := range c.runs {
		all = append(all, run.picture)
	}
	return all
}

// tint has the dots drawn in the palette's colour.
func (c *course) tint() {
	for _, run := range c.runs {
		widget.Redraw(run.picture)
	}
}

func (r *run) show(corners []fyne.Position) {
	if !setVisible(r.picture, len(corners) > 0) {
		return
	}
	from, to := corners[0], corners[0]
	for _, corner := range corners {
		from = fyne.NewPos(min(from.X, corner.X), min(from.Y, corner.Y))
		to = fyne.NewPos(max(to.X, corner.X), max(to.Y, corner.Y))
	}
	dots := make([]fyne.Position, len(corners))
	for i, corner := range corners {
		dots[i] = corner.Subtract(from)
	}
	r.picture.Move(from)
	if slices.Equal(dots, r.dots) {
		return
	}
	r.dots = dots
	r.picture.Resize(fyne.NewSize(to.X-from.X+dotSide, to.Y-from.Y+dotSide))
	widget.Redraw(r.picture)
}

func (r *run) draw(d *chart.Drawing, _, _, unit float64) {
	const half = dotSide / 2.
	for _, dot := range r.dots {
		d.Disc(chart.Point{X: (float64(dot.X) + half) * unit, Y: (float64(dot.Y) + half) * unit}, half*unit)
	}
	d.Paint(widget.Current().Setpoint)
}

// alongWay returns points evenly apart from the end of a way back to its
// beginning, so that they stay where they are while the way gets shorter.
func alongWay(corners []fyne.Position) []fyne.Position {
	var points []fyne.Position
	left := float32(dotEvery) * 1.4 // the mark at the end stays clear
	for i := len(corners) - 1; i > 0; i-- {
		from, to := corners[i], corners[i-1]
		length := distance(from, to)
		at := left
		for ; at < length && len(points) < dotCount; at += dotEvery {
			part := at / length
			points = append(points, fyne.NewPos(from.X+(to.X-from.X)*part, from.Y+(to.Y-from.Y)*part))
		}
		left = at - length
	}
	return points
}
