package health

import (
	"fmt"
	"reflect"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// checking is the line at the foot of the pane, and the sheet that it opens.
type checking struct {
	with    widget.Context
	verdict *widget.Text
	open    *widget.Button
	object  fyne.CanvasObject
	sheet   *checkSheet // nil while it is closed
	now     view.Now
}

func newChecking(with widget.Context) *checking {
	c := &checking{with: with, verdict: widget.NewLabel("").Elastic().Named("check-verdict")}
	c.open = widget.NewButton("Station check…", "check-open",
		"A station check for the start of a night, and readings outside their baseline range", c.show).Tight().Sized(widget.SmallText)
	c.object = widget.Row(8, widget.Sharing(c.verdict), widget.Fixed(c.open))
	return c
}

// watch brings line and sheet up to date.
func (c *checking) watch(now view.Now) {
	c.now = now
	words, tone := view.CheckVerdict(now)
	c.verdict.Set(words, tone)
	if c.sheet != nil && now.Full {
		c.sheet.show(now)
	}
}

// checkSheet shows the newest check line by line.
type checkSheet struct {
	with             widget.Context
	body             *fyne.Container
	doing            *widget.Text
	short, long, end *widget.Button
	shown            desk.Check
	built            bool
}

func (c *checking) show() {
	s := &checkSheet{with: c.with, body: container.NewStack(), doing: widget.NewLabel("").Elastic().Named("check-doing")}
	scroll := container.NewVScroll(s.body)
	scroll.SetMinSize(fyne.NewSize(660, 330))
	s.short = widget.NewButton("Check now", "check-now", "About a minute: each axis one way and back, then the Sun where it is up", s.begin(false)).Looking(widget.Primary)
	s.long = widget.NewButton("After a long rest", "check-long", "The long form, over more of the travel of both axes: several minutes", s.begin(true))
	s.end = widget.NewButton("Abort", "check-end", "The dish holds where it is", func() { c.with.Desk.Ask(desk.Order{Kind: desk.EndJob}) })
	close := widget.NewButton("Close", "check-close", "Close this; a check goes on", nil)
	caution := widget.NewText("The dish moves back and forth: people must be clear of it.").Small()
	content := widget.Column(8, widget.Fixed(scroll), widget.Fixed(caution), widget.Fixed(s.doing),
		widget.Fixed(widget.Row(6, widget.Fixed(s.long), widget.Spring(), widget.Fixed(close), widget.Fixed(s.end), widget.Fixed(s.short))))
	c.sheet = s
	s.show(c.now)
	sheet := c.with.Open.ShowSheet("check-dialog", "Station check", content, close)
	sheet.OnClosed(func() { c.sheet = nil })
	close.SetAct(sheet.Close)
}

func (s *checkSheet) begin(long bool) func() {
	return func() { s.with.Desk.Ask(desk.Order{Kind: desk.CheckDish, On: long}) }
}

func (s *checkSheet) show(now view.Now) {
	if now.Status == nil {
		return
	}
	check := now.Check
	words := "A station check starts from rest; any command of yours aborts it."
	if check.Running {
		words = fmt.Sprintf("Under way, %.0f %%: %s", 100*check.Part, check.Doing)
	}
	s.doing.SetWords(words)
	s.short.SetEnabled(now.Live && !check.Running)
	s.long.SetEnabled(now.Live && !check.Running)
	s.end.SetEnabled(check.Running)
	if s.built && s.shown.Last == check.Last && reflect.DeepEqual(s.shown.Unusual, check.Unusual) && reflect.DeepEqual(s.shown.Cable, check.Cable) {
		return
	}
	s.built, s.shown = true, check
	s.build(now)
}

// build makes the lines anew.
func (s *checkSheet) build(now view.Now) {
	var parts []widget.Part
	heading := func(words string) {
		parts = append(parts, widget.Fixed(widget.NewText(words).Bold()))
	}
	line := func(grade desk.Grade, what, words string, act *widget.Button) {
		mark := widget.NewGradeMark()
		mark.Set(grade)
		row := []widget.Part{widget.Fixed(mark), widget.Fixed(widget.NewLabel(what).Reserve("Supplies and readings")),
			widget.Sharing(widget.NewText(words).Small().Elastic().Tone(view.GradeTone(grade, view.Plain)))}
		if act != nil {
			row = append(row, widget.Fixed(act))
		}
		parts = append(parts, widget.Fixed(widget.Row(6, row...)))
	}
	if last := s.shown.Last; last != nil {
		heading(fmt.Sprintf("%s: %s", view.Moment(last.At, now.At), last.Verdict))
		for _, l := range last.Lines {
			line(l.Grade, l.What, l.Words, nil)
		}
	} else {
		parts = append(parts, widget.Fixed(widget.NewLabel("No station check has been made yet. The baseline is learned from normal operation over several evenings.")))
	}
	if len(s.shown.Unusual) > 0 {
		heading("Outside the baseline range")
	}
	for i, u := range s.shown.Unusual {
		line(desk.Warning, "", u.Words, widget.NewButton("Set as baseline", fmt.Sprintf("check-usual-%d", i), "Something was repaired or changed: learn the baseline again", func() {
			s.with.Desk.Ask(desk.Order{Kind: desk.NowUsual, Words: u.Key})
		}).Tight().Sized(widget.SmallText))
	}
	if cable := view.CableLines(s.shown.Cable); len(cable) > 0 {
		heading("Link losses per minute")
		for _, c := range cable {
			line(desk.Normal, c.Name, c.Words, nil)
		}
	}
	s.body.Objects = []fyne.CanvasObject{widget.Column(4, parts...)}
	s.body.Refresh()
}
