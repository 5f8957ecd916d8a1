package panel

import (
	"image/color"
	"slices"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynewidget "fyne.io/fyne/v2/widget"

	"beamhelm/app/desk"
	"beamhelm/app/mode"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// periodClock counts the periods of a timed contact down, and opens the choice of them.
type periodClock struct {
	widget.Control
	with  widget.Context
	now   view.Now
	words pair
	ring  *canvas.Rectangle
}

func newPeriodClock(with widget.Context) *periodClock {
	c := &periodClock{with: with, words: newPair("periods", "Transmit period 0:00"),
		ring: canvas.NewRectangle(color.Transparent)}
	c.words.under.Reserve("3600 s, they transmit first ▾")
	c.ring.CornerRadius = widget.Corner
	c.Become(c, "period-select",
		"Periods of a timed contact: their length, and who transmits first. They count from the full hour, UTC")
	return c
}

// ControlWords returns the words shown.
func (c *periodClock) ControlWords() string { return c.words.head.ControlWords() }

// CreateRenderer implements fyne.Widget.
func (c *periodClock) CreateRenderer() fyne.WidgetRenderer {
	content := container.NewStack(c.ring, widget.Padded(c.words.object, 6, 1))
	return &ringRenderer{WidgetRenderer: fynewidget.NewSimpleRenderer(content), control: &c.Control, ring: c.ring}
}

// Tapped implements fyne.Tappable.
func (c *periodClock) Tapped(*fyne.PointEvent) { c.open() }

// TypedKey implements fyne.Focusable.
func (c *periodClock) TypedKey(event *fyne.KeyEvent) { c.Press(event, c.open) }

func (c *periodClock) show(now view.Now) {
	c.now = now
	c.words.show(view.PeriodWords(now))
}

func (c *periodClock) open() {
	if c.now.Status == nil {
		return
	}
	p := c.now.Period
	ask := func(seconds int, oursFirst bool) func() {
		return func() { c.with.Desk.Ask(desk.PeriodsTo{Seconds: seconds, OursFirst: oursFirst}) }
	}
	length := int(p.Length.Seconds())
	items := []widget.Item{{Words: "No periods", Name: "periods-none", Tip: "No timed contact", Chosen: !p.On,
		Act: ask(0, false)}}
	for _, seconds := range view.PeriodLengths() {
		items = append(items, widget.Item{
			Words: strconv.Itoa(seconds) + " s", Name: "periods-" + strconv.Itoa(seconds),
			Tip:    "Period length " + strconv.Itoa(seconds) + " s",
			Chosen: p.On && length == seconds, Act: ask(seconds, p.OursFirst),
		})
	}
	other, isOther := "Other length…", p.On && !slices.Contains(view.PeriodLengths(), length)
	if isOther {
		other = strconv.Itoa(length) + " s, other length…"
	}
	items = append(items, widget.Item{Words: other, Name: "periods-other", Tip: "Any length in whole seconds",
		Chosen: isOther, Act: c.openOther})
	if length == 0 {
		length = 60
	}
	items = append(items,
		widget.Item{Words: "We transmit first", Name: "periods-ours-first",
			Tip: "Our transmit period is the first after the full hour", Chosen: p.On && p.OursFirst,
			Act: ask(length, true)},
		widget.Item{Words: "They transmit first", Name: "periods-theirs-first",
			Tip: "Their transmit period is the first after the full hour", Chosen: p.On &&
				!p.OursFirst, Act: ask(length, false)},
		widget.Item{Words: "Mode: " + view.ModeOf(c.now).Words + "…", Name: "periods-mode",
			Tip: "What is sent: it says how far the clock may be off and how much an echo may spread",
			Act: c.openModes},
		widget.Item{Words: view.ClockWords(c.now).Words, Name: "periods-clock",
			Tip: "By the time source of the settings, clock.time_source; what a mode tolerates is common practice",
			Act: nil})
	c.with.Open.ShowItems("periods-list", c, items)
}

// openModes offers the modes.
func (c *periodClock) openModes() {
	var items []widget.Item
	for i, m := range mode.All() {
		items = append(items, widget.Item{
			Words: m.Words + " (" + m.ADIF + ")", Name: "mode-" + strconv.Itoa(i), Tip: "Heard in " +
				view.Number(m.BandwidthHz, 0) + " Hz; worse from a spread of " + view.Number(m.SpreadHz, 0) + " Hz",
			Chosen: i == c.now.Period.Mode, Act: func() { c.with.Desk.Ask(desk.ModeTo{Index: i}) },
		})
	}
	c.with.Open.ShowItems("modes-list", c, items)
}

// openOther asks for another length.
func (c *periodClock) openOther() {
	entry := widget.NewEntry("period-length", "75")
	wrong := widget.NewProse("").Small().Tone(view.Attention).Named("period-wrong")
	set := widget.NewButton("Set", "period-set", "Keep periods of this length (Enter)", nil).Looking(widget.Primary)
	cancel := widget.NewButton("Cancel", "period-cancel", "Leave the periods as they are", nil)
	sheet := c.with.Open.ShowSheet("period-dialog", "Period length", widget.Column(8,
		widget.Fixed(widget.Row(8, widget.Part{Object: entry, Share: 1, Min: 120},
			widget.Fixed(widget.NewLabel("s, counted from the full hour, UTC")))),
		widget.Fixed(wrong)), []*widget.Button{cancel, set}, entry)
	take := func() {
		seconds, err := view.ParsePeriod(entry.Text)
		if err != nil {
			wrong.SetWords(view.Sentence(err.Error()))
			return
		}
		sheet.Close()
		c.with.Desk.Ask(desk.PeriodsTo{Seconds: seconds, OursFirst: c.now.Period.OursFirst})
	}
	entry.OnSubmitted = func(string) { take() }
	set.SetAct(take)
}

// ringRenderer draws a control that has no outline of its own: a ground under
// the pointer, a ring where it has the keyboard.
type ringRenderer struct {
	fyne.WidgetRenderer
	control *widget.Control
	ring    *canvas.Rectangle
}

func (r *ringRenderer) Refresh() {
	p, ring := widget.Current(), r.ring
	ring.StrokeWidth, ring.StrokeColor, ring.FillColor = 0, color.Transparent, color.Transparent
	if r.control.Hovered() {
		ring.FillColor = widget.Fade(p.Text, 0.08)
	}
	if r.control.Focused() {
		ring.StrokeWidth, ring.StrokeColor = 2, p.Focus
	}
	ring.Refresh()
}
