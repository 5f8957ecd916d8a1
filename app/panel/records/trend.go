package records

import (
	"image"
	"image/color"
	"math"
	"slices"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// maxReadings is how many are drawn together.
const maxReadings = 3

// stroke is how the line of a reading is drawn: told apart without colour too.
type stroke struct {
	ink     color.NRGBA
	on, off float64 // of dashes, in units; none where 0
}

// strokeOf is that of the reading with an index.
func strokeOf(p *widget.Palette, index int) stroke {
	strokes := [maxReadings]stroke{{p.Measured, 0, 0}, {chart.BodyInk(p, desk.Moon), 7, 3}, {p.Mark, 2, 3}}
	return strokes[index%maxReadings]
}

// bounds are the least and greatest of all points; ok is false when there is none.
func bounds(points []journal.Point) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = min(low, p.Min), max(high, p.Max)
	}
	return low, high, low <= high
}

// axes are the readings of each axis. Each of two readings has its own, left and right; of more, those of one unit
// share one, and a third unit has one beyond the right.
func (a answer) axes() (axes [][]int) {
	for i := range a.trends {
		at := -1
		if len(a.trends) > 2 {
			at = slices.IndexFunc(axes, func(of []int) bool { return a.readings[of[0]].Unit == a.readings[i].Unit })
		}
		if at < 0 {
			axes = append(axes, []int{i})
		} else {
			axes[at] = append(axes[at], i)
		}
	}
	return axes
}

// sideOf says at which side of the plot the figures of a reading stand; empty where there is one axis alone.
func (a answer) sideOf(index int) string {
	axes := a.axes()
	if len(axes) < 2 {
		return ""
	}
	at := slices.IndexFunc(axes, func(of []int) bool { return slices.Contains(of, index) })
	return [maxReadings]string{"left", "right", "far right"}[at]
}

// scale is the range in which a reading is drawn.
func (a answer) scale(index int) chart.Scale {
	for _, of := range a.axes() {
		if slices.Contains(of, index) {
			return a.scaleOf(of)
		}
	}
	return chart.Scale{}
}

// scaleOf is the range of an axis, with room above and beneath; empty where nothing was recorded.
func (a answer) scaleOf(axis []int) chart.Scale {
	var points []journal.Point
	for _, i := range axis {
		points = append(append(points, a.trends[i].Points...), earlierOf(a, i)...)
	}
	index := axis[0]
	low, high, ok := bounds(points)
	if !ok {
		return chart.Scale{}
	}
	// What hardly varies is not blown up to the whole height.
	room := 0.58 * max(high-low, 10*math.Pow(10, -float64(a.readings[index].Decimals)))
	middle := (low + high) / 2
	return chart.Scale{Low: middle - room, High: middle + room, Unit: a.readings[index].Unit}
}

// scales are those of the axes.
func (a answer) scales() (all []chart.Scale) {
	for _, axis := range a.axes() {
		all = append(all, a.scaleOf(axis))
	}
	return all
}

// draw draws the trends: each mean as a line over the whole height, least to
// greatest of the first as a band behind it, its limits, gaps where nothing was
// recorded, and at the lower edge what went wrong.
func draw(a answer, w, h int, unit float64) image.Image {
	p := widget.Current()
	d := chart.New(w, h)
	d.FillAll(p.Well)
	span := a.to.Sub(a.from).Seconds()
	if !(span > 0) {
		return d.Picture()
	}
	first := chart.Scale{}
	if len(a.trends) > 0 {
		first = a.scale(0)
	}
	chart.Grid(d, a.from, a.to, first, unit, p.Line)
	if first.High > first.Low {
		chart.Limits(d, first, a.limits, unit)
	}
	x := func(at time.Time) float64 { return at.Sub(a.from).Seconds() / span * float64(w) }
	for _, event := range a.trips {
		d.Down(x(event.At), 0, float64(h), max(1, int(unit)), p.Alarm)
	}
	for i := len(a.trends) - 1; i >= 0; i-- {
		scale := a.scale(i)
		if !(scale.High > scale.Low) {
			continue
		}
		c := curve{d: d, x: x, y: func(v float64) float64 { return scale.Y(v, float64(h)) }, unit: unit,
			fast: a.fast}
		s := strokeOf(p, i)
		if i == 0 {
			early := s
			early.ink, early.on, early.off = widget.Fade(s.ink, 0.55), 4, 3
			c.line(earlierOf(a, 0), a.trends[0].Step, early)
			c.band(a.trends[0].Points, a.trends[0].Step, s.ink)
		}
		c.line(a.trends[i].Points, a.trends[i].Step, s)
	}
	for _, event := range a.marks {
		at, r := x(event.At), 4*unit
		base := float64(h) - 2*unit
		d.Polygon(chart.Point{X: at - r, Y: base}, chart.Point{X: at + r, Y: base}, chart.Point{X: at, Y: base - 2*r})
		d.Paint(p.Tint(view.GradeTone(event.Grade, view.Plain)))
	}
	return d.Picture()
}

// earlierOf are the points of an earlier time that stand beside a reading, moved to the time shown.
func earlierOf(a answer, index int) []journal.Point {
	if index > 0 {
		return nil
	}
	return a.earlier
}

// curve draws the points of a reading.
type curve struct {
	d    *chart.Drawing
	x    func(time.Time) float64
	y    func(float64) float64
	unit float64
	fast bool // time may have run faster than real time
}

// fastest is how far apart readings come that are recorded each second while practice time is the fastest.
const fastest = 60 * time.Second

// parted reports that nothing was recorded between a point and the one before. In fast practice time readings come
// further apart than the points of a trend, each as far from the next.
func (c curve) parted(points []journal.Point, i int, step time.Duration) bool {
	since := func(k int) time.Duration {
		if k < 1 || k >= len(points) {
			return 0
		}
		return points[k].At.Sub(points[k-1].At)
	}
	apart := since(i)
	if apart <= step*3/2 {
		return false
	}
	even := max(since(i-1), since(i+1)) >= apart*2/3
	return !c.fast || apart > fastest*3/2 || !even
}

func (c curve) band(points []journal.Point, step time.Duration, ink color.NRGBA) {
	for _, q := range points {
		left, right := c.x(q.At), c.x(q.At.Add(step))
		c.d.Polygon(chart.Point{X: left, Y: c.y(q.Max)}, chart.Point{X: right, Y: c.y(q.Max)},
			chart.Point{X: right, Y: c.y(q.Min)}, chart.Point{X: left, Y: c.y(q.Min)})
	}
	c.d.Paint(widget.Fade(ink, 0.3))
}

func (c curve) line(points []journal.Point, step time.Duration, s stroke) {
	var line []chart.Point
	end := func() {
		switch {
		case len(line) == 1: // a moment alone is a dot
			c.d.Disc(line[0], 1.5*c.unit)
		case s.on > 0:
			c.d.Dashed(line, 1.4*c.unit, s.on*c.unit, s.off*c.unit)
		default:
			c.d.Line(line, 1.4*c.unit)
		}
		line = nil
	}
	for i, q := range points {
		if i > 0 && c.parted(points, i, step) {
			end()
		}
		line = append(line, chart.Point{X: (c.x(q.At) + c.x(q.At.Add(step))) / 2, Y: c.y(q.Mean)})
	}
	end()
	c.d.Paint(s.ink)
}

// swatch is a piece of a reading's line.
func swatch(index, w, h int, unit float64) image.Image {
	d := chart.New(w, h)
	s := strokeOf(widget.Current(), index)
	ends := []chart.Point{{X: 0, Y: float64(h) / 2}, {X: float64(w), Y: float64(h) / 2}}
	if s.on > 0 {
		d.Dashed(ends, 2*unit, s.on*unit, s.off*unit)
	} else {
		d.Line(ends, 2*unit)
	}
	d.Paint(s.ink)
	return d.Picture()
}
