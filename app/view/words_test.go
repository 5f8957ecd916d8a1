package view_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/permit"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/view"
)

// now returns the invented status of tracking, changed.
func now(change func(*desk.Status)) view.Now {
	s := stage.Tracking()
	if change != nil {
		change(&s)
	}
	return view.At(&s, 1, 0)
}

func down(s *desk.Status) {
	s.Target.Up = false
	s.Target.Rise = s.At.Add(100 * time.Minute)
}

// acquiring is on the way to the target: so far off, there in so long.
func acquiring(offDeg float64, in time.Duration) func(*desk.Status) {
	return func(s *desk.Status) {
		s.Acquiring, s.ArrivesIn, s.Off = true, in, unit.AngleFromDeg(offDeg)
	}
}

func TestActivity(t *testing.T) {
	rows := []struct {
		name        string
		change      func(*desk.Status)
		head, under string
	}{
		{"tracking", nil, "Tracking the Moon", "sets in 11 h 12 min"},
		{"acquiring", acquiring(12.34, 8*time.Second), "Acquiring the Moon", "12° off, on it in 8 s"},
		{"almost there", acquiring(0.456, 2*time.Second), "Acquiring the Moon", "0.46° off, on it in 2 s"},
		{"within tolerance", func(s *desk.Status) { acquiring(0.02, 0)(s); s.Acquiring = false }, "Tracking the Moon",
			"sets in 11 h 12 min"},
		{"holding", func(s *desk.Status) { s.Activity = desk.Holding }, "Holding", "Moon sets in 11 h 12 min"},
		{"coming to rest", func(s *desk.Status) { s.Activity, s.Halting, s.Moving = desk.Holding, true, true },
			"Coming to rest", "Moon sets in 11 h 12 min"},
		{"waiting", func(s *desk.Status) { down(s); s.Activity = desk.Waiting }, "Waiting for the Moon",
			"rises 17:44, in 1 h 40 min"},
		{"resting", func(s *desk.Status) { s.Activity, s.Power = desk.Idle, desk.PowerOff }, "Idle",
			"drive power off"},
		{
			"stowed",
			func(s *desk.Status) {
				s.Activity, s.Destination, s.Power = desk.Stowed, message.Text("wind stow"), desk.PowerOff
			},
			"In wind stow",
			"drive power off",
		},
		{
			"stowing",
			func(s *desk.Status) { s.Activity, s.Destination = desk.Stowing, message.Text("snow stow") },
			"Slewing to snow stow",
			"azimuth 0.05° to go",
		},
		{"slewing", func(s *desk.Status) {
			s.Activity, s.Destination, s.Off = desk.Slewing, message.Text("Cas A"),
				unit.AngleFromDeg(34.21)
			s.Axes[0].Position, s.Axes[0].Setpoint = unit.AngleFromDeg(400), unit.AngleFromDeg(74)
			s.Axes[0].ArrivesIn = 218 * time.Second
			s.Axes[1].Position, s.Axes[1].Setpoint = unit.AngleFromDeg(10), unit.AngleFromDeg(20)
			s.Axes[1].ArrivesIn = 10 * time.Second
		}, "Slewing to Cas A", "azimuth 326° to go, 3:38"},
		{"slewing in elevation", func(s *desk.Status) {
			s.Activity, s.Destination = desk.Parking, message.Message{}
			s.Axes[1].Position, s.Axes[1].Setpoint = unit.AngleFromDeg(10.1), unit.AngleFromDeg(90)
			s.Axes[0].Position, s.Axes[0].Setpoint = unit.AngleFromDeg(400), unit.AngleFromDeg(310)
			s.Axes[0].ArrivesIn, s.Axes[1].ArrivesIn = 40*time.Second, 50*time.Second
		}, "Slewing to park", "elevation 80° to go, 0:50"},
		{"slewing without a position", func(s *desk.Status) {
			s.Activity, s.Destination = desk.Slewing, message.Text("Cas A")
			s.Axes[0].Position, s.Axes[1].HasSetpoint = unit.Angle(math.NaN()), false
		}, "Slewing to Cas A", ""},
		{"on a route round the Sun", func(s *desk.Status) {
			s.Activity, s.Destination, s.Legs = desk.Parking, message.Message{}, 2
		}, "Slewing to park", "avoiding the Sun, 2 legs to go"},
		{"wind stow cancelled", func(s *desk.Status) {
			s.Activity, s.StowCancelled = desk.Holding, true
		}, "Holding", "wind stow cancelled"},
		{"in a survey", func(s *desk.Status) {
			s.Survey.Rounds = desk.Rounds{Running: true, Taken: 3, Until: s.At.Add(42 * time.Minute)}
			s.Peak.Running, s.Peak.Progress = true, desk.Progress{Step: 3, Steps: 4}
		}, "Tracking the Moon", "survey, 3 peaks, 42 min left: sweep 3 of 4"},
		{"a cross-scan", func(s *desk.Status) {
			s.Peak.Running = true
			s.Peak.Progress = desk.Progress{Step: 2, Steps: 4, Left: 34100 * time.Millisecond}
		}, "Tracking the Moon", "peak: sweep 2 of 4, 0:35 left"},
		{"a five-point", func(s *desk.Status) {
			s.Peak = desk.Peak{Running: true, Quick: true, Progress: desk.Progress{Step: 1, Steps: 6}}
		}, "Tracking the Moon", "peak: stop 1 of 6"},
		{"a sky dip", func(s *desk.Status) {
			s.Receiving.Running, s.Receiving.Progress = true, desk.Progress{Step: 4, Steps: 9, Left: 65 * time.Second}
		}, "Tracking the Moon", "receiver: stop 4 of 9, 1:05 left"},
		{"a station check on the Sun", func(s *desk.Status) {
			s.Check.Running, s.Receiving.Running = true, true
			s.Receiving.Progress = desk.Progress{Step: 4, Steps: 7}
		}, "Tracking the Moon", "station check, Sun noise: stop 4 of 7"},
		{"a station check that listens", func(s *desk.Status) {
			s.Check = desk.Check{Running: true, Doing: message.Text("listening")}
		}, "Tracking the Moon", "station check: listening"},
		{"a station check", func(s *desk.Status) {
			s.Activity, s.Check = desk.Holding,
				desk.Check{Running: true, Progress: desk.Progress{Step: 2, Steps: 3, Left: 9 * time.Second}}
		}, "Holding",
			"station check: move 2 of 3, 0:09 left"},
		{"locked out", func(s *desk.Status) {
			s.Activity, s.Lock = desk.LockedOut,
				desk.Lock{Locked: true, Cause: message.Text("link lost")}
		}, "Locked out", "link lost"},
		{"stowed without a name", func(s *desk.Status) { s.Activity, s.Destination = desk.Stowed, message.Message{} },
			"Stowed", "drives powered"},
		{
			"without a name",
			func(s *desk.Status) { s.Activity, s.Destination = desk.Slewing, message.Text("") },
			"Slewing",
			"azimuth 0.05° to go",
		},
		{"at the dish", func(s *desk.Status) { s.Activity, s.Working = desk.Holding, true }, "Holding",
			"working at the dish"},
		{"link lost", func(s *desk.Status) { s.Link.State = desk.LinkLost }, "No contact",
			"last state: tracking the Moon"},
	}
	for _, row := range rows {
		got := view.Activity(now(row.change))
		if got.Head.Words != row.head || got.Under.Words != row.under {
			t.Errorf("%s: %q, %q, want %q, %q", row.name, got.Head.Words, got.Under.Words, row.head, row.under)
		}
	}
}

func TestEveryActivityHasWords(t *testing.T) {
	for activity := desk.Idle; activity <= desk.LockedOut; activity++ {
		if got := view.Activity(now(func(s *desk.Status) { s.Activity = activity })); got.Head.Words == "Not known" {
			t.Errorf("activity %d has no words", activity)
		}
	}
}

func TestOldIsNeverShownAsLive(t *testing.T) {
	s := stage.Tracking()
	for name, n := range map[string]view.Now{
		"silent loop": view.At(&s, 1, view.LostAfter),
		"link lost":   now(func(s *desk.Status) { s.Link.State = desk.LinkLost }),
		"refused":     now(func(s *desk.Status) { s.Link.State = desk.LinkRefused }),
	} {
		if n.Live {
			t.Errorf("%s: counts as live", name)
		}
		for index := range n.Axes {
			lane := view.LaneOf(n, index)
			if lane.Position.Tone != view.Old || lane.Setpoint.Tone != view.Old || lane.Mark.Words != "last known" {
				t.Errorf("%s: %s is shown as live: %+v", name, view.AxisName(index), lane)
			}
		}
		for _, group := range view.Groups(n) {
			for _, line := range group.Lines {
				if line.Tone != view.Old {
					t.Errorf("%s: reading %s is shown as live", name, line.Name)
				}
			}
		}
		if view.MoveBlocked(n) == "" || view.TrackBlocked(n) == "" {
			t.Errorf("%s: motion is offered", name)
		}
		if !view.CanMove(n) {
			t.Errorf("%s: the dish may move for all that is known", name)
		}
	}
	if view.LostAfter+100*time.Millisecond > time.Second {
		t.Errorf("lost contact shows after %v and a tick, want within 1 s", view.LostAfter)
	}
}

// What the transmit lamp's words say: what inhibits transmitting now, before what once ended a request.
func TestTransmit(t *testing.T) {
	low, locked := permit.Inhibit{Code: permit.LowElevation}, permit.Inhibit{Code: permit.LockedOut}
	rows := []struct {
		name        string
		change      func(*desk.Transmit)
		requested   bool
		head, under string
	}{
		{"permitted", func(t *desk.Transmit) { t.Permitted = true }, true, "Receiving", "transmit permitted"},
		{"withdrawn, and it stands", func(t *desk.Transmit) {
			t.Ended, t.Inhibits = locked, []permit.Inhibit{locked, low}
		}, false, "Receiving", "withdrawn: locked out"},
		{"withdrawn, gone, nothing else", func(t *desk.Transmit) { t.Ended = locked }, false, "Receiving",
			"withdrawn: locked out"},
		{"withdrawn, gone, and something else stands", func(t *desk.Transmit) {
			t.Ended, t.Inhibits = locked, []permit.Inhibit{low, low}
		}, false, "Receiving", "2 inhibits: " + low.Short().String()},
		{"not requested, inhibited", func(t *desk.Transmit) { t.Inhibits = []permit.Inhibit{low} }, false, "Receiving",
			"inhibited: " + low.Short().String()},
		{"not requested", func(t *desk.Transmit) {}, false, "Receiving", "no permit requested"},
		{"requested", func(t *desk.Transmit) {}, true, "Receiving", "permit requested"},
		{"the sequencer is in transmit, unkeyed", func(t *desk.Transmit) { t.Sequencer = desk.InTransmit }, false,
			"In transmit", "no permit requested"},
		{"keyed", func(t *desk.Transmit) { t.Sequencer, t.Keyed = desk.InTransmit, true }, false, "Transmitting",
			"no permit requested"},
		{"on its way back", func(t *desk.Transmit) { t.Sequencer = desk.GoingToReceive }, false,
			"Going to receive", "no permit requested"},
	}
	for _, row := range rows {
		got := view.Transmit(now(func(s *desk.Status) {
			s.Transmit, s.PermitRequested = desk.Transmit{Sequencer: desk.Receive}, row.requested
			row.change(&s.Transmit)
		}))
		if got.Head.Words != row.head || got.Under.Words != row.under {
			t.Errorf("%s: %q, %q, want %q, %q", row.name, got.Head.Words, got.Under.Words, row.head, row.under)
		}
	}
}

// What withdrew the permit is told as what was, for it may have gone since; what inhibits now as what is.
func TestInhibitsOfThenAndNow(t *testing.T) {
	door := permit.Inhibit{Code: permit.DoorOpen}
	for name, inhibits := range map[string][]permit.Inhibit{"shut since": nil, "open": {door}} {
		got := strings.Join(view.Inhibits(now(func(s *desk.Status) {
			s.Transmit.Ended, s.Transmit.Inhibits = door, inhibits
		})), " ")
		want := "The transmit permit was withdrawn: the enclosure's door was open. Request it again."
		if len(inhibits) > 0 {
			want += " The enclosure's door is open."
		}
		if got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
}

// The receiver's expected figures are those of the target: on the way to it there are none.
func TestExpectedFiguresOnTargetAlone(t *testing.T) {
	for name, row := range map[string]struct {
		change func(*desk.Status)
		want   string
	}{
		"on target":     {func(*desk.Status) {}, "expected 107 K"},
		"on the way":    {func(s *desk.Status) { s.OffCross = s.Band.HalfPower }, ""},
		"off source":    {func(s *desk.Status) { s.OffSource = 0.1 }, ""},
		"link lost":     {func(s *desk.Status) { s.Link.State = desk.LinkLost }, ""},
		"unreferenced":  {func(s *desk.Status) { s.Axes[0].Trusted = false }, ""},
		"with a result": {func(s *desk.Status) { s.OffSource = 0.1; s.Receiving.Last = &desk.ReceiverResult{} }, ""},
	} {
		n := now(func(s *desk.Status) { s.Receiving.Expected.ExpectedSystemK = 107; row.change(s) })
		if got := view.ReceiverFigures(n)[2].Note.Words; got != row.want {
			t.Errorf("%s: %q, want %q", name, got, row.want)
		}
	}
}

func TestLane(t *testing.T) {
	rows := []struct {
		name   string
		change func(*desk.Status)
		want   view.Lane
	}{
		{"tracking", nil, view.Lane{
			Position: view.Phrase{Words: "116.53", Tone: view.Measured},
			Mark:     view.Phrase{Words: "interpolated", Tone: view.Faint},
			Setpoint: view.Phrase{Words: "commanded 116.58°", Tone: view.Wanted},
			Own: view.Phrase{Words: "Moon 116.45°",
				Tone: view.Faint},
			Motion: view.Phrase{Words: "right 0.004°/s · 0.6 A", Tone: view.Faint},
		}},
		{"not trusted, nothing known", func(s *desk.Status) { s.Axes[0].Trusted, s.Axes[0].Counts = false, -1234 },
			view.Lane{
				Position: view.Phrase{Words: view.Missing, Tone: view.Old},
				Mark:     view.Phrase{Words: "not referenced", Tone: view.Attention},
				Setpoint: view.Phrase{Words: "−1234 counts", Tone: view.Faint},
				Own:      view.Phrase{Words: "Moon 116.45°", Tone: view.Faint},
				Motion:   view.Phrase{Words: "right 0.004°/s · 0.6 A", Tone: view.Faint},
			}},
		{"not referenced", func(s *desk.Status) { s.Axes[0].Trusted, s.Axes[0].HasOffer = false, true }, view.Lane{
			Position: view.Phrase{Words: view.Missing, Tone: view.Old},
			Mark:     view.Phrase{Words: "not referenced", Tone: view.Attention},
			Setpoint: view.Phrase{Words: "last known 116.53°", Tone: view.Faint},
			Own:      view.Phrase{Words: "Moon 116.45°", Tone: view.Faint},
			Motion:   view.Phrase{Words: "right 0.004°/s · 0.6 A", Tone: view.Faint},
		}},
		{"stopped, by counts that tell nothing", func(s *desk.Status) {
			s.Axes[0].Trusted, s.Axes[0].HasOffer, s.Stop = false, true, desk.StopUnseen
		}, view.Lane{
			Position: view.Phrase{Words: view.Missing, Tone: view.Old},
			Mark:     view.Phrase{Words: "not referenced", Tone: view.Attention},
			Setpoint: view.Phrase{Words: "last known 116.53°", Tone: view.Faint},
			Own:      view.Phrase{Words: "Moon 116.45°", Tone: view.Faint},
			Motion:   view.Phrase{Words: "motion not known · 0.6 A", Tone: view.Faint},
		}},
		{"at an end, without current, counted", func(s *desk.Status) {
			s.Axes[0].EndLow, s.Axes[0].CurrentA, s.Axes[0].HasSetpoint, s.Axes[0].Estimated = true, math.NaN(), false,
				false
			s.Target.Choice.Kind = desk.NoBody
		}, view.Lane{
			Position: view.Phrase{Words: "116.53", Tone: view.Measured},
			Setpoint: view.Phrase{Words: "no command", Tone: view.Faint},
			Own:      view.Phrase{Words: "no target", Tone: view.Faint},
			Motion:   view.Phrase{Words: "counter-clockwise end", Tone: view.Attention},
		}},
		{"a fixed place", func(s *desk.Status) {
			s.Target.Choice.Kind, s.Target.Name = desk.Fixed, "100.0°, 40.0°"
			s.Axes[0].HasSetpoint, s.Axes[0].Moving, s.Axes[0].Estimated = false, false, false
		}, view.Lane{
			Position: view.Phrase{Words: "116.53", Tone: view.Measured},
			Setpoint: view.Phrase{Words: "no command", Tone: view.Faint},
			Own:      view.Phrase{Words: "target 116.45°", Tone: view.Faint},
			Motion:   view.Phrase{Words: "stopped · 0.6 A", Tone: view.Faint},
		}},
		{"not fitted", func(s *desk.Status) { s.Axes[0] = desk.Axis{} },
			view.Lane{Position: view.Phrase{Words: view.Missing, Tone: view.Old},
				Mark: view.Phrase{Words: "not fitted", Tone: view.Faint}}},
	}
	for _, row := range rows {
		if got := view.LaneOf(now(row.change), view.Azimuth); got != row.want {
			t.Errorf("%s:\n got %+v\nwant %+v", row.name, got, row.want)
		}
	}
}

func TestNothingIsShownBeforeTheFirstReply(t *testing.T) {
	n := now(func(s *desk.Status) { s.Link.State, s.Link.Heard = desk.LinkOpening, false })
	if lane := view.LaneOf(n, view.Azimuth); lane.Position.Words != view.Missing || lane.Setpoint.Words != "" ||
		n.Live {
		t.Errorf("%+v", lane)
	}
	if got := view.Activity(n); got.Head.Words != "Connecting" {
		t.Errorf("%+v", got)
	}
	if got := view.BeamOf(n); len(got.Discs) != 0 || got.HasSetpoint {
		t.Errorf("the beam view shows %+v", got)
	}
	n = now(func(s *desk.Status) {
		s.Link = desk.Link{State: desk.LinkRefused, Words: message.Text("register map 2: 1 is wanted")}
	})
	if got := view.Link(n); got.Head.Words != "No link" || got.Under.Words != "register map 2: 1 is wanted" {
		t.Errorf("%+v", got)
	}
	if got := view.Activity(n); got.Head.Words != "Not known" || got.Under.Words != "nothing heard yet" {
		t.Errorf("%+v", got)
	}
}

func TestMotion(t *testing.T) {
	rows := []struct {
		axis  desk.Axis
		index int
		want  string
	}{
		{desk.Axis{Moving: true, RatePerS: unit.AngleFromDeg(-1.5)}, view.Azimuth, "left 1.50°/s"},
		{desk.Axis{Moving: true, RatePerS: unit.AngleFromDeg(0.02)}, view.Elevation, "up 0.020°/s"},
		{desk.Axis{Moving: true, RatePerS: unit.AngleFromDeg(-0.5)}, view.Elevation, "down 0.50°/s"},
		{desk.Axis{RatePerS: unit.AngleFromDeg(1)}, view.Azimuth, "stopped"},
		{desk.Axis{Moving: true, RatePerS: unit.Angle(math.NaN())}, view.Azimuth, "stopped"},
	}
	for _, row := range rows {
		if got := view.Motion(row.axis, row.index); got != row.want {
			t.Errorf("%v: %q, want %q", row.axis.RatePerS.Deg(), got, row.want)
		}
	}
}

func TestBlocked(t *testing.T) {
	rows := []struct {
		name   string
		change func(*desk.Status)
		move   string
		track  string
	}{
		{"free", nil, "", ""},
		{"no power: the order switches it on", func(s *desk.Status) { s.Power = desk.PowerOff }, "", ""},
		{"locked out", func(s *desk.Status) { s.Lock.Locked = true }, "locked out: release first",
			"locked out: release first"},
		{"at the dish", func(s *desk.Status) { s.Working = true }, "working at the dish is set",
			"working at the dish is set"},
		{"not referenced", func(s *desk.Status) { s.Axes[1].Trusted = false }, "reference the position first",
			"reference the position first"},
		{"an axis that is not fitted needs no trust", func(s *desk.Status) { s.Axes[1] = desk.Axis{} }, "", ""},
		{"no target", func(s *desk.Status) { s.Target = desk.Target{} }, "", "choose a target first"},
		{"the target is down", down, "", ""},
		{"the target never rises", func(s *desk.Status) { s.Target.Up, s.Target.Rise = false, time.Time{} }, "",
			"the Moon does not rise"},
	}
	for _, row := range rows {
		n := now(row.change)
		if move, track := view.MoveBlocked(n), view.TrackBlocked(n); move != row.move || track != row.track {
			t.Errorf("%s: %q and %q, want %q and %q", row.name, move, track, row.move, row.track)
		}
	}
}

func TestCanMove(t *testing.T) {
	still := func(s *desk.Status) { s.Power, s.Moving, s.Activity = desk.PowerOff, false, desk.Idle }
	rows := []struct {
		name   string
		change func(*desk.Status)
		want   bool
	}{
		{"at rest without power", still, false},
		{"powered", func(s *desk.Status) { still(s); s.Power = desk.PowerOn }, true},
		{"moving without power", func(s *desk.Status) { still(s); s.Moving = true }, true},
		{"a start is announced", func(s *desk.Status) {
			still(s)
			s.Starting, s.StartingIn = message.Text("Slewing"), time.Second
		},
			true},
		{"waiting for the target", func(s *desk.Status) { still(s); s.Activity = desk.Waiting }, true},
	}
	for _, row := range rows {
		if got := view.CanMove(now(row.change)); got != row.want {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}

// The permit's control never says that it is given where that is not known.
func TestPermitControlWithoutContact(t *testing.T) {
	for lost, want := range map[bool]string{false: "Permit given", true: "Permit not known"} {
		got := view.PermitControl(now(func(s *desk.Status) {
			s.Transmit.Permitted, s.PermitRequested = true, true
			if lost {
				s.Link.State = desk.LinkLost
			}
		}))
		if got != want {
			t.Errorf("lost %v: %q, want %q", lost, got, want)
		}
	}
}

func TestStopWords(t *testing.T) {
	rows := []struct {
		state desk.StopState
		lost  bool
		want  string
	}{
		{desk.StopNone, false, ""},
		{desk.StopAsked, false, "stop requested"},
		{desk.StopAsked, true, "stop requested, not confirmed"},
		{desk.StopStanding, false, "stopped, confirmed"},
		{desk.StopStanding, true, "stopped; contact lost since"},
		{desk.StopDefied, false, "still moving"},
		{desk.StopDefied, true, "stop requested, not confirmed"},
		{desk.StopUnseen, false, "stop not confirmed"},
		{desk.StopUnseen, true, "stop not confirmed"},
	}
	for _, row := range rows {
		got := view.StopWords(now(func(s *desk.Status) {
			s.Stop = row.state
			if row.lost {
				s.Link.State = desk.LinkLost
			}
		}))
		if got.Words != row.want {
			t.Errorf("state %d: %q, want %q", row.state, got.Words, row.want)
		}
	}
}

func TestBanner(t *testing.T) {
	rows := []struct {
		name                   string
		change                 func(*desk.Status)
		head                   string
		release, ready, cancel bool
	}{
		{"nothing to say", nil, "", false, false, false},
		{"locked out, the cause stands", func(s *desk.Status) {
			s.Lock =
				desk.Lock{Locked: true, Cause: message.Text("link lost"), Next: message.Text("Look.")}
		},
			"Locked out: link lost", true, false, false},
		{"locked out, the cause is gone", func(s *desk.Status) {
			s.Lock =
				desk.Lock{Locked: true, Cause: message.Text("link lost"), Releasable: true}
		},
			"Locked out: link lost", true, true, false},
		{"locked out, and the dish moves", func(s *desk.Status) {
			s.Lock = desk.Lock{Locked: true, Cause: message.Text("link lost"), Releasable: true}
			s.Stop = desk.StopDefied
		},
			"The dish is moving after a stop", true, false, false},
		{"a start is announced", func(s *desk.Status) {
			s.Starting, s.StartingIn = message.Text("Slewing to the Moon"),
				4200*time.Millisecond
		},
			"Slewing to the Moon in 5 s", false, false, true},
		{"set while tracking", func(s *desk.Status) { down(s); s.Activity = desk.Holding }, "The Moon has set", false,
			false, false},
	}
	for _, row := range rows {
		got := view.BannerOf(now(row.change))
		if got.Head != row.head || got.Release != row.release || got.ReleaseReady != row.ready ||
			got.Cancel != row.cancel {
			t.Errorf("%s: %+v", row.name, got)
		}
		if row.head != "" && got.Next == "" {
			t.Errorf("%s: no next step is named", row.name)
		}
	}
}

func TestLinkWords(t *testing.T) {
	s := stage.Tracking()
	if got := view.Link(view.At(&s, 1, 3*time.Second)); got.Head.Words != "Contact lost" ||
		got.Head.Tone != view.Alarming {
		t.Errorf("a silent loop: %+v", got)
	}
	for state, want := range map[desk.LinkState]string{
		desk.LinkGood: "Link good", desk.LinkWaiting: "Link waiting", desk.LinkLost: "Link lost",
		desk.LinkRefused: "No link", desk.LinkOpening: "Opening the link",
	} {
		if got := view.Link(now(func(s *desk.Status) { s.Link.State = state })); got.Head.Words != want {
			t.Errorf("state %d: %q, want %q", state, got.Head.Words, want)
		}
	}
}

// An enclosure that refuses every request replies: the line is not what is wrong.
func TestLinkThatRefuses(t *testing.T) {
	got := view.Link(now(func(s *desk.Status) {
		s.Link.State, s.Link.Refused = desk.LinkLost, "refused: exception 04"
	}))
	if got.Head.Words != "Link lost" || got.Under.Words != "refused: exception 04" {
		t.Errorf("%+v", got)
	}
}

// What holds now is shown before what has cleared, and a cleared alarm says so.
func TestAlarmLineShowsWhatHolds(t *testing.T) {
	cleared := desk.Alarm{Grade: desk.AlarmGrade, Words: message.Text("No reply from the enclosure")}
	wind := desk.Alarm{Grade: desk.Warning, Words: message.Text("Strong wind"), Stands: true}
	for want, alarms := range map[string][]desk.Alarm{
		"Strong wind":                          {cleared, wind},
		"Cleared: No reply from the enclosure": {cleared},
	} {
		if line, _ := view.AlarmLine(alarms); line.Under.Words != want {
			t.Errorf("%q, want %q", line.Under.Words, want)
		}
	}
}

func TestAlarmLine(t *testing.T) {
	alarm := func(grade desk.Grade, seen bool) desk.Alarm {
		return desk.Alarm{Grade: grade, Acknowledged: seen, Words: message.Text("words"), Stands: true}
	}
	rows := []struct {
		alarms []desk.Alarm
		want   string
		tone   view.Tone
	}{
		{nil, "No alarms", view.Faint},
		{[]desk.Alarm{alarm(desk.Warning, true)}, "1 warning, acknowledged", view.Attention},
		{[]desk.Alarm{alarm(desk.Warning, true), alarm(desk.Warning, false)}, "2 warnings", view.Attention},
		{[]desk.Alarm{alarm(desk.Notice, false)}, "1 notice", view.GradeTone(desk.Notice, view.Faint)},
		{[]desk.Alarm{alarm(desk.AlarmGrade, false), alarm(desk.Notice, false)}, "1 alarm", view.Alarming},
		{[]desk.Alarm{alarm(desk.AlarmGrade, false), alarm(desk.Warning, false), alarm(desk.Warning, true)},
			"1 alarm, 2 warnings|1 alarm", view.Alarming},
		{[]desk.Alarm{alarm(desk.Warning, false), alarm(desk.AlarmGrade, true)},
			"1 alarm, 1 warning|1 alarm", view.Alarming},
		{[]desk.Alarm{alarm(desk.AlarmGrade, true), alarm(desk.AlarmGrade, true), alarm(desk.Warning, true)},
			"2 alarms, 1 warning, acknowledged|2 alarms, acknowledged", view.Alarming},
	}
	for _, row := range rows {
		line, brief := view.AlarmLine(row.alarms)
		want, short, other := strings.Cut(row.want, "|")
		if !other {
			short = want
		}
		if line.Head.Words != want || line.Head.Tone != row.tone || brief != short {
			t.Errorf("%+v and %q, want %q", line.Head, brief, row.want)
		}
	}
}

func TestScale(t *testing.T) {
	none := math.NaN()
	rows := []struct {
		name    string
		reading desk.Reading
		want    view.Scale
	}{
		{"both limits", desk.Reading{Low: 20, High: 30, WarnLow: 22, WarnHigh: 29, AlarmLow: none, AlarmHigh: none,
			Value: 25}, view.Scale{From: 0.2, To: 0.9, At: 0.5}},
		{"none", desk.Reading{Low: 0, High: 10, WarnLow: none, WarnHigh: none, AlarmLow: none, AlarmHigh: none,
			Value: 12}, view.Scale{From: 0, To: 1, At: 1}},
		{"an alarm limit alone", desk.Reading{Low: 0, High: 10, WarnLow: none, WarnHigh: none, AlarmLow: 2,
			AlarmHigh: none, Value: -5}, view.Scale{From: 0.2, To: 1, At: 0}},
	}
	for _, row := range rows {
		got := view.ScaleOf(row.reading)
		if math.Abs(got.From-row.want.From)+math.Abs(got.To-row.want.To)+math.Abs(got.At-row.want.At) > 1e-9 {
			t.Errorf("%s: %+v, want %+v", row.name, got, row.want)
		}
	}
	if got := view.ScaleOf(desk.Reading{}); !math.IsNaN(got.At) {
		t.Errorf("without a scale: %+v", got)
	}
}

func TestOfferWords(t *testing.T) {
	offer := func(degrees float64) desk.Axis {
		return desk.Axis{Fitted: true, HasOffer: true, Offered: unit.AngleFromDeg(degrees)}
	}
	rows := []struct {
		axis  desk.Axis
		index int
		want  string
	}{
		{offer(116.53), view.Azimuth, "Azimuth 116.53°, cable wrap 0, facing 116.53°"},
		{offer(-43.5), view.Azimuth, "Azimuth −43.50°, cable wrap −1, facing 316.50°"},
		{offer(380), view.Azimuth, "Azimuth 380.00°, cable wrap +1, facing 20.00°"},
		{offer(40), view.Elevation, "Elevation 40.00°"},
		{desk.Axis{Fitted: true}, view.Azimuth, "Azimuth: nothing to offer"},
	}
	for _, row := range rows {
		if got := view.OfferWords(row.axis, row.index); got != row.want {
			t.Errorf("%q, want %q", got, row.want)
		}
	}
}

// The lamp tells transmitting from receiving, and both from nothing heard.
func TestTransmitLamp(t *testing.T) {
	for name, row := range map[string]struct {
		change func(*desk.Status)
		want   view.Lamp
	}{
		"receiving": {func(s *desk.Status) { s.Transmit = desk.Transmit{} }, view.LampOff},
		"permitted": {func(s *desk.Status) { s.Transmit = desk.Transmit{Permitted: true} },
			view.LampPermitted},
		"keyed": {func(s *desk.Status) { s.Transmit = desk.Transmit{Permitted: true, Keyed: true} },
			view.LampKeyed},
		"keyed without a permit": {func(s *desk.Status) { s.Transmit = desk.Transmit{Keyed: true} }, view.LampKeyed},
		"link lost": {func(s *desk.Status) { s.Transmit.Keyed, s.Link.State = true, desk.LinkLost },
			view.LampUnknown},
	} {
		if got := view.TransmitLamp(now(row.change)); got != row.want {
			t.Errorf("%s: %v, want %v", name, got, row.want)
		}
	}
}
