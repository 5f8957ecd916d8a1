package panel

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// top is the line along the window's upper edge.
type top struct {
	object   fyne.CanvasObject
	row      *widget.Wrapping
	clock    *widget.Text
	practice *practiceMark
	station  pair
	activity pair
	transmit pair
	heading  *heading // in place of both while a trip is replayed
	echoes   bool     // own echoes are being measured
	lamp     *lamp
	periods  *periodClock
	link     pair
	alarms   *alarmBox
	now      view.Now
}

// pair is a headline with a smaller line under it.
type pair struct {
	head, under *widget.Text
	object      fyne.CanvasObject
}

func newPair(name, reserve string) pair {
	p := pair{
		head:  widget.NewText("").Elastic().Reserve(reserve).Named(name),
		under: widget.NewLabel("").Elastic().Named(name + "-more"),
	}
	p.object = widget.NewStill(widget.Column(1, widget.Fixed(p.head), widget.Fixed(p.under)))
	return p
}

func (p pair) show(words view.Pair) {
	p.head.Set(words.Head.Words, words.Head.Tone)
	p.under.Set(words.Under.Words, words.Under.Tone)
}

// spilled lets a smaller line that has no room begin beside the headline, so that it can be read in full.
func (p pair) spilled(both view.Pair) view.Pair {
	under := both.Under.Words
	if under == "" || p.under.Fits(under) {
		return both
	}
	head, words := both.Head.Words+":", strings.Fields(strings.ToLower(under[:1])+under[1:])
	beside := 0
	for beside < len(words)-1 && p.head.Fits(head+" "+strings.Join(words[:beside+1], " ")) {
		beside++
	}
	for beside > 0 && widget.Leads(words[beside-1]) {
		beside--
	}
	both.Head.Words = strings.TrimSpace(head + " " + strings.Join(words[:beside], " "))
	both.Under.Words = strings.Join(words[beside:], " ")
	return both
}

// newTop returns the line; openEcho opens the measurement of own echoes.
func newTop(with widget.Context, openEcho func()) *top {
	t := &top{
		clock:    widget.NewText("").Sized(widget.ClockText).Bold().Reserve("88:88:88").Named("clock"),
		practice: newPracticeMark(),
		station:  newPair("station", "Cold Harbour Field"),
		activity: newPair("activity", "Tracking the Moon"),
		transmit: newPair("transmit", "transmit permitted"), lamp: newLamp(),
		periods: newPeriodClock(with),
		link:    newPair("link-state", "Link good"),
		alarms:  newAlarmBox(with),
	}
	t.activity.head.Bold()
	middle := func(object fyne.CanvasObject) widget.Part {
		return widget.Fixed(widget.Column(0, widget.Spring(), widget.Fixed(object), widget.Spring()))
	}
	whole := func(p pair, share float32, open func(), more func() string) widget.Part {
		in := widget.NewWhole(p.head.ControlName()+"-in-full", p.object, open)
		part := middle(in.Telling(more))
		part.Share = share
		return part
	}
	t.transmit.object = widget.Row(6, middle(t.lamp.raster), widget.Sharing(t.transmit.object))
	lit := whole(t.transmit, 13, with.InFull, func() string { return strings.Join(view.Inhibits(t.now), " ") })
	open := func() {
		if t.echoes {
			openEcho()
		} else if with.InFull != nil {
			with.InFull()
		}
	}
	alarms := middle(t.alarms)
	alarms.Share = 13
	station, activity := whole(t.station, 10, with.InFull, nil), whole(t.activity, 14, open, nil)
	t.heading = newHeading(station.Object, activity.Object)
	t.row = widget.NewWrapping(16, 4,
		middle(widget.Row(5, widget.Fixed(t.clock), widget.Fixed(widget.NewLabel("UTC")))),
		middle(t.practice),
		station, activity, lit, middle(t.periods),
		whole(t.link, 8, with.InFull, nil), alarms)
	t.object = widget.Padded(container.New(t.heading, t.row.Object, t.heading.object), topAcross, topDown)
	return t
}

// replay shows the heading of a replay in place of station and activity, or these again where it has no words.
func (t *top) replay(words view.Pair, replaying bool) {
	show(t.station.object, words.Head.Words == "")
	show(t.activity.object, words.Head.Words == "")
	t.heading.show(words, replaying)
}

// What is left free at the sides of the line, and above and under it.
const topAcross, topDown = 12, 5

// heightAt is how high the line is at a width.
func (t *top) heightAt(width float32) float32 { return t.row.HeightAt(width-2*topAcross) + 2*topDown }

func (t *top) show(now view.Now) {
	t.now = now
	tone := view.Plain
	if !now.Live {
		tone = view.Faint
	}
	t.clock.Set(view.Clock(now.At), tone)
	if now.Practice != t.practice.Visible() {
		if now.Practice {
			t.practice.Show()
		} else {
			t.practice.Hide()
		}
		t.object.Refresh()
	}
	t.practice.show(now)
	t.station.show(view.StationLine(now))
	activity := view.Activity(now)
	if now.Live && now.Activity == desk.LockedOut {
		activity = t.activity.spilled(activity)
	}
	t.activity.show(activity)
	t.transmit.show(view.Transmit(now))
	t.echoes = now.Status != nil && view.OwnEchoRuns(now)
	t.lamp.show(now)
	t.periods.show(now)
	t.link.show(view.Link(now))
	t.alarms.show(now)
}

// practiceMark stands on the window as long as the dish is simulated.
// A click on it opens the menu of faults.
type practiceMark struct {
	widget.Control
	open func() // nil where there is no menu
	// under says how fast the time runs where it isn't real time.
	under *widget.Text
}

func newPracticeMark() *practiceMark {
	m := &practiceMark{under: widget.NewText(view.SimulatedDish).Small().Tone(view.MoonTone).Middle()}
	m.Become(m, "practice", "The dish is simulated: nothing moves")
	return m
}

// ControlWords returns the words shown.
func (m *practiceMark) ControlWords() string { return "PRACTICE " + m.under.ControlWords() }

func (m *practiceMark) show(now view.Now) {
	if words := view.PracticeUnder(now); words != m.under.ControlWords() {
		m.under.SetWords(words)
		m.Refresh()
	}
}

// CreateRenderer implements fyne.Widget.
func (m *practiceMark) CreateRenderer() fyne.WidgetRenderer {
	frame := canvas.NewRectangle(color.Transparent)
	frame.CornerRadius = 4
	head := widget.NewText("PRACTICE").Bold().Tone(view.MoonTone).Middle()
	words := widget.Padded(widget.Column(0, widget.Fixed(head), widget.Fixed(m.under)), 8, 1)
	content := container.NewStack(frame, words)
	merged := widget.NewMerged(0, content)
	r := &markRenderer{
		WidgetRenderer: fynewidget.NewSimpleRenderer(merged.Picture),
		mark:           m, frame: frame, content: content, merged: merged,
	}
	r.tint()
	return r
}

type markRenderer struct {
	fyne.WidgetRenderer
	mark    *practiceMark
	frame   *canvas.Rectangle
	content *fyne.Container
	merged  *widget.Merged
}

// MinSize implements fyne.WidgetRenderer.
func (r *markRenderer) MinSize() fyne.Size { return r.content.MinSize() }

// Layout implements fyne.WidgetRenderer.
func (r *markRenderer) Layout(size fyne.Size) {
	r.content.Resize(size)
	r.merged.Resize(size)
}

func (r *markRenderer) tint() {
	r.frame.StrokeColor, r.frame.StrokeWidth = widget.Current().Moon, 1.5
	switch {
	case r.mark.Focused():
		r.frame.StrokeColor, r.frame.StrokeWidth = widget.Current().Focus, 3
	case r.mark.Hovered() && r.mark.open != nil:
		r.frame.StrokeWidth = 3
	}
}

// Refresh implements fyne.WidgetRenderer.
func (r *markRenderer) Refresh() {
	r.tint()
	r.merged.Redraw()
}

// alarmBox shows the worst alarm, and opens the list of all.
type alarmBox struct {
	widget.Control
	with   widget.Context
	now    view.Now
	mark   *widget.GradeMark
	head   *widget.Text
	under  *widget.Text
	ring   *canvas.Rectangle
	list   *alarmList
	object fyne.CanvasObject
}

// alarmTip is what the box is for.
const alarmTip = "Show every alarm and warning, and what to do (A)"

func newAlarmBox(with widget.Context) *alarmBox {
	a := &alarmBox{
		with: with, mark: widget.NewGradeMark(),
		head:  widget.NewText("").Elastic().Reserve("3 warnings, acknowledged"),
		under: widget.NewLabel("").Elastic(),
		ring:  canvas.NewRectangle(color.Transparent),
	}
	a.ring.CornerRadius = widget.Corner
	a.object = widget.Column(1,
		widget.Fixed(widget.Row(5, widget.Fixed(a.mark), widget.Sharing(a.head))), widget.Fixed(a.under))
	a.Become(a, "worst-alarm", alarmTip)
	return a
}

// ControlWords returns the words shown.
func (a *alarmBox) ControlWords() string { return a.head.ControlWords() }

// CreateRenderer implements fyne.Widget.
func (a *alarmBox) CreateRenderer() fyne.WidgetRenderer {
	content := container.NewStack(a.ring, widget.Padded(a.object, 6, 1))
	return &ringRenderer{WidgetRenderer: fynewidget.NewSimpleRenderer(content), control: &a.Control, ring: a.ring}
}

// Tapped implements fyne.Tappable.
func (a *alarmBox) Tapped(*fyne.PointEvent) {
	a.ToolTipWidget.MouseOut() // the tip would lie over what opens
	a.open()
}

// TypedKey implements fyne.Focusable.
func (a *alarmBox) TypedKey(event *fyne.KeyEvent) { a.Press(event, a.open) }

func (a *alarmBox) show(now view.Now) {
	a.now = now
	line, brief := view.AlarmLine(now.Alarms)
	whole := line.Head.Words
	if brief != whole && !a.head.Fits(whole) {
		line.Head.Words = brief
	}
	worst := desk.Normal
	for _, alarm := range now.Alarms {
		worst = max(worst, alarm.Grade)
	}
	a.mark.Set(worst)
	a.head.Set(line.Head.Words, line.Head.Tone)
	a.under.Set(line.Under.Words, line.Under.Tone)
	if line.Under.Words != "" {
		whole += ". " + line.Under.Words
	}
	if tip := view.Whole(alarmTip, whole); tip != a.ToolTip() {
		a.Tip(tip)
	}
	if a.list != nil {
		a.list.show(now)
	}
}
