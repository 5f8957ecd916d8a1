package controls

import (
	"fmt"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// positionSheet shows what a position that is about to be set changes, and sets
// it only when that is confirmed. Cancel has the keyboard.
type positionSheet struct {
	lines  [2]*widget.Prose
	more   *widget.Prose
	set    *widget.Button
	read   func(view.Now) (view.NewPosition, bool) // the new position; false where it isn't known
	follow bool                                    // the axes may move meanwhile
}

// AskBeam asks before the position is set from the target.
func AskBeam(with widget.Context, now view.Now) {
	askPosition(with, now, &positionSheet{read: view.FromTarget, follow: true}, desk.BeamOnTarget{})
}

// askAngles asks before axes are given the angles at which they stand.
func askAngles(with widget.Context, now view.Now, p view.NewPosition, then func()) {
	var orders []desk.Order
	for i, given := range p.Given {
		if given {
			orders = append(orders, desk.ReferenceTo{Axis: i, Angle: p.Angles[i]})
		}
	}
	s := askPosition(with, now, &positionSheet{read: func(view.Now) (view.NewPosition, bool) { return p, true }},
		orders...)
	act := s.set.Act()
	s.set.SetAct(func() {
		act()
		then()
	})
}

func askPosition(with widget.Context, now view.Now, s *positionSheet, orders ...desk.Order) *positionSheet {
	parts := []widget.Part{}
	for i, name := range [2]string{"az", "el"} {
		s.lines[i] = widget.NewProse("").Named("position-" + name)
		parts = append(parts, widget.Fixed(s.lines[i]))
	}
	s.more = widget.NewProse("").Small().Rows(2).Named("position-more")
	s.set = widget.NewButton("Set position", "position-set",
		"The axes stand at these angles from now on. Undo is under Reference…", nil).Looking(widget.Filled)
	cancel := widget.NewButton("Cancel", "position-cancel", "Close without a change", nil)
	parts = append(parts, widget.Space(2), widget.Fixed(s.more))
	sheet := with.Open.ShowSheet("position-dialog", "Apply this new position?", widget.Column(6, parts...),
		[]*widget.Button{cancel, s.set}, cancel)
	s.set.SetAct(func() {
		sheet.Close()
		for _, o := range orders {
			with.Desk.Ask(o)
		}
	})
	sheet.OnTick(s.show)
	s.show(now)
	return s
}

// show brings the open sheet up to date: while a target is followed its angles change.
func (s *positionSheet) show(now view.Now) {
	if now.Status == nil {
		return
	}
	p, known := s.read(now)
	if !known {
		p = view.NewPosition{}
	}
	for i, line := range s.lines {
		words := view.PositionLine(now, i, p)
		line.Set(words.Words, words.Tone)
	}
	caution := view.PositionCaution(now, p)
	blocked := view.PositionBlocked(now, p, s.follow)
	if blocked != "" {
		caution = view.Phrase{Words: fmt.Sprintf("Not possible yet: %s", blocked), Tone: view.Attention}
	}
	s.more.Set(caution.Words, caution.Tone)
	s.set.SetEnabled(blocked == "")
}
