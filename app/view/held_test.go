package view

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/message"
)

// What must be seen at once is shown at once; figures that change all the time once a second.
func TestHold(t *testing.T) {
	at := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	status := func(change func(*desk.Status)) *desk.Status {
		s := &desk.Status{At: at.Add(300 * time.Millisecond), Number: 7}
		s.Link.State = desk.LinkGood
		s.Switches = []desk.Switch{{Name: "Door", Words: "shut"}}
		change(s)
		return s
	}
	first := status(func(s *desk.Status) { s.At = at })
	rows := map[string]struct {
		change      func(*desk.Status)
		silence     time.Duration
		shown, full bool
	}{
		"nothing":  {func(*desk.Status) {}, 0, false, false},
		"readings": {func(s *desk.Status) { s.Readings[3].Value = 27.9 }, 0, false, false},
		"sky":      {func(s *desk.Status) { s.Target.Az, s.Off = 1, 0.1 }, 0, false, false},
		"tracking": {func(s *desk.Status) {
			s.Axes[0].Moving, s.Axes[0].RatePerS = true,
				unit.AngleFromDeg(0.01)
		}, 0, false, false},
		"line":            {func(s *desk.Status) { s.Link.PerSecond, s.Link.Errors = 9.8, 3 }, 0, false, false},
		"the next second": {func(s *desk.Status) { s.At = at.Add(time.Second) }, 0, true, true},
		"slew": {func(s *desk.Status) { s.Axes[1].Moving, s.Axes[1].RatePerS = true, unit.AngleFromDeg(-2) },
			0, true, true},
		"activity": {func(s *desk.Status) { s.Activity = desk.Tracking }, 0, true, true},
		"lock-out": {func(s *desk.Status) { s.Lock = desk.Lock{Locked: true, Cause: message.Of("lock.stopped")} },
			0, true, true},
		"alarm": {func(s *desk.Status) { s.Alarms = []desk.Alarm{{Number: 1, Grade: desk.AlarmGrade}} }, 0,
			true, true},
		"grade": {func(s *desk.Status) { s.Readings[3].Grade = desk.Warning }, 0, true, true},
		"switch": {func(s *desk.Status) { s.Switches = []desk.Switch{{Name: "Door", Words: "open"}} }, 0, true,
			true},
		"event":      {func(s *desk.Status) { s.LastEvent = 12 }, 0, true, true},
		"distrust":   {func(s *desk.Status) { s.Axes[0].Trusted = true }, 0, true, true},
		"end switch": {func(s *desk.Status) { s.Axes[0].EndHigh = true }, 0, true, true},
		"permit":     {func(s *desk.Status) { s.Transmit.Permitted = true }, 0, true, true},
		"countdown":  {func(s *desk.Status) { s.StartingIn = 2500 * time.Millisecond }, 0, true, true},
		"band":       {func(s *desk.Status) { s.BandIndex = 1 }, 0, true, true},
		"own echo's path": {func(s *desk.Status) {
			s.OwnEcho.Plan, s.OwnEcho.EchoHz = &ownecho.Config{TransmitHz: 1296e6}, 1296e6
		}, 0, false, false},
		"own echo keyed":  {func(s *desk.Status) { s.OwnEcho.Progress.Key = true }, 0, true, true},
		"own echo's wish": {func(s *desk.Status) { s.OwnEcho.Why = message.Of("echoes.run.moon-low") }, 0, true, true},
		"desk is silent":  {func(*desk.Status) {}, 2 * LostAfter, true, true},
	}
	for name, row := range rows {
		var h Hold
		h.Next(At(first, 1, 0))
		s := status(row.change)
		got := h.Next(At(s, 2, row.silence))
		if (got.Status == s) != row.shown || got.Full != row.full || got.New != row.shown || got.Tick != 2 ||
			got.Silence != row.silence {
			t.Errorf("%s: shown %v, full %v; want %v, %v", name, got.Status == s, got.Full, row.shown, row.full)
		}
	}
}

// While an axis moves every tick is shown, though not in full; where it stands again everything is.
func TestHoldWhileMoving(t *testing.T) {
	at := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	var h Hold
	for i, row := range []struct{ rate, full float64 }{{0, 1}, {3, 1}, {3, 0}, {2, 0}, {0, 1}, {0, 0}} {
		s := &desk.Status{At: at.Add(time.Duration(i) * 100 * time.Millisecond)}
		s.Axes[0].Moving, s.Axes[0].RatePerS = row.rate != 0, unit.AngleFromDeg(row.rate)
		got := h.Next(At(s, uint64(i), 0))
		if got.Full != (row.full == 1) || (got.Status == s) != (row.rate != 0 || row.full == 1) {
			t.Errorf("tick %d: full %v, shown %v", i, got.Full, got.Status == s)
		}
	}
}

// Where practice time runs fast its seconds pass at each tick: everything is shown once in a real second.
func TestHoldWhereTimeRunsFast(t *testing.T) {
	at := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	var h Hold
	full := 0
	for tick := range uint64(50) {
		s := desk.Status{At: at.Add(time.Duration(tick) * 6 * time.Second), Number: tick, TimeScale: 60}
		if h.Next(At(&s, tick, 0)).Full {
			full++
		}
	}
	if full != 5 {
		t.Errorf("all was shown %d times in 5 s", full)
	}
}
