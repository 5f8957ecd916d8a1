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
		"A station check for the start of a night, and readings outside their baseline range",
		c.show).Tight().Sized(widget.SmallText)
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
	doing            *widget.Prose
	short, long, end *widget.Button
	shown            desk.Check
	built            bool
}

func (c *checking) show() {
	s := &checkSheet{with: c.with, body: container.NewStack(), doing: widget.NewNote("").Rows(2).Named("check-doing")}
	s.short = widget.NewButton("Check now", "check-now",
		"About a minute: each axis one way and back, then the Sun where it is up",
		s.begin(false)).Looking(widget.Primary)
	s.long = widget.NewButton("After a long rest", "check-long",
		"The long form, over more of the travel of both axes: several minutes", s.begin(true))
	s.end = widget.NewButton("Abort", "check-end", "The dish holds where it is",
		func() { c.with.Desk.Ask(desk.EndJob{}) })
	close := widget.NewButton("Close", "check-close", "Close this; a check goes on", nil)
	caution := widget.NewProse("The dish moves back and forth: people must be clear of it.").Small()
	content := widget.Column(8, widget.Fixed(caution), widget.Fixed(s.doing), widget.Fixed(s.body))
	c.sheet = s
	s.show(c.now)
	sheet := c.with.Open.ShowSheet("check-dialog", "Station check", content,
		[]*widget.Button{close, s.end, s.long, s.short}, close)
	sheet.Fill() // results come in under the pointer
	sheet.OnClosed(func() { c.sheet = nil })
}

func (s *checkSheet) begin(long bool) func() {
	return func() { s.with.Desk.Ask(desk.CheckDish{Long: long}) }
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
	if s.built && s.shown.Last == check.Last && reflect.DeepEqual(s.shown.Unusual, check.Unusual) &&
		reflect.DeepEqual(s.shown.Cable, check.Cable) {
		return
	}
	s.built, s.shown = true, check
	s.build(now)
}

// build makes the lines again. What has buttons stands first: the results of a check don't move them.
func (s *checkSheet) build(now view.Now) {
	var parts []widget.Part
	heading := func(words string) {
		parts = append(parts, widget.Fixed(widget.NewProse(words).Bold()))
	}
	line := func(grade desk.Grade, what, words string, act *widget.Button) {
		mark := widget.NewGradeMark()
		mark.Set(grade)
		var said []widget.Part
		if what != "" {
			said = append(said, widget.Fixed(widget.NewNote(what)))
		}
		said = append(said, widget.Fixed(widget.NewProse(words).Small().Tone(view.GradeTone(grade, view.Plain))))
		row := []widget.Part{widget.Top(mark), widget.Sharing(widget.Column(0, said...))}
		if act != nil {
			row = append(row, widget.Top(act))
		}
		parts = append(parts, widget.Fixed(widget.Row(6, row...)))
	}
	if len(s.shown.Unusual) > 0 {
		heading("Outside the baseline range")
	}
	for i, u := range s.shown.Unusual {
		line(desk.Warning, "", u.Words.String(), widget.NewButton("Set as baseline", fmt.Sprintf("check-usual-%d", i),
			"Something was repaired or changed: learn the baseline again", func() {
				s.with.Desk.Ask(desk.NowUsual{Key: u.Key})
			}).Tight().Sized(widget.SmallText))
	}
	if last := s.shown.Last; last != nil {
		heading(fmt.Sprintf("%s: %s", view.Moment(last.At, now.At), last.Verdict))
		for _, l := range last.Lines {
			line(l.Grade, l.What, l.Words.String(), nil)
		}
	} else {
		parts = append(parts, widget.Fixed(widget.NewNote("No station check has been made yet. "+
			"The baseline is learned from normal operation over several evenings.")))
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
