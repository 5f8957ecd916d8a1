package plan

import (
	"image"
	"image/color"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// ridge is the picture of a month: a line a day, as high as the target stands. A
// click, or the arrow keys, choose a moment.
type ridge struct {
	widget.Control
	look   func(time.Time)
	read   func(time.Time) // what is under the pointer; zero: nothing
	raster *canvas.Raster
	days   []*widget.Text
	hours  []*widget.Text
	object *fyne.Container

	plan   *desk.Plan
	now    time.Time
	chosen time.Time
	minute int64
}

// Sizes of the picture, in units.
const (
	dayWidth   = 46
	hourHeight = 15
	overlap    = 2.6 // how many rows a pass through the zenith is high
)

func newRidge(look, read func(time.Time)) *ridge {
	r := &ridge{look: look, read: read}
	r.raster = widget.NewRaster(r.draw)
	r.object = container.New(ridgeLayout{r}, r.raster)
	for range 31 {
		text := widget.NewLabel("").Right()
		r.days = append(r.days, text)
		r.object.Add(text)
	}
	for hour := 0; hour <= 24; hour += 6 {
		text := widget.NewLabel(view.Number(float64(hour), 0)).Middle()
		r.hours = append(r.hours, text)
		r.object.Add(text)
	}
	r.Become(r, "plan-month", "The days: click a moment to see its figures, or move there with the arrow keys")
	return r
}

// CreateRenderer implements fyne.Widget.
func (r *ridge) CreateRenderer() fyne.WidgetRenderer { return fynewidget.NewSimpleRenderer(r.object) }

// show draws again when the plan or the moment chosen is another, or a few minutes have passed.
func (r *ridge) show(now view.Now, plan *desk.Plan) {
	chosen := time.Time{}
	if now.Then != nil {
		chosen = now.Then.At
	}
	minute := now.At.Unix() / 300
	if plan == r.plan && chosen.Equal(r.chosen) && minute == r.minute {
		return
	}
	other := r.plan == nil || plan == nil || r.plan.Month != plan.Month || r.plan.Days != plan.Days
	r.plan, r.now, r.chosen, r.minute = plan, now.At, chosen, minute
	if other {
		r.object.Refresh()
		r.object.Layout.Layout(nil, r.object.Size())
	}
	widget.Redraw(r.raster)
}

// Tapped implements fyne.Tappable.
func (r *ridge) Tapped(event *fyne.PointEvent) {
	if r.plan != nil {
		r.look(r.under(event.Position))
	}
}

// under is the moment at a place of the picture.
func (r *ridge) under(at fyne.Position) time.Time {
	size := r.raster.Size()
	pitch, top := r.pitch(float64(size.Height))
	row := int(math.Floor((float64(at.Y) - hourHeight - top) / pitch))
	return view.PlanSpot(r.plan, row, float64(at.X-dayWidth)/float64(size.Width))
}

// MouseIn implements desktop.Hoverable: without the tooltip, which would cover what is read.
func (r *ridge) MouseIn(event *desktop.MouseEvent) { r.MouseMoved(event) }

// MouseMoved implements desktop.Hoverable.
func (r *ridge) MouseMoved(event *desktop.MouseEvent) {
	if r.plan != nil {
		r.read(r.under(event.Position))
	}
}

// MouseOut implements desktop.Hoverable.
func (r *ridge) MouseOut() {
	r.Control.MouseOut()
	r.read(time.Time{})
}

// TypedKey implements fyne.Focusable: the arrows move the moment by a quarter of an hour and by a day.
func (r *ridge) TypedKey(event *fyne.KeyEvent) {
	steps := map[fyne.KeyName]time.Duration{
		fyne.KeyLeft: -15 * time.Minute, fyne.KeyRight: 15 * time.Minute, fyne.KeyUp: -24 * time.Hour,
		fyne.KeyDown: 24 * time.Hour,
	}
	by, ok := steps[event.Name]
	if !ok {
		r.Forward(event)
		return
	}
	if r.plan == nil {
		return
	}
	at := r.chosen
	if at.IsZero() {
		at, by = r.now.Truncate(15*time.Minute), 0
	}
	r.look(at.Add(by))
}

// KeyDown keeps the arrow keys from moving the beam.
func (r *ridge) KeyDown(event *fyne.KeyEvent) {
	switch event.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyLeft, fyne.KeyRight:
	default:
		r.Control.KeyDown(event)
	}
}

// Cursor implements desktop.Cursorable.
func (r *ridge) Cursor() desktop.Cursor { return desktop.CrosshairCursor }

// pitch is the distance of two rows, and where the first begins.
func (r *ridge) pitch(height float64) (pitch, top float64) {
	days := 31.0
	if r.plan != nil {
		days = float64(r.plan.Days)
	}
	pitch = height / (days + overlap - 1)
	return pitch, pitch * (overlap - 1)
}

func (r *ridge) draw(w, h int) image.Image {
	p := widget.Current()
	d := chart.New(w, h)
	d.FillAll(p.Well)
	if r.plan == nil {
		return d.Picture()
	}
	unit := chart.PerUnit(w, r.raster)
	thick := max(1, int(unit+0.5))
	for hour := 0; hour <= 24; hour += 6 {
		d.Down(float64(hour)/24*float64(w-1), 0, float64(h), thick, p.Line)
	}
	pitch, top := r.pitch(float64(h))
	type drawer func(_ *chart.Drawing, ink color.NRGBA, _ []desk.PlanPoint, width, base, pitch, unit float64)
	for _, draw := range [...]drawer{drawDay, drawShared} {
		for day := 0; day < r.plan.Days; day++ {
			base := top + float64(day+1)*pitch
			if first := day * desk.PlanPointsADay; first+desk.PlanPointsADay <= len(r.plan.Points) {
				last := min(first+desk.PlanPointsADay+1, len(r.plan.Points))
				draw(d, inkOf(r.plan), r.plan.Points[first:last], float64(w), base, pitch, unit)
			}
		}
	}
	r.drawDates(d, float64(w), pitch, top, unit)
	r.drawNow(d, float64(w), pitch, top, unit)
	if at := r.chosen; !at.IsZero() && r.covers(at) {
		x, y := r.spot(at, float64(w), pitch, top)
		d.Ring(chart.Point{X: x, Y: y - pitch/2}, 5*unit, 2*unit)
		d.Paint(p.Setpoint)
	}
	if r.Focused() {
		d.Line([]chart.Point{{X: 1, Y: 1}, {X: float64(w) - 1, Y: 1}, {X: float64(w) - 1, Y: float64(h) - 1},
			{X: 1, Y: float64(h) - 1}, {X: 1, Y: 1}}, 2*unit)
		d.Paint(p.Focus)
	}
	return d.Picture()
}

// covers says whether a moment lies in the picture.
func (r *ridge) covers(at time.Time) bool {
	return !at.Before(r.plan.Month) && at.Before(r.plan.Month.AddDate(0, 0, r.plan.Days))
}

// spot is where a moment stands: on its day's base line.
func (r *ridge) spot(at time.Time, width, pitch, top float64) (x, y float64) {
	since := at.Sub(r.plan.Month)
	day := int(since / (24 * time.Hour))
	return float64(since%(24*time.Hour)) / float64(24*time.Hour) * (width - 1), top + float64(day+1)*pitch
}

// drawDates puts a bar at both ends of each day that the operator has marked.
func (r *ridge) drawDates(d *chart.Drawing, width, pitch, top, unit float64) {
	for _, m := range r.plan.Marks {
		for at := m.At; at.Before(m.Until); at = at.AddDate(0, 0, 1) {
			if !r.covers(at) {
				continue
			}
			_, y := r.spot(at, width, pitch, top)
			for _, x := range []float64{2 * unit, width - 2*unit} {
				d.Line([]chart.Point{{X: x, Y: y - pitch + unit}, {X: x, Y: y}}, 4*unit)
			}
		}
	}
	d.Paint(widget.Current().Setpoint)
}

// drawNow outlines today and marks now.
func (r *ridge) drawNow(d *chart.Drawing, width, pitch, top, unit float64) {
	p := widget.Current()
	if !r.covers(r.now) {
		return
	}
	x, y := r.spot(r.now, width, pitch, top)
	high := pitch + 2*unit
	d.Line([]chart.Point{{X: 0, Y: y - high}, {X: width, Y: y - high}, {X: width, Y: y + unit}, {X: 0, Y: y + unit},
		{X: 0, Y: y - high}}, unit)
	d.Paint(p.Mark)
	d.Line([]chart.Point{{X: x, Y: y - high}, {X: x, Y: y + unit}}, 2*unit)
	d.Paint(p.Measured)
}

// shades is the number of steps of brightness.
const shades = 8

// inkOf is the colour that a plan's target has elsewhere too.
func inkOf(plan *desk.Plan) color.NRGBA {
	p := widget.Current()
	switch plan.Of.Kind {
	case desk.Sun:
		return p.Sun
	case desk.Source, desk.Radec:
		return p.Source
	}
	return p.Moon
}

// drawDay draws a day: what lies behind is covered, then the pass by its merit.
func drawDay(d *chart.Drawing, ink color.NRGBA, points []desk.PlanPoint, width, base, pitch, unit float64) {
	p := widget.Current()
	x := func(i int) float64 { return float64(i) / desk.PlanPointsADay * (width - 1) }
	y := func(q desk.PlanPoint) float64 {
		return base - max(0, q.El.Rad())/(math.Pi/2)*pitch*overlap
	}
	piece := func(i int) {
		a, b := points[i], points[i+1]
		d.Polygon(chart.Point{X: x(i), Y: base}, chart.Point{X: x(i), Y: y(a)}, chart.Point{X: x(i + 1), Y: y(b)},
			chart.Point{X: x(i + 1), Y: base})
	}
	last := len(points) - 1
	for i := range last {
		if points[i].Up || points[i+1].Up {
			piece(i)
		}
	}
	d.Paint(p.Well)
	for shade := range shades + 1 {
		for i := range last {
			if points[i].Up && points[i+1].Up && shadeOf(points[i]) == shade {
				piece(i)
			}
		}
		d.Paint(widget.Fade(ink, 0.14+0.62*float64(shade)/shades))
	}
	for i := range last {
		if points[i].Up && points[i+1].Up {
			d.Line([]chart.Point{{X: x(i), Y: y(points[i])}, {X: x(i + 1), Y: y(points[i+1])}}, unit)
		}
	}
	d.Paint(ink)
	d.Across(0, width, base, max(1, int(unit+0.5)), p.Line)
}

// drawShared draws what is shared of a day, when all days are drawn: nothing covers it.
func drawShared(d *chart.Drawing, _ color.NRGBA, points []desk.PlanPoint, width, base, _, unit float64) {
	x := func(i int) float64 { return float64(i) / desk.PlanPointsADay * (width - 1) }
	for i := range len(points) - 1 {
		if points[i].Shared && points[i+1].Shared {
			d.Across(x(i), x(i+1), base, max(2, int(2*unit+0.5)), widget.Current().Measured)
		}
	}
}

// shadeOf is the step of brightness of a merit; the middle where there is none.
func shadeOf(p desk.PlanPoint) int {
	if p.Merit != p.Merit {
		return shades / 2
	}
	return int(math.Round(float64(p.Merit) * shades))
}

// ridgeLayout puts days and hours round the picture.
type ridgeLayout struct{ ridge *ridge }

// MinSize implements fyne.Layout.
func (ridgeLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 190) }

// Layout implements fyne.Layout.
func (l ridgeLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	r := l.ridge
	inner := fyne.NewSize(float32(int(size.Width))-dayWidth-10, float32(int(size.Height))-hourHeight)
	r.raster.Move(fyne.NewPos(dayWidth, hourHeight))
	r.raster.Resize(inner)
	for i, text := range r.hours {
		at := dayWidth + inner.Width*float32(i)/float32(len(r.hours)-1)
		text.Resize(fyne.NewSize(30, hourHeight))
		text.Move(fyne.NewPos(float32(int(at))-15, 0))
	}
	pitch, top := r.pitch(float64(inner.Height))
	every := max(1, int(math.Ceil(14/pitch)))
	for i, text := range r.days {
		visible := r.plan != nil && i < r.plan.Days && i%every == 0
		if visible {
			// Two letters of the weekday: there is no room for three.
			day := r.plan.Month.AddDate(0, 0, i)
			text.SetWords(day.Format("Mon")[:2] + day.Format(" 2"))
			text.Resize(fyne.NewSize(dayWidth-5, 14))
			text.Move(fyne.NewPos(0, float32(int(hourHeight+top+float64(i+1)*pitch-12))))
			text.Show()
		} else {
			text.Hide()
		}
	}
}
