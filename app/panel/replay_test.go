//go:build !race

// Without the race detector: the test driver, unlike a real one, runs beside each other what two goroutines have the
// window do.

package panel

import (
	"context"
	"math"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/panel/stage"
	"beamhelm/app/view"
)

// tripShelf are records with one trip, ten seconds of the slew before it, and the noise of a minute.
type tripShelf struct{ trip time.Time }

func (s tripShelf) Trends(_ context.Context, keys []string, _, _ time.Time, _ int) (all []journal.Trend, err error) {
	for _, key := range keys {
		t := journal.Trend{Key: key, Step: time.Second}
		for i := range 60 {
			if key == "noise_db" {
				t.Points = append(t.Points, journal.Point{At: s.trip.Add(time.Duration(i-59) * time.Second), Mean: 33})
			}
		}
		all = append(all, t)
	}
	return all, nil
}

func (s tripShelf) Entries(context.Context, journal.Filter) ([]journal.Entry, error) {
	return []journal.Entry{{What: journal.WhatTrip, At: s.trip, Grade: desk.AlarmGrade, Words: "Link lost"}}, nil
}

func (s tripShelf) Places(context.Context, time.Time, time.Time, int) (all []journal.Place, err error) {
	for i := range 50 {
		all = append(all, journal.Place{At: s.trip.Add(time.Duration(i-50) * 200 * time.Millisecond),
			Activity:      "slewing",
			AzPositionDeg: 201.25, ElPositionDeg: 33.5, AzSetpointDeg: 230, ElSetpointDeg: 33.5, OffDeg: 24,
			AzDrivePercent: 100})
	}
	return all, nil
}

// toRest leaves the dish of the invented evening idle.
func toRest(s *desk.Status) {
	s.Power, s.Moving, s.Activity, s.PermitRequested = desk.PowerOff, false, desk.Idle, false
	for i := range s.Axes {
		s.Axes[i].Moving, s.Axes[i].HasSetpoint = false, false
	}
}

// replayOf is a window in which a trip of an hour ago is being replayed, and changes to what is live.
func replayOf(t *testing.T) (w *Window, d *stage.Desk, tick func(change func(*desk.Status))) {
	t.Helper()
	app := test.NewTempApp(t)
	status := stage.Tracking()
	toRest(&status)
	d = stage.New(status)
	shelf := tripShelf{status.At.Add(-time.Hour)}
	w = New(app, d, Config{Faults: &fakeFaults{}, Records: shelf})
	t.Cleanup(w.window.Close)
	w.window.Resize(minimum)
	number := uint64(20)
	tick = func(change func(*desk.Status)) {
		next := status
		if change != nil {
			change(&next)
		}
		d.Set(next)
		number++
		w.show(view.At(d.Status(), number, 0))
	}
	synctest.Test(t, func(*testing.T) {
		w.right.chooseTitle("Records") // it looks up what it shows: in the bubble
		tick(nil)
		synctest.Wait()
		if !w.Press("records-replay-1") {
			t.Error("the trip has no way to be replayed")
		}
		synctest.Wait()
	})
	tick(nil)
	d.Asked()
	return w, d, tick
}

// While a trip is replayed every view of the left-hand side shows that time or says that it wasn't recorded, the
// heading says of when it is and what the dish does now, and what must be seen stays live.
func TestAReplayTakesOverEveryView(t *testing.T) {
	w, _, tick := replayOf(t)
	tick(func(s *desk.Status) { s.Alarms = []desk.Alarm{{Number: 3, Grade: desk.Warning, Stands: true}} })
	c := w.Layout().Control
	for name, want := range map[string]string{
		"replay-heading": "Replay, 14 Apr 15:04:02 UTC", "replay-heading-more": "then slewing, error 24.00°; now idle",
		"sky-replay":       "Replay, 14 Apr 15:04:02 UTC · targets not recorded",
		"azimuth-position": "201.25°", "azimuth-mark": "replay", "azimuth-setpoint": "commanded 230.00°",
		"azimuth-motion": "drive +100 %", "azimuth-target": "target not recorded", "elevation-motion": "not driven",
		"beam-title": "replay 15:04:02", "beam-moves": "", "beam-off": "24.00° error",
		"beam-loss":   "target not recorded",
		"noise-level": "33.0 dB", "noise-above": "replay 15:04:02", "activity": "", "station": "",
	} {
		if got := c[name].Words; got != want {
			t.Errorf("%s says %q, want %q", name, got, want)
		}
	}
	for _, name := range []string{"nudge-up", "cold-sky", "off-source"} {
		if c[name].Enabled {
			t.Errorf("%s can be pressed in a view of the past", name)
		}
	}
	if c["clock"].Words != "16:04:12" || c["worst-alarm"].Words == "No alarms" || c["transmit"].Words == "" ||
		!c["stop"].Enabled || w.top.lamp.shown != view.TransmitLamp(w.now) || !w.frames.all[0].Visible() {
		t.Errorf("not live: clock %q, alarms %q", c["clock"].Words, c["worst-alarm"].Words)
	}
	w.Press("records-replay-end")
	tick(nil)
	c = w.Layout().Control
	if c["activity"].Words != "Idle" || c["sky-replay"].Words != "" || c["replay-heading"].Words != "" ||
		c["azimuth-mark"].Words == "replay" || c["beam-title"].Words != "beam view" || w.frames.all[0].Visible() ||
		!c["nudge-up"].Enabled || c["noise-level"].Words == "33.0 dB" {
		t.Errorf("after its end %q, %q, %q", c["activity"].Words, c["sky-replay"].Words, c["beam-title"].Words)
	}
}

// The heading lies over station and activity and nothing else, in one row or two.
func TestTheHeadingOfAReplayHasItsPlace(t *testing.T) {
	w, _, tick := replayOf(t)
	for _, size := range []fyne.Size{minimum, {Width: 683, Height: 360}} {
		w.window.Resize(size)
		tick(nil)
		at := boxOf(w.top.heading.object)
		first, last := boxOf(w.top.heading.first), boxOf(w.top.heading.last)
		if at.left != first.left || at.right != last.right || at.top < first.top || at.bottom > last.bottom+1 ||
			at.bottom-at.top < 30 {
			t.Errorf("at %v: it lies at %+v, station at %+v, activity at %+v", size, at, first, last)
		}
	}
}

// Where nothing was heard, the strip says so and draws nothing of now; the level held is no part of then.
func TestAReplayWithoutNoise(t *testing.T) {
	w, d, tick := replayOf(t)
	d.Hear(desk.NoiseSample{Number: 1, At: stage.Evening(), LevelDB: 29, Clean: true})
	w.now.Tick++
	past := view.Now{Status: w.now.Status, Tick: w.now.Tick, Full: true, Replay: "Replay"}
	status := *w.now.Status
	status.Noise = desk.Noise{Fitted: true, LevelDB: math.NaN()}
	past.Status = &status
	w.noise.Show(past)
	if c := w.Layout().Control; c["noise-level"].Words != "– dB" ||
		c["noise-above"].Words != "replay 16:04:12, not recorded" {
		t.Errorf("%q, %q", c["noise-level"].Words, c["noise-above"].Words)
	}
	tick(nil)
}

// A stop is a stop, whatever is shown; it ends the replay after it. Esc with something open over a dish at rest closes
// that alone, as ever.
func TestStopsDuringAReplay(t *testing.T) {
	stop := []desk.Order{desk.Stop{}}
	for name, press := range map[string]func(w *Window){
		"STOP": func(w *Window) { w.foot.stop.MouseDown(nil) },
		"Esc":  func(w *Window) { w.window.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape}) },
	} {
		w, d, _ := replayOf(t)
		press(w)
		if got := d.Asked(); !slices.Equal(got, stop) || w.records.Replaying() {
			t.Errorf("%s asks for %v, replaying %v", name, got, w.records.Replaying())
		}
	}
	w, d, _ := replayOf(t)
	w.Press("view-menu-button")
	escape := func() { w.window.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape}) }
	if escape(); len(d.Asked()) > 0 || !w.records.Replaying() || w.with.Open.Covers() {
		t.Error("Esc does more than close the menu")
	}
	if escape(); !slices.Equal(d.Asked(), stop) || w.records.Replaying() {
		t.Error("the second Esc is no stop")
	}
}

// A command that acts on what is seen isn't sent from the past: it ends the replay, and so soon after it neither a key
// that is held nor a double click does what the first press didn't. What ends or acknowledges something is sent.
// That a command was not sent is told until another one is.
func TestNotSentIsToldUntilACommandIs(t *testing.T) {
	for _, o := range []desk.Order{desk.Track{On: true}, desk.Stop{}} {
		w, d, tick := replayOf(t)
		w.with.Desk.Ask(desk.Track{On: true})
		for range heldBack {
			tick(nil)
		}
		if words := w.Layout().Control["replay-heading"].Words; words != "Replay ended, command not sent" {
			t.Fatalf("it says %q", words)
		}
		d.Asked()
		w.with.Desk.Ask(o)
		tick(nil)
		if words := w.Layout().Control["replay-heading"].Words; words != "" || len(d.Asked()) != 1 {
			t.Errorf("%T is sent, and it says %q", o, words)
		}
	}
}

func TestCommandsDuringAReplay(t *testing.T) {
	for _, o := range []desk.Order{desk.Track{On: true}, desk.Park{}, desk.Jog{Az: 1}, desk.Nudge{}, desk.SlewTo{},
		desk.Power{On: true}, desk.Permit{On: true}, desk.Release{}, desk.Confirm{}, desk.Choose{}, desk.TrimBack{},
		desk.TrimTo{}, desk.BandTo{}, desk.BeamOnTarget{}, desk.ReferenceTo{}, desk.TakeColdSky{},
		desk.OffSource{}, desk.Preamplifier{On: true}, desk.UseModel{}} {
		w, d, tick := replayOf(t)
		w.with.Desk.Ask(o)
		if got := d.Asked(); !slices.Equal(got, []desk.Order{desk.ReplayEnded{By: desk.ReplayByCommand}}) ||
			w.records.Replaying() {
			t.Fatalf("%T asks for %v, replaying %v", o, got, w.records.Replaying())
		}
		tick(nil)
		if c := w.Layout().Control; c["replay-heading"].Words != "Replay ended, command not sent" ||
			c["replay-heading-more"].Words != "give it again; now idle" || w.frames.all[0].Visible() {
			t.Errorf("it says %q, %q", c["replay-heading"].Words, c["replay-heading-more"].Words)
		}
		for range 3 { // a key that is held
			for range heldBack - 2 {
				tick(nil)
			}
			w.with.Desk.Ask(o)
		}
		if got := d.Asked(); len(got) > 0 {
			t.Errorf("held down, %T is sent: %v", o, got)
		}
		for range toldFor {
			tick(nil)
		}
		if c := w.Layout().Control; c["replay-heading"].Words != "" || c["activity"].Words != "Idle" {
			t.Errorf("a while later it says %q", c["replay-heading"].Words)
		}
		if w.with.Desk.Ask(o); len(d.Asked()) != 1 {
			t.Errorf("given again, %T isn't sent", o)
		}
	}
	w, d, _ := replayOf(t)
	for _, o := range []desk.Order{desk.Hold{}, desk.Track{}, desk.Power{}, desk.Permit{}, desk.Arm{}, desk.EndJob{},
		desk.CancelWarning{}, desk.Acknowledge{Alarm: 1}, desk.Shelve{}, desk.Working{On: true}, desk.PlanTo{},
		desk.WindStow{}, desk.SnowStow{}} {
		if w.with.Desk.Ask(o); !slices.Equal(d.Asked(), []desk.Order{o}) || !w.records.Replaying() {
			t.Errorf("%T isn't sent, or ends the replay", o)
		}
	}
}
