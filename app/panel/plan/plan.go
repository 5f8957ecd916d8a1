// Package plan shows a month of passes at a glance and those to come, arms one,
// and writes them to files.
package plan

import (
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Pane is the pane Plan.
type Pane struct {
	with   widget.Context
	object fyne.CanvasObject
	now    view.Now
	under  string    // the legend
	at     time.Time // under the pointer; zero: it is elsewhere

	head, legend, marks, own                        *widget.Text
	before, after, arm, forget, dates, to, partners *widget.Button
	target                                          *widget.Button
	ridge                                           *ridge
	moment, reasons, armed                          *widget.Text
	next                                            *widget.Figures
	told                                            *widget.Text

	// skeds are shown in place of the month, where the operator has them.
	skeds, length, all *widget.Button
	bySkeds            bool
	list, facts, tune  *widget.Text
	best               *widget.Figures
}

// maxNext is how many passes to come are listed, maxBest how many skeds.
const (
	maxNext = 4
	maxBest = 6
)

// New returns the pane.
func New(with widget.Context) *Pane {
	p := &Pane{
		with:    with,
		head:    widget.NewText("").Bold().Elastic().Named("plan-head"),
		legend:  widget.NewLabel("").Elastic().Named("plan-legend"),
		marks:   widget.NewLabel("").Elastic().Named("plan-marks"),
		own:     widget.NewLabel("").Elastic().Named("plan-own-dates"),
		moment:  widget.NewText("").Small().Elastic().Named("plan-moment"),
		reasons: widget.NewLabel("").Elastic().Named("plan-reasons"),
		armed:   widget.NewText("").Small().Elastic().Named("plan-armed"),
		told:    widget.NewLabel("").Right().Elastic().Named("plan-result"),
		next:    widget.NewFigures("plan-next", maxNext),
		list:    widget.NewLabel("").Bold(),
	}
	p.target = widget.NewButton("Moon ▾", "plan-target",
		"What the month and the passes to arm are of; the target that the dish follows stays as it is",
		p.openTargets).Tight().Sized(widget.SmallText)
	p.before = widget.NewButton("‹", "plan-before", "The month before",
		func() { p.turn(-1) }).Tight().Sized(widget.SmallText)
	p.after = widget.NewButton("›", "plan-after", "The next month",
		func() { p.turn(+1) }).Tight().Sized(widget.SmallText)
	p.arm = widget.NewButton("Arm a pass ▾", "plan-arm",
		"The dish goes to this pass automatically: it is announced half a minute before, then drive power comes on "+
			"and the motion warning sounds; it tracks, and parks afterwards",
		p.openArm).Sized(widget.SmallText).Reserve("Arm it again")
	p.forget = widget.NewButton("Disarm", "plan-disarm", "The pass is disarmed",
		func() { p.with.Desk.Ask(desk.Arm{}) }).Sized(widget.SmallText)
	p.partners = widget.NewButton("With ▾", "plan-with",
		"The partners that a shared pass is shared with: all of them at once",
		p.openOtherPartners).Tight().Sized(widget.SmallText)
	p.dates = widget.NewButton("Dates…", "plan-dates",
		"Days of your own to mark in the month, such as an activity weekend", p.openDates).Sized(widget.SmallText)
	p.to = widget.NewButton("Export…", "plan-export", "The month's passes as a table, a calendar or a picture",
		p.openExport).Sized(widget.SmallText)
	p.ridge = newRidge(func(at time.Time) { p.with.Desk.Ask(desk.LookAt{At: at}) }, p.read)
	p.newSkeds()
	p.object = widget.Column(3,
		widget.Fixed(widget.Row(4, widget.Fixed(p.target), widget.Space(2), widget.Sharing(p.head),
			widget.Fixed(p.partners), widget.Fixed(p.skeds), widget.Fixed(p.before), widget.Fixed(p.after))),
		widget.Fixed(p.legend),
		widget.Sharing(p.ridge),
		widget.Fixed(p.marks), widget.Fixed(p.own), widget.Fixed(p.moment), widget.Fixed(p.reasons),
		widget.Fixed(p.facts), widget.Fixed(p.tune),
		widget.Fixed(widget.Row(6, widget.Fixed(p.list), widget.Sharing(p.told), widget.Fixed(p.length),
			widget.Fixed(p.all))),
		widget.Fixed(p.next.Object()),
		widget.Fixed(p.best.Object()),
		widget.Fixed(p.armed),
		widget.Fixed(widget.Row(6, widget.Sharing(p.arm), widget.Sharing(p.forget), widget.Sharing(p.dates),
			widget.Sharing(p.to))))
	return p
}

// Title implements widget.Pane.
func (p *Pane) Title() string { return "Plan" }

// Object implements widget.Pane.
func (p *Pane) Object() fyne.CanvasObject { return p.object }

// Show implements widget.Pane.
func (p *Pane) Show(now view.Now) {
	p.now = now
	if !now.Full {
		return
	}
	if p.bySkeds != (now.Skeds != nil) {
		p.switchTo(now.Skeds != nil)
	}
	head := view.PlanHead(now)
	if p.bySkeds {
		head = view.SkedsHead(now)
	}
	words := head.Head.Words
	if now.Practice {
		words += " · practice" // it stands on the picture too
	}
	p.head.SetWords(words)
	p.under = head.Under.Words
	if now.Plan != nil {
		p.target.Set(now.Plan.Target+" ▾", widget.Quiet)
	}
	p.read(p.at)
	marks, own := view.PlanMarks(now)
	then := view.ThenWords(now)
	if p.bySkeds {
		marks, own, then = view.SkedsCount(now), "", p.showSkeds(now)
	}
	p.marks.SetWords(marks)
	p.showOwn(own)
	p.moment.Set(then.Head.Words, then.Head.Tone)
	p.reasons.Set(then.Under.Words, then.Under.Tone)
	armed := view.ArmedWords(now)
	if armed.Words == "" {
		armed = view.Phrase{Words: "No pass armed", Tone: view.Faint}
	}
	p.armed.Set(armed.Words, armed.Tone)
	lines := view.PassFigures(now, maxNext)
	for len(lines) < maxNext {
		lines = append(lines, view.Figure{})
	}
	p.next.Show(lines)
	armWords, look := "Arm a pass ▾", widget.Quiet
	if now.Armed.Question {
		armWords, look = "Arm it again", widget.Caution
	}
	p.arm.Set(armWords, look)
	p.arm.SetEnabled(now.Armed.Question || now.Plan != nil && len(now.Plan.Next) > 0)
	p.forget.SetEnabled(now.Armed.Has)
	p.to.SetEnabled(now.Plan != nil)
	p.ridge.show(now, p.chart())
}

// read tells what the month shows at a moment, in place of the legend; zero: the legend.
func (p *Pane) read(at time.Time) {
	p.at = at
	words := p.under
	if told := view.PlanReadOut(p.chart(), at); !at.IsZero() && told != "" {
		words = told
	}
	p.legend.SetWords(words)
}

// showOwn shows the operator's own dates on a line of their own, which takes no room without any.
func (p *Pane) showOwn(words string) {
	p.own.SetWords(words)
	if p.own.Visible() == (words != "") {
		return
	}
	if words != "" {
		p.own.Show()
	} else {
		p.own.Hide()
	}
	p.object.Refresh()
}

func (p *Pane) turn(by int) {
	if p.now.Status != nil {
		p.with.Desk.Ask(desk.PlanTo{Months: p.now.PlanMonth + by})
	}
}

// openTargets offers what the plan can be of.
func (p *Pane) openTargets() {
	if p.now.Plan == nil {
		return
	}
	choices := []desk.BodyChoice{{Kind: desk.Moon, Name: "Moon"}, {Kind: desk.Sun, Name: "Sun"}}
	if in := p.now.Target.Choice; in.Kind == desk.Radec {
		in.Name = p.now.Target.Name
		choices = append(choices, in)
	}
	for _, source := range p.now.Sources {
		choices = append(choices, desk.BodyChoice{Kind: desk.Source, Name: source.Name})
	}
	of := p.now.Plan.Of
	items := make([]widget.Item, 0, len(choices))
	for _, choice := range choices {
		items = append(items, widget.Item{
			Words: choice.Name, Name: "plan-target-" + view.Name(choice.Name),
			Tip:    "Show the month and the passes of this target",
			Chosen: of.Kind == choice.Kind && (of.Kind != desk.Source || of.Name == choice.Name),
			Act:    func() { p.with.Desk.Ask(desk.PlanOf{Body: choice}) },
		})
	}
	p.with.Open.ShowItems("plan-target-list", p.target, items)
}

// openArm offers the passes to come.
func (p *Pane) openArm() {
	if p.now.Armed.Question {
		p.with.Desk.Ask(desk.Arm{On: true})
		return
	}
	if p.now.Plan == nil {
		return
	}
	var items []widget.Item
	for _, pass := range p.now.Plan.Next {
		tip := "Arm this pass"
		if pass.Rise.Before(p.now.At) {
			tip += ", which has begun: the dish goes there half a minute after it is announced"
		}
		items = append(items, widget.Item{
			Words:  view.PassLine(pass),
			Cells:  []string{view.Number(pass.HighestEl.Deg(), 0) + "°"},
			Name:   "arm-" + pass.Rise.UTC().Format("2006-01-02"),
			Tip:    tip,
			Chosen: p.now.Armed.Has && p.now.Armed.Rise.Equal(pass.Rise),
			Act:    func() { p.with.Desk.Ask(desk.Arm{On: true, At: pass.Highest}) },
		})
	}
	if len(items) > 0 {
		p.with.Open.ShowItems("arm-list", p.arm, items)
	}
}
