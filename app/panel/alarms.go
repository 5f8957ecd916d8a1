package panel

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

const (
	alarmsWidth  = 760 // of the list
	alarmsScroll = 14  // of the bar at its side
)

// alarmList is the open sheet of all alarms and warnings.
type alarmList struct {
	with   widget.Context
	body   *fyne.Container
	scroll *container.Scroll
	shown  []desk.Alarm
}

// open shows the list.
func (a *alarmBox) open() {
	if a.list != nil {
		return
	}
	list := &alarmList{with: a.with, body: container.NewStack()}
	list.scroll = container.NewVScroll(list.body)
	seen := widget.NewButton("Acknowledge all", "alarms-seen", "Acknowledge all alarms", func() {
		a.with.Desk.Ask(desk.Order{Kind: desk.Seen, Index: -1})
	}).Looking(widget.Filled)
	close := widget.NewButton("Close", "alarms-close", "Close the list", nil)
	content := widget.Column(8, widget.Fixed(list.scroll),
		widget.Fixed(widget.Row(6, widget.Spring(), widget.Fixed(close), widget.Fixed(seen))))
	a.list = list
	list.build(a.now)
	list.scroll.SetMinSize(fyne.NewSize(alarmsWidth, max(170, min(list.body.MinSize().Height, 420))))
	sheet := a.with.Open.ShowSheet("alarms-dialog", "Alarms and warnings", content, close)
	sheet.OnClosed(func() { a.list = nil })
	close.SetAct(sheet.Close)
}

// show brings the open list up to date.
func (l *alarmList) show(now view.Now) {
	if !slices.Equal(l.shown, now.Alarms) {
		l.build(now)
	}
}

func (l *alarmList) build(now view.Now) {
	l.shown = slices.Clone(now.Alarms)
	parts := []widget.Part{}
	for _, alarm := range now.Alarms {
		parts = append(parts, widget.Fixed(l.line(alarm, now)))
	}
	if len(parts) == 0 {
		parts = append(parts, widget.Fixed(widget.NewLabel("There are none.")))
	}
	l.body.Objects = []fyne.CanvasObject{widget.Column(10, parts...)}
	l.body.Refresh()
}

func (l *alarmList) line(alarm desk.Alarm, now view.Now) fyne.CanvasObject {
	mark := widget.NewGradeMark()
	mark.Set(alarm.Grade)
	seen := widget.NewButton("Acknowledge", fmt.Sprintf("alarm-seen-%d", alarm.Number), "Acknowledge this alarm", func() {
		l.with.Desk.Ask(desk.Order{Kind: desk.Seen, Index: alarm.Number})
	}).Tight()
	seen.SetEnabled(!alarm.Seen)
	mute := widget.NewButton("Shelve 1 h", fmt.Sprintf("alarm-mute-%d", alarm.Number), "For one hour it doesn't ask for attention however often it comes and goes, unless it becomes worse", func() {
		l.with.Desk.Ask(desk.Order{Kind: desk.Mute, Index: alarm.Number})
	}).Tight()
	mute.SetEnabled(alarm.MutedUntil.IsZero())
	const gap = 8
	width := alarmsWidth - alarmsScroll - 3*gap - mark.MinSize().Width - mute.MinSize().Width - seen.MinSize().Width
	lines := 0
	words := widget.Lines(alarm.Words, width, func(words string) *widget.Text {
		lines++
		return widget.NewText(words).Bold().Tone(view.GradeTone(alarm.Grade, view.Plain)).
			Named(fmt.Sprintf("alarm-words-%d-%d", alarm.Number, lines))
	})
	next := widget.Lines(alarm.Next, width, func(words string) *widget.Text { return widget.NewText(words).Small() })
	since := widget.NewLabel(fmt.Sprintf("%s, since %s", view.AlarmState(alarm), view.Moment(alarm.Since, now.At)))
	atTop := func(object fyne.CanvasObject) widget.Part {
		return widget.Fixed(widget.Column(0, widget.Fixed(object)))
	}
	return widget.Row(gap, atTop(mark), widget.Sharing(widget.Column(1, widget.Fixed(words), widget.Fixed(next), widget.Fixed(since))),
		atTop(mute), atTop(seen))
}
