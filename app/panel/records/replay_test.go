package records

import (
	"math"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/view"
)

// slew is ten seconds of a slew before an evening: 5 degrees a second from azimuth 100, up to two seconds after the
// trip.
func slew(trip time.Time) (p past) {
	for i := range 51 {
		p.places = append(p.places, journal.Place{
			At: trip.Add(time.Duration(i-40) * 200 * time.Millisecond), Activity: "slewing",
			AzPositionDeg: 100 + float64(i), AzSetpointDeg: 150, ElPositionDeg: 30, ElSetpointDeg: math.NaN(),
			OffDeg:         1,
			AzDrivePercent: 50, ElDrivePercent: math.NaN(),
		})
	}
	return p
}

// replaying is the pane at rest with a replay of an hour ago that has begun, and the desk that it asks.
func replaying(t *testing.T) (*Pane, view.Now, *stage.Desk) {
	t.Helper()
	p, now := pane(t, nil)
	trip := now.At.Add(-time.Hour)
	p.start(slew(trip), journal.Entry{What: journal.WhatTrip, At: trip, Words: "Link lost"})
	return p, now, p.with.Desk.(*stage.Desk)
}

// A trip is seen again at any speed, by the window's ticks, whether each is shown or not.
func TestReplayRunsWithTheTicks(t *testing.T) {
	p, now, _ := replaying(t)
	azimuth := func(ticks ...uint64) float64 {
		t.Helper()
		var past view.Now
		for _, by := range ticks {
			now.Tick += by
			var ok bool
			if past, _, ok = p.Past(now); !ok {
				t.Fatal("it has ended")
			}
		}
		return past.Axes[0].Position.Deg()
	}
	if got := azimuth(1, 1, 2, 6); math.Abs(got-105) > 1e-6 { // a second at 5 degrees a second
		t.Errorf("after a second %v", got)
	}
	p.replay.faster()
	p.replay.faster()
	if got := azimuth(1); p.replay.factor != 16 || math.Abs(got-113) > 1e-6 {
		t.Errorf("factor %v, %v", p.replay.factor, got)
	}
	if got := azimuth(20); math.Abs(got-150) > 1e-6 || !p.replay.paused {
		t.Errorf("at its end %v, paused %v", got, p.replay.paused)
	}
	if now.Axes[0].Position.Deg() == 150 {
		t.Error("the status of now was changed")
	}
	p.EndReplay()
	if _, _, on := p.Past(now); on || p.replay.row.Visible() {
		t.Error("it goes on after its end")
	}
}

// What is shown of the past has nothing of now but what never changes: every field that differs from an empty status is
// one that was recorded, or is named here.
func TestReplayShowsNothingOfNow(t *testing.T) {
	p, now, _ := replaying(t)
	status := *now.Status
	status.Alarms = []desk.Alarm{{Number: 1, Grade: desk.Warning}}
	status.Shading, status.Shaded = &desk.Shading{}, true
	status.Armed.Has, status.Period.On = true, true
	now.Status = &status
	past, did, _ := p.Past(now)
	if past.Live || past.Replay != "Replay, 14 Apr 15:04:04 UTC" || did != "Slewing, error 1.00°" {
		t.Errorf("%q, %q, live %v", past.Replay, did, past.Live)
	}
	if a := past.Axes; !a[0].HasSetpoint || a[1].HasSetpoint || a[0].Applied != 0.5 || !math.IsNaN(a[1].Applied) ||
		a[0].RatePerS != 0 || a[0].Counts != 0 {
		t.Errorf("axes %+v", a)
	}
	s := *past.Status
	if s.Scene == now.Scene || len(s.Scene.Arcs) != 0 || len(now.Scene.Arcs) == 0 || s.Scene.Horizon == nil {
		t.Error("the ways of now are shown, or the ground is not")
	}
	if len(s.Alarms) > 0 || s.Shading != nil || s.Armed.Has || s.Period.On || s.Bodies != nil ||
		s.Target.Name != "" || s.Radio != nil || s.Activity != desk.Idle || s.Trim.CrossEl != 0 ||
		s.Noise.Clean {
		t.Errorf("of now: %+v", s)
	}
	for i, r := range s.Readings {
		if r.Fitted {
			t.Fatalf("reading %d of now", i)
		}
	}
	next, _, _ := p.Past(now)
	if next.Scene != s.Scene {
		t.Error("the scene is another at each tick: all would be drawn anew")
	}
}

// What was recorded each second is found again: noise with its cold sky, the transmitter, the currents.
func TestReplayReadsTheSeconds(t *testing.T) {
	trip := time.Date(2027, 4, 14, 15, 0, 0, 0, time.UTC)
	point := func(s int, v float64) journal.Point {
		return journal.Point{At: trip.Add(time.Duration(s) * time.Second), Mean: v}
	}
	p := slew(trip)
	p.read([]journal.Trend{
		{Points: []journal.Point{point(-9, 28), point(-8, 29), point(-2, 30)}},
		{Points: []journal.Point{point(-8, 1.5)}},
		{Points: []journal.Point{point(-9, 0), point(-8, 0), point(-3, 1), point(-2, 0)}},
		{Points: []journal.Point{point(-8, 2.1)}},
		{},
	})
	if len(p.heard) != 4 || p.heard[0].Since != 0 || p.heard[1].Since != time.Second || p.heard[2].Since != 0 {
		t.Fatalf("heard %+v", p.heard)
	}
	if s := p.heard[2]; s.Clean || !s.Keyed || !p.heard[3].Clean || p.heard[3].LevelDB != 30 {
		t.Errorf("while transmitting %+v, after it %+v", s, p.heard[3])
	}
	status := stage.Tracking()
	past := p.then(view.At(&status, 1, 0), nil, p.places[0], trip.Add(-7500*time.Millisecond))
	if n := past.Noise; !n.Clean || n.LevelDB != 29 || !n.HasCold || n.ColdDB != 27.5 || past.Axes[0].CurrentA != 2.1 ||
		!math.IsNaN(past.Axes[1].CurrentA) {
		t.Errorf("noise %+v, %v and %v A", past.Noise, past.Axes[0].CurrentA, past.Axes[1].CurrentA)
	}
	if past = p.then(view.At(&status, 1, 0), nil, p.places[0], trip.Add(-5*time.Second)); past.Noise.Clean {
		t.Error("a level of three seconds before stands for the moment")
	}
}

// What happens now ends the replay, and the desk is told why; what was so before it, and what goes, doesn't.
func TestWhatEndsAReplay(t *testing.T) {
	alarm := func(number int, grade desk.Grade) desk.Alarm {
		return desk.Alarm{Number: number, Grade: grade, Stands: true}
	}
	shelved := alarm(9, desk.AlarmGrade)
	shelved.ShelvedUntil = stage.Evening().Add(time.Hour)
	for _, row := range []struct {
		name   string
		change func(*desk.Status)
		ends   bool
		by     desk.ReplayEnd
	}{
		{"nothing", func(*desk.Status) {}, false, 0},
		{"an alarm goes", func(s *desk.Status) { s.Alarms = nil }, false, 0},
		{"a warning comes", func(s *desk.Status) { s.Alarms = append(s.Alarms, alarm(7, desk.Warning)) }, false, 0},
		{"a shelved alarm comes", func(s *desk.Status) { s.Alarms = append(s.Alarms, shelved) }, false, 0},
		{"an alarm comes", func(s *desk.Status) { s.Alarms = append(s.Alarms, alarm(7, desk.AlarmGrade)) }, true,
			desk.ReplayByAlarm},
		{"a warning becomes an alarm", func(s *desk.Status) { s.Alarms[1].Grade = desk.AlarmGrade }, true,
			desk.ReplayByAlarm},
		{"a trip", func(s *desk.Status) { s.Lock.Locked, s.Moving = true, true }, true, desk.ReplayByTrip},
		{"the armed pass", func(s *desk.Status) { s.Armed.UnderWay = true; s.Starting = message.Text("x") }, true,
			desk.ReplayByPass},
		{"the dish moves", func(s *desk.Status) { s.Moving = true }, true, desk.ReplayByMotion},
		{"the motion warning", func(s *desk.Status) { s.Starting = message.Text("x") }, true, desk.ReplayByMotion},
	} {
		p, now, d := replaying(t)
		status := *now.Status
		status.Alarms = []desk.Alarm{alarm(1, desk.AlarmGrade), alarm(2, desk.Warning)}
		before := view.At(&status, 10, 0)
		p.replay.begun = standingNow(before)
		if _, _, on := p.Past(before); !on {
			t.Errorf("%s: what was so before ends it", row.name)
		}
		after := status
		after.Alarms = append([]desk.Alarm(nil), status.Alarms...)
		row.change(&after)
		_, _, on := p.Past(view.At(&after, 11, 0))
		if on == row.ends || p.Replaying() == row.ends {
			t.Errorf("%s: ended %v, want %v", row.name, !on, row.ends)
		}
		asked := d.Asked()
		ended, told := stage.Only[desk.ReplayEnded](asked)
		if told != row.ends || told && ended.By != row.by {
			t.Errorf("%s: asked for %v, want by %v", row.name, asked, row.by)
		}
	}
}

// An alarm that goes and comes again ends a replay, too.
func TestAnAlarmAgainEndsAReplay(t *testing.T) {
	p, now, _ := replaying(t)
	status := *now.Status
	status.Alarms = []desk.Alarm{{Number: 1, Grade: desk.AlarmGrade, Stands: true}}
	gone := status
	gone.Alarms = nil
	with := view.At(&status, 10, 0)
	p.replay.begun = standingNow(with)
	for i, row := range []struct {
		now view.Now
		on  bool
	}{{with, true}, {view.At(&gone, 11, 0), true}, {view.At(&status, 12, 0), false}} {
		if _, _, on := p.Past(row.now); on != row.on {
			t.Errorf("step %d: on %v", i, on)
		}
	}
}

// The line on the chart stands at the moment; a click, a drag of it and the keys move it, and the chart with it never.
func TestTheMomentOnTheChart(t *testing.T) {
	p, now, _ := replaying(t)
	trip, width := now.At.Add(-time.Hour), p.plot.Size().Width
	from, to := p.window()
	if span := 30 * time.Second; to.Sub(from) != span || !from.Equal(trip.Add(-18*time.Second)) {
		t.Fatalf("the chart shows %v from %v", to.Sub(from), from.Sub(trip))
	}
	near := func(what string, want time.Time) {
		t.Helper()
		if got := p.replay.moment; got.Sub(want).Abs() > 100*time.Millisecond || !p.replay.paused {
			t.Errorf("%s: %v, want %v; paused %v", what, got.Sub(trip), want.Sub(trip), p.replay.paused)
		}
		x, stands := p.plot.place(want), p.plot.then.Position().X+thenWidth/2
		if !p.plot.then.Visible() || x-stands > 2 || stands-x > 2 {
			t.Errorf("%s: the line stands at %v, want %v", what, stands, x)
		}
	}
	p.plot.Tapped(&fyne.PointEvent{Position: fyne.NewPos(width/2, 9)})
	near("a click in the middle", from.Add(15*time.Second))
	drag := func(x, by float32) {
		p.plot.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(x+by, 9)},
			Dragged: fyne.NewDelta(by, 0)})
	}
	drag(width/2+3, -5)
	drag(width/2-2, -width/6)
	p.plot.DragEnd()
	near("dragged by a sixth", from.Add(10*time.Second))
	if again, _ := p.window(); !again.Equal(from) {
		t.Errorf("the chart moved by %v", again.Sub(from))
	}
	for _, row := range []struct {
		key  fyne.KeyName
		want time.Time
	}{{fyne.KeyRight, from.Add(11 * time.Second)}, {fyne.KeyLeft, from.Add(10 * time.Second)},
		{fyne.KeyHome, trip.Add(-8 * time.Second)}, {fyne.KeyLeft, trip.Add(-8 * time.Second)},
		{fyne.KeyEnd, trip.Add(2 * time.Second)}} {
		p.plot.TypedKey(&fyne.KeyEvent{Name: row.key})
		near(string(row.key), row.want)
	}
	drag(width*0.9, -40) // beside the line: the chart
	p.plot.DragEnd()
	if again, _ := p.window(); !again.After(from) {
		t.Error("a drag beside the line doesn't move the chart")
	}
	p.EndReplay()
	if _, to := p.window(); p.plot.then.Visible() || p.span != time.Hour || !to.Equal(now.At) {
		t.Errorf("after it the chart shows %v to %v", p.span, to)
	}
}
