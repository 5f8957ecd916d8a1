package panel

import (
	"fmt"
	"reflect"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// alarmList is the open sheet of all alarms and warnings.
type alarmList struct {
	with  widget.Context
	body  *fyne.Container
	shown []desk.Alarm
}

// open shows the list.
func (a *alarmBox) open() {
	if a.list != nil {
		return
	}
	list := &alarmList{with: a.with, body: container.NewStack()}
	seen := widget.NewButton("Acknowledge all", "alarms-acknowledge", "Acknowledge all alarms", func() {
		a.with.Desk.Ask(desk.Acknowledge{Alarm: -1})
	}).Looking(widget.Filled)
	close := widget.NewButton("Close", "alarms-close", "Close the list", nil)
	a.list = list
	list.build(a.now)
	sheet := a.with.Open.ShowSheet("alarms-dialog", "Alarms and warnings", list.body, []*widget.Button{close, seen},
		close)
	sheet.OnClosed(func() { a.list = nil })
}

// show brings the open list up to date.
func (l *alarmList) show(now view.Now) {
	if !reflect.DeepEqual(l.shown, now.Alarms) {
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
	l.body.Objects = []fyne.CanvasObject{widget.Column(12, parts...)}
	l.body.Refresh()
}

func (l *alarmList) line(alarm desk.Alarm, now view.Now) fyne.CanvasObject {
	mark := widget.NewGradeMark()
	mark.Set(alarm.Grade)
	seen := widget.NewButton("Acknowledge", fmt.Sprintf("alarm-seen-%d", alarm.Number), "Acknowledge this alarm",
		func() {
			l.with.Desk.Ask(desk.Acknowledge{Alarm: alarm.Number})
		}).Tight()
	seen.SetEnabled(!alarm.Acknowledged)
	mute := widget.NewButton("Shelve 1 h", fmt.Sprintf("alarm-mute-%d", alarm.Number),
		"For one hour it doesn't ask for attention however often it comes and goes, unless it becomes worse", func() {
			l.with.Desk.Ask(desk.Shelve{Alarm: alarm.Number})
		}).Tight()
	mute.SetEnabled(alarm.ShelvedUntil.IsZero())
	words := widget.NewProse(alarm.Words.String()).Bold().Tone(view.GradeTone(alarm.Grade, view.Plain)).
		Named(fmt.Sprintf("alarm-words-%d", alarm.Number))
	next := widget.NewProse(alarm.Next.String()).Small()
	since := widget.NewNote(fmt.Sprintf("%s, since %s", view.AlarmState(alarm), view.Moment(alarm.Since, now.At)))
	return widget.Row(8, widget.Top(mark), widget.Sharing(widget.Column(2,
		widget.Fixed(words), widget.Fixed(next),
		widget.Fixed(widget.Row(8, widget.Sharing(since), widget.Fixed(mute), widget.Fixed(seen))))))
}
