package records

import (
	"fmt"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/journal"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// maxLines is how many entries are listed.
const maxLines = 8

// entryList is the list of what happened. It stays as it is while a line is pointed at or has the keyboard, and tells
// then how many newer entries there are.
type entryList struct {
	object  fyne.CanvasObject
	lines   [maxLines]entryLine
	longest string // of the times: the words have the rest of the room
	newer   *widget.Button
	row     *fyne.Container // that the button stands in
	next    fyne.Focusable  // what gets the keyboard when the button goes
	shown   func()          // tells that another answer is listed
	listed  answer          // what is shown
	anew    bool            // the next answer is shown in any case
}

type entryLine struct {
	grade     *widget.GradeMark
	at, words *widget.Text
	whole     *widget.Whole
	again     *widget.Button
	row       *fyne.Container
	entry     journal.Entry
}

// looked says whether the line is pointed at or has the keyboard.
func (l *entryLine) looked() bool {
	return l.whole.Pointed() || l.again.Visible() && (l.again.Pointed() || l.again.Focused())
}

// newEntryList returns the lines; again is asked to replay a lock-out.
func newEntryList(again func(journal.Entry)) *entryList {
	h := &entryList{}
	h.newer = widget.NewButton("", "records-newest",
		"Show the newest entries; while a line is pointed at, the list stays as it is", nil).
		Tight().Sized(widget.SmallText)
	h.newer.Hide()
	parts := []widget.Part{}
	for i := range h.lines {
		l := &h.lines[i]
		l.grade, l.at, l.words = widget.NewGradeMark(), widget.NewLabel(""),
			widget.NewText("").Small().Elastic()
		l.again = widget.NewButton("Replay", fmt.Sprintf("records-replay-%d", i+1),
			"Show the minute before this again in place of what is live", nil).Tight().Sized(widget.SmallText)
		l.again.Hide()
		l.whole = widget.NewWhole(fmt.Sprintf("records-event-%d", i+1),
			widget.Row(6, widget.Fixed(l.at), widget.Fixed(l.grade), widget.Sharing(l.words)), nil)
		l.row = widget.Row(6, widget.Sharing(l.whole), widget.Fixed(l.again))
		l.again.SetAct(func() { again(l.entry) })
		parts = append(parts, widget.Fixed(l.row))
	}
	h.object = widget.Column(2, parts...)
	return h
}

// momentOf says when something was: of today to the second, as what follows a trip comes within one.
func momentOf(at, now time.Time) string {
	if at.IsZero() {
		return ""
	}
	words := view.Moment(at, now)
	if words == view.HourMinute(at) {
		return view.Clock(at)
	}
	return words
}

// take lists an answer. While a line is looked at it tells instead how many entries are newer. It says whether the
// list takes another height.
func (h *entryList) take(a answer, now time.Time) (another bool) {
	if h.anew || !h.looked() || !a.continues(h.listed.question) {
		return h.show(a, now)
	}
	if words := h.newerWords(a); words != "" {
		h.newer.SetAct(func() {
			h.show(a, now)
			h.object.Refresh()
			h.shown()
		})
		h.newer.Set(words, widget.Quiet)
		h.newer.Show()
		h.row.Refresh()
	}
	return false
}

// looked says whether any line, or the button that shows the newest, is looked at.
func (h *entryList) looked() bool {
	if h.newer.Visible() && (h.newer.Pointed() || h.newer.Focused()) {
		return true
	}
	for i := range h.lines {
		if h.lines[i].looked() {
			return true
		}
	}
	return false
}

// newerWords say how many entries came since those listed; empty for none.
func (h *entryList) newerWords(a answer) string {
	n := 0
	for _, one := range a.entries {
		if len(h.listed.entries) == 0 || one.At.After(h.listed.entries[0].At) {
			n++
		}
	}
	switch {
	case n == 0:
		return ""
	case n == len(a.entries) && a.more:
		return fmt.Sprintf("%d or more newer", n)
	}
	return fmt.Sprintf("%d newer", n)
}

// hideNewer takes the button away, and hands the keyboard on to where the list is searched if the button has it.
func (h *entryList) hideNewer() {
	if !h.newer.Visible() {
		return
	}
	if h.newer.Focused() && h.next != nil {
		if canvas := fyne.CurrentApp().Driver().CanvasForObject(h.newer); canvas != nil {
			canvas.Focus(h.next)
		}
	}
	h.newer.Hide()
	h.row.Refresh()
}

// show lists what happened, and says whether the list takes another height: the line of a lock-out is higher than
// others.
func (h *entryList) show(a answer, now time.Time) (another bool) {
	h.listed, h.anew = a, false
	h.hideNewer()
	longest, entries := "", a.lines()
	for _, one := range entries {
		if at := momentOf(one.At, now); len(at) > len(longest) {
			longest = at
		}
	}
	wider := longest != h.longest
	h.longest = longest
	for i := range h.lines {
		l := &h.lines[i]
		one := journal.Entry{}
		at := ""
		if i < len(entries) {
			one = entries[i]
			at = momentOf(one.At, now)
		}
		l.entry = one
		l.grade.Set(one.Grade)
		l.at.Reserve(longest).SetWords(at)
		l.words.SetWords(view.Minus(one.Words))
		replays := one.What == journal.WhatTrip || one.What == journal.WhatLockOut
		if replays != l.again.Visible() {
			another = true
			if replays {
				l.again.Show()
			} else {
				l.again.Hide()
			}
		} else if !wider {
			continue
		}
		l.whole.Refresh()
		l.row.Refresh()
	}
	return another
}
