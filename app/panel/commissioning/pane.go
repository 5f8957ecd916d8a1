// Package commissioning leads through the first work at a new dish.
package commissioning

import (
	"fmt"
	"reflect"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Commissioning.
type Pane struct {
	with   widget.Context
	settle func([]commission.Suggestion) // puts values into the settings; nil for no settings
	now    view.Now
	step   commission.Step
	shown  shown

	choose, done, leave, anew, into *widget.Button
	count                           *widget.Text
	guide, lines, tools             *fyne.Container
	told                            *widget.Text
	scroll                          *container.Scroll
	pushes                          *pushes
	plot                            *plot
	confirm                         []*widget.Button     // of the cautions
	saw                             [2][2]*widget.Button // by axis: as pressed, the other way
	object                          fyne.CanvasObject
}

// shown is what was last shown, so that only changes are drawn.
type shown struct {
	has     bool
	step    commission.Step
	lines   []commission.Line
	marks   [commission.StepCount]commission.Mark
	suggest int
}

// letters in a line of the pane.
const letters = 66

// New returns the pane. settle puts suggested values into the settings; nil where there are none to change.
func New(with widget.Context, settle func([]commission.Suggestion)) *Pane {
	p := &Pane{with: with, settle: settle, guide: container.NewStack(), lines: container.NewStack(),
		tools: container.NewStack(), plot: newPlot(with),
		count: widget.NewLabel("").Right().Elastic(),
		told:  widget.NewText("").Small().Elastic().Named("commission-result")}
	p.pushes = newPushes(with)
	small := func(words, name, tip string, act func()) *widget.Button {
		return widget.NewButton(words, name, tip, act).Tight().Sized(widget.SmallText)
	}
	p.choose = small("", "commission-step", "Another step", p.openSteps)
	p.done = small("Start", "commission-done", "This step is done: everything it needs has been found",
		p.finish).Looking(widget.Primary).Reserve("Done, go on")
	p.leave = small("Skip…", "commission-leave", "Skip this step, with a reason that appears in the report",
		p.openLeave).Reserve("Open it again")
	p.anew = small("Reset all…", "commission-anew", "Start the commissioning over", p.openAnew)
	p.into = small("Copy to Set-up…", "commission-into",
		"Copy the measurements to the settings: shown before they are written", func() { p.settle(p.suggestions()) })
	p.scroll = widget.NewVScroll(p.lines)
	p.scroll.SetMinSize(fyne.NewSize(380, 120))
	p.object = widget.Column(5,
		widget.Fixed(widget.Row(8, widget.Fixed(p.choose), widget.Sharing(p.count))),
		widget.Fixed(p.guide),
		widget.Sharing(p.scroll),
		widget.Fixed(p.tools),
		widget.Fixed(p.told),
		widget.Fixed(widget.Row(6, widget.Fixed(p.anew), widget.Spring(), widget.Fixed(p.into), widget.Fixed(p.leave),
			widget.Fixed(p.done))))
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Commissioning" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	p.now = now
	if now.Status == nil {
		return
	}
	c := now.Commissioning
	if c == nil {
		p.showNotBegun()
		return
	}
	if !p.shown.has {
		p.step = c.State.Next() // where it was left
	}
	p.showStep(c)
}

func (p *Pane) showNotBegun() {
	if p.shown.has {
		p.shown = shown{}
	}
	p.choose.SetEnabled(false)
	p.choose.Set("Commissioning a new dish", widget.Quiet)
	for _, b := range []*widget.Button{p.leave, p.anew, p.into} {
		b.Hide()
	}
	p.done.Set("Start", widget.Primary)
	p.done.SetEnabled(p.now.Live)
	if len(p.guide.Objects) == 0 {
		p.guide.Objects = []fyne.CanvasObject{widget.Paragraph(
			"Eleven steps from the first reply of the enclosure to the first peak on the Sun: what each needs, what "+
				"was found, "+
				"and a report at the end. It can be left at any time and resumes where it was; each step but the "+
				"first "+
				"can be skipped with a reason. A dish that already works needs none of it.", letters, view.Plain)}
		p.guide.Refresh()
	}
}

func (p *Pane) showStep(c *desk.Commissioning) {
	lines := c.State.Lines(c.Config, c.Now, p.step)
	suggest := c.State.Suggestions(c.Config)
	p.pushes.show(p.now, c)
	if p.step == commission.Speeds {
		p.plot.show(c)
	}
	is := shown{true, p.step, lines, c.State.Marks, len(suggest)}
	if reflect.DeepEqual(is, p.shown) {
		return
	}
	before := p.shown
	p.shown = is
	p.choose.SetEnabled(true)
	p.choose.Set(fmt.Sprintf("%d %s ▾", p.step, p.step), widget.Quiet)
	done, out := 0, 0
	for _, m := range c.State.Marks {
		switch m.Verdict {
		case commission.Done:
			done++
		case commission.Refused:
			out++
		}
	}
	words := fmt.Sprintf("%d of %d done", done, commission.StepCount)
	if out > 0 {
		words += fmt.Sprintf(", %d skipped", out)
	}
	p.count.SetWords(words)
	if !before.has || before.step != p.step {
		p.guide.Objects = []fyne.CanvasObject{widget.Paragraph(p.step.Guide().String(), letters, view.Plain)}
		p.guide.Refresh()
		p.told.Set("", view.Faint)
		p.scroll.ScrollToTop()
		p.tools.Objects = nil
		if tools := p.toolsOf(p.step); tools != nil {
			p.tools.Objects = []fyne.CanvasObject{tools}
		}
		p.tools.Refresh()
	}
	for axis, pair := range p.saw {
		if pair[0] != nil {
			pair[0].Choose(c.State.Seen[axis] == commission.AsAsked)
			pair[1].Choose(c.State.Seen[axis] == commission.OtherWay)
		}
	}
	p.showLines(c, lines)
	p.showButtons(c, len(suggest))
	p.object.Refresh()
}

// showLines makes the lines again.
func (p *Pane) showLines(c *desk.Commissioning, lines []commission.Line) {
	var parts []widget.Part
	for i, l := range lines {
		mark, tone := [...]string{"to do", "seen", "wrong", ""}[l.State],
			[...]view.Tone{view.Wanted, view.Measured, view.Attention, view.Faint}[l.State]
		head := []widget.Part{widget.Fixed(widget.NewText(mark).Small().Tone(tone).Reserve("wrong")),
			widget.Sharing(widget.NewText(l.What.String()).Small().Bold().Elastic())}
		if p.step == commission.Cautions && i < len(commission.CautionList()) {
			head = append(head, widget.Fixed(p.confirmOf(i, l.State != commission.Seen)))
		}
		words := widget.Row(6, widget.Fixed(widget.NewText("").Small().Reserve("wrong")),
			widget.Sharing(widget.Paragraph(view.Minus(l.Words.String()), letters-8, view.Faint)))
		parts = append(parts, widget.Fixed(widget.Column(0, widget.Fixed(widget.Row(6, head...)), widget.Fixed(words))))
	}
	p.lines.Objects = []fyne.CanvasObject{widget.Row(10, widget.Sharing(widget.Column(6, parts...)), widget.Space(1))}
	p.lines.Refresh()
}

// confirmOf is the button of a caution: one and the same, so that a click while the lines are made again is not lost.
func (p *Pane) confirmOf(i int, yes bool) *widget.Button {
	for len(p.confirm) <= i {
		p.confirm = append(p.confirm, widget.NewButton("", fmt.Sprintf("commission-agree-%d", len(p.confirm)),
			"It is so; once more: it no longer is", nil).Tight().Sized(widget.SmallText).Reserve("Confirmed"))
	}
	b := p.confirm[i]
	b.SetAct(func() { p.act(commission.Act{Kind: commission.Agree, Index: i, Yes: yes}) })
	if yes {
		b.Set("Confirm", widget.Quiet)
	} else {
		b.Set("Confirmed", widget.Chosen)
	}
	return b
}

func (p *Pane) showButtons(c *desk.Commissioning, suggest int) {
	p.leave.Show()
	p.anew.Show()
	p.into.Hide()
	if p.settle != nil && suggest > 0 && p.step > commission.Stopping {
		p.into.Show()
	}
	switch c.State.Marks[p.step].Verdict {
	case commission.Open:
		p.done.Set("Done, go on", widget.Primary)
		p.leave.Set("Skip…", widget.Quiet)
		p.leave.SetEnabled(p.step != commission.Cautions)
	default:
		p.done.Set("Go on", widget.Filled)
		p.leave.Set("Open it again", widget.Quiet)
		p.leave.SetEnabled(true)
	}
	p.done.SetEnabled(p.now.Live)
}

func (p *Pane) act(a commission.Act) {
	if a.Kind != commission.Agree {
		p.told.Set("", view.Faint)
	}
	p.with.Desk.Ask(desk.Commission{Act: a})
}

// finish is the button at the lower right: begin, done, or go on.
func (p *Pane) finish() {
	c := p.now.Commissioning
	if c == nil {
		p.act(commission.Act{Kind: commission.Begin})
		return
	}
	if c.State.Marks[p.step].Verdict == commission.Open {
		if left := c.State.Left(c.Config, c.Now, p.step); left.Code != "" {
			p.told.Set("▲ "+left.String(), view.Attention)
			return
		}
		p.act(commission.Act{Kind: commission.Finish, Step: p.step})
		if p.step == commission.Report {
			return
		}
	}
	p.goTo(min(p.step+1, commission.Report))
}

func (p *Pane) goTo(step commission.Step) {
	p.step = step
	p.pushes.end()
	p.Show(p.now)
}

func (p *Pane) openSteps() {
	c := p.now.Commissioning
	if c == nil {
		return
	}
	var items []widget.Item
	for i, m := range c.State.Marks {
		step := commission.Step(i)
		words := fmt.Sprintf("%d %s%s", i, step, [...]string{"", ", done", ", skipped"}[m.Verdict])
		items = append(items, widget.Item{Words: words, Name: fmt.Sprintf("commission-step-%d", i),
			Chosen: step == p.step, Act: func() { p.goTo(step) }})
	}
	p.with.Open.ShowItems("commission-steps", p.choose, items)
}

func (p *Pane) suggestions() []commission.Suggestion {
	if c := p.now.Commissioning; c != nil {
		return c.State.Suggestions(c.Config)
	}
	return nil
}
