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

// entryList is the list of what happened.
type entryList struct {
	object  fyne.CanvasObject
	lines   [maxLines]entryLine
	longest string // of the times: the words have the rest of the room
}

type entryLine struct {
	grade     *widget.GradeMark
	at, words *widget.Text
	again     *widget.Button
	row       *fyne.Container
	entry     journal.Entry
}

// newEntryList returns the lines; again is asked to replay a trip.
func newEntryList(again func(journal.Entry)) *entryList {
	h := &entryList{}
	parts := []widget.Part{}
	for i := range h.lines {
		l := &h.lines[i]
		l.grade, l.at, l.words = widget.NewGradeMark(), widget.NewLabel(""),
			widget.NewText("").Small().Elastic()
		l.again = widget.NewButton("Replay", fmt.Sprintf("records-replay-%d", i+1),
			"Show the minute before this trip again in place of what is live", nil).Tight().Sized(widget.SmallText)
		l.again.Hide()
		l.row = widget.Row(6, widget.Fixed(l.at), widget.Fixed(l.grade),
			widget.Sharing(widget.NewWhole(fmt.Sprintf("records-event-%d", i+1), l.words, nil)), widget.Fixed(l.again))
		l.again.SetAct(func() { again(l.entry) })
		parts = append(parts, widget.Fixed(l.row))
	}
	h.object = widget.Column(2, parts...)
	return h
}

// momentOf says when something was: of today to the second, as what follows a trip comes within one.
func momentOf(at, now time.Time) string {
	words := view.Moment(at, now)
	if words == view.HourMinute(at) {
		return view.Clock(at)
	}
	return words
}

// show lists what happened, and says whether the list takes another height: a trip's line is higher than others.
func (h *entryList) show(a answer, now time.Time) (another bool) {
	longest := ""
	for _, one := range a.entries[:min(len(a.entries), maxLines)] {
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
		if i < len(a.entries) {
			one = a.entries[i]
			at = momentOf(one.At, now)
		}
		l.entry = one
		l.grade.Set(one.Grade)
		l.at.Reserve(longest).SetWords(at)
		l.words.SetWords(view.Minus(one.Words))
		trip := one.What == journal.WhatTrip
		if trip != l.again.Visible() {
			another = true
			if trip {
				l.again.Show()
			} else {
				l.again.Hide()
			}
		} else if !wider {
			continue
		}
		l.row.Refresh()
	}
	return another
}
