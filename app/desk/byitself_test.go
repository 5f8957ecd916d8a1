package desk

import (
	"testing"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// armedBench is a bench with the next pass of the Moon armed, drive power off, and the moment at which it sets off.
func armedBench(t *testing.T) (b *bench, off time.Time) {
	b = newBench(t)
	b.at = time.Date(2027, 4, 15, 11, 0, 0, 0, time.UTC)
	b.after(0, Arm{On: true})
	a := b.out.Status.Armed
	if !a.Has {
		t.Fatal("not armed")
	}
	return b, a.Leaves.Add(announceArmed)
}

// underWay is the same, on its way or tracking already.
func underWay(t *testing.T) *bench {
	b, off := armedBench(t)
	b.at, b.loop.Power = off, step.PowerOn
	b.after(time.Second)
	if !b.out.Status.Armed.UnderWay || b.kinds() == "" {
		t.Fatalf("armed %+v, asked %q", b.out.Status.Armed, b.kinds())
	}
	b.after(3 * time.Second)
	return b
}

// starts says which of the commands move the dish or switch drive power on.
func (b *bench) starts() (all []step.Command) {
	for _, m := range b.out.Commands {
		if _, permit := m.(step.Permit); step.VoidAfterStop(m) && !permit {
			all = append(all, m)
		}
	}
	return all
}

// idles lets time pass in steps, and fails where the desk starts anything by itself.
func (b *bench) idles(name string, d time.Duration) {
	b.t.Helper()
	for range 30 {
		b.after(d / 30)
		if started := b.starts(); len(started) > 0 {
			b.t.Fatalf("%s: started by itself: %+v", name, started)
		}
	}
}

// An armed pass sets off only where the dish may move, and says why it does not.
func TestAnArmedPassDoesNotSetOff(t *testing.T) {
	for name, w := range map[string]struct {
		change func(*bench)
		said   message.Code
	}{
		"an axis is not referenced": {func(b *bench) { b.loop.Axes[1].Trusted = false },
			"armed.not-referenced"},
		"somebody is at the dish": {func(b *bench) { b.loop.Working = true }, "desk.at-dish"},
		"locked out": {func(b *bench) { b.loop.Mode, b.loop.Lock.Locked = step.LockedOut, true },
			"desk.locked-out"},
		"the computer slept through it": {func(b *bench) { b.at = b.out.Status.Armed.Set }, "armed.over"},
	} {
		b, off := armedBench(t)
		b.at = off
		w.change(b)
		b.after(time.Second)
		if b.out.Status.Armed.Has || !b.said("armed.disarmed") || !b.said(w.said) || len(b.starts()) > 0 {
			t.Errorf("%s: armed %+v, said %v, asked %+v", name, b.out.Status.Armed, b.out.Events, b.out.Commands)
		}
		b.idles(name, 12*time.Hour)
	}
}

// Drive power for an armed pass comes on announced, not asked for; the follow after it sounds the motion
// warning; and without power nothing follows.
func TestPowerOfAnArmedPass(t *testing.T) {
	for _, comes := range []bool{true, false} {
		b, off := armedBench(t)
		b.at = off
		b.after(time.Second)
		if p := b.starts(); len(p) != 1 || p[0] != (step.Power{On: true, Announced: true}) {
			t.Fatalf("asked %+v", p)
		}
		if !comes {
			b.loop.Power = step.PowerOff
			b.after(7 * time.Second)
			if b.s.Waiting.Has || !b.said("desk.no-power") {
				t.Errorf("said %v", b.out.Events)
			}
			b.idles("without power", time.Minute)
			continue
		}
		b.after(time.Second)
		if p := b.starts(); len(p) != 1 || p[0] != (step.Follow{}) {
			t.Errorf("asked %+v", p)
		}
	}
}

// What the operator does with the dish takes an armed pass over: it parks nothing when the pass is over.
func TestTheOperatorTakesAnArmedPassOver(t *testing.T) {
	for name, o := range map[string]Order{
		"Stop": Stop{}, "Hold": Hold{}, "Slew": SlewTo{To: mount.AxisAngles{Az: degrees(150), El: degrees(50)}},
		"Park":      Park{},
		"wind stow": WindStow{}, "snow stow": SnowStow{}, "Track off": Track{},
		"power off":                Power{},
		"another target":           Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}},
		"the warning is cancelled": CancelWarning{},
		"disarmed":                 Arm{}, "working at the dish": Working{On: true},
	} {
		b := underWay(t)
		set := b.out.Status.Armed.Set
		b.after(time.Second, o)
		if b.out.Status.Proposal.Pending {
			b.after(time.Second, Confirm{})
		}
		if b.out.Status.Armed.Has {
			t.Errorf("%s: still armed", name)
			continue
		}
		b.after(time.Second, Hold{}, Working{})
		b.loop.Power = step.PowerOn
		b.after(2 * time.Second)
		b.at = set
		b.idles(name, 10*time.Minute)
	}
	// Before it sets off, what the operator does leaves it armed; the announcement can be cancelled.
	b, off := armedBench(t)
	for _, o := range []Order{Hold{}, Park{}, CancelWarning{}, Power{}} {
		if b.after(time.Second, o); !b.out.Status.Armed.Has {
			t.Errorf("%T disarms it long before", o)
		}
	}
	b.at = off.Add(-announceArmed / 2)
	b.after(time.Second)
	if b.after(time.Second, CancelWarning{}); b.out.Status.Armed.Has {
		t.Error("the announcement can't be cancelled")
	}
	b.loop.Mode = step.Holding
	b.s.seek(noAim, b.now)
	b.idles("cancelled", time.Hour)
}

// surveyBench is a bench in a survey, tracking its first target.
func surveyBench(t *testing.T) *bench {
	b := newBench(t)
	b.loop.Power = step.PowerOn
	b.loop.Mode = step.Holding
	b.after(0, SurveyTo{On: true, Targets: "Moon,Sun", Hours: 3})
	b.after(time.Second)
	b.after(time.Second)
	if !b.s.Measuring.Rounds.Running || b.s.Aim != trackAim {
		t.Fatalf("%+v, aim %d, said %v", b.s.Measuring.Rounds, b.s.Aim, b.out.Events)
	}
	return b
}

// finds lets a guard's row stand in the loop.
func finds(code guard.Code) func(*step.Status) {
	return func(s *step.Status) { s.Findings[0], s.FindingCount = guard.Finding{Code: code, Axis: guard.NoAxis}, 1 }
}

// A survey ends where the dish must not move by itself, holds, and does not go on by itself.
func TestASurveyEnds(t *testing.T) {
	for name, w := range map[string]struct {
		change func(*step.Status)
		ends   bool
	}{
		"locked out":              {func(s *step.Status) { s.Mode, s.Lock.Locked = step.LockedOut, true }, true},
		"somebody is at the dish": {func(s *step.Status) { s.Working = true }, true},
		"the link is lost":        {func(s *step.Status) { s.Link.State = step.LinkLost }, true},
		"one reply is missing":    {func(s *step.Status) { s.Link.State = step.LinkWaiting }, false},
		"strong wind":             {finds(guard.WindWarning), true},
		"wind for the stow":       {finds(guard.WindStow), true},
		"the door is open":        {finds(guard.DoorOpen), true},
		"a trip":                  {finds(guard.SupplyLow), true},
		"a clock that is off":     {finds(guard.ClockOff), false},
	} {
		b := surveyBench(t)
		w.change(&b.loop)
		b.after(time.Second)
		if running := b.s.Measuring.Rounds.Running; running == w.ends {
			t.Errorf("%s: running %v, said %v", name, running, b.out.Events)
			continue
		}
		if !w.ends {
			continue
		}
		if b.kinds() != "hold" && name != "locked out" || !b.said("survey.over") || b.s.Aim != noAim {
			t.Errorf("%s: asked %q, aim %d, said %v", name, b.kinds(), b.s.Aim, b.out.Events)
		}
		b.loop = surveyBench(t).loop // all is well again
		b.loop.Mode = step.Holding
		b.idles(name, time.Hour)
	}
}

// Whatever the operator does with the dish ends a survey; then it moves no more by itself.
func TestTheOperatorTakesASurveyOver(t *testing.T) {
	for name, o := range map[string]Order{
		"Stop": Stop{}, "Hold": Hold{}, "nudge": Nudge{By: mount.Offset{El: degrees(0.1)}}, "jog": Jog{Az: 1},
		"slew": SlewTo{To: mount.AxisAngles{Az: degrees(150), El: degrees(50)}},
		"park": Park{}, "wind stow": WindStow{}, "snow stow": SnowStow{}, "Track off": Track{},
		"power off":           Power{},
		"working at the dish": Working{On: true}, "another band": BandTo{Band: 1},
		"trim":               TrimTo{Trim: mount.Offset{El: degrees(0.1)}},
		"the end of the job": EndJob{}, "the end of the survey": SurveyTo{},
		"another target": Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}},
		"a reference":    BeamOnTarget{}, "a pass is armed": Arm{On: true},
		"the warning is cancelled": CancelWarning{},
	} {
		b := surveyBench(t)
		b.after(time.Second, o)
		if b.out.Status.Proposal.Pending {
			b.after(time.Second, Confirm{})
		}
		if b.s.Measuring.Rounds.Running {
			t.Errorf("%s: it runs on", name)
			continue
		}
		b.after(time.Second, Hold{}, Arm{})
		b.after(2 * time.Second)
		b.idles(name, 30*time.Minute)
	}
	for _, o := range []Order{Power{On: true}, Working{}} {
		b := surveyBench(t)
		if b.after(time.Second, o); !b.s.Measuring.Rounds.Running {
			t.Errorf("%#v ends it", o)
		}
	}
}

// The wind stow, which its countdown told of, goes with drive power, and switches it on announced where it is off. What
// comes to nothing is tried again after a minute, not all the time.
func TestTheWindStow(t *testing.T) {
	stow := func(t *testing.T, power step.PowerState, mode step.Mode) *bench {
		b := newBench(t)
		b.loop.Power, b.loop.Mode = power, mode
		b.after(time.Second)
		b.loop.StowNow = true
		b.after(100 * time.Millisecond)
		return b
	}
	slews := func(b *bench) bool {
		p := b.starts()
		place := b.c.Settings.WindStow
		return len(p) == 1 && p[0] == (step.Slew{To: station.PlaceOf(place)})
	}
	powers := func(b *bench) bool {
		p := b.starts()
		return len(p) == 1 && p[0] == (step.Power{On: true, Announced: true})
	}
	b := stow(t, step.PowerOn, step.Holding)
	if !slews(b) {
		t.Errorf("with drive power: asked %+v", b.out.Commands)
	}
	b = stow(t, step.PowerOff, step.Idle)
	if !powers(b) {
		t.Fatalf("without drive power: asked %+v", b.out.Commands)
	}
	if b.after(time.Second); !slews(b) {
		t.Errorf("with drive power on: asked %+v", b.out.Commands)
	}
	for name, w := range map[string]struct {
		power step.PowerState
		mode  step.Mode
		again func(*bench) bool
	}{
		"power did not come on": {step.PowerOff, step.Idle, powers},
		"the slew ended early":  {step.PowerOn, step.Holding, slews},
	} {
		b := stow(t, w.power, w.mode)
		b.loop.Power, b.loop.Mode = w.power, w.mode
		b.after(2 * time.Second)
		if len(b.out.Events) == 0 {
			t.Errorf("%s: not told", name)
		}
		b.idles(name, 55*time.Second)
		tried := false
		for range 10 {
			b.after(time.Second)
			tried = tried || w.again(b)
		}
		if !tried {
			t.Errorf("%s: not tried again", name)
		}
		b.loop.Power, b.loop.Mode, b.loop.StowNow = w.power, w.mode, false
		b.after(10 * time.Second)
		b.idles(name+", the storm is over", time.Hour)
	}
	b = stow(t, step.PowerOff, step.LockedOut)
	b.idles("locked out", time.Hour)
}

// A way round the Sun that the loop ends is not gone on with.
func TestAWayRoundTheSunEnds(t *testing.T) {
	for name, change := range map[string]func(*step.Status){
		"it held on the way":  func(s *step.Status) { s.Mode = step.Holding },
		"power went off":      func(s *step.Status) { s.Mode, s.Power = step.Idle, step.PowerOff },
		"it was locked out":   func(s *step.Status) { s.Mode, s.Lock.Locked = step.LockedOut, true },
		"it was jogged there": func(s *step.Status) { s.Mode = step.Jogging },
	} {
		b := bareBench(t, 200, 26)
		b.after(time.Second, SlewTo{To: mount.AxisAngles{Az: degrees(300), El: degrees(26)}})
		b.after(time.Second)
		if len(b.s.Legs) == 0 || b.kinds() != "slew" {
			t.Fatalf("legs %v, asked %q", b.s.Legs, b.kinds())
		}
		if b.after(3 * time.Second); b.kinds() != "" || len(b.s.Legs) == 0 {
			t.Errorf("%s: while slewing asked %q", name, b.kinds())
		}
		change(&b.loop)
		b.after(time.Second)
		told := b.said("desk.round-sun-ended")
		if len(b.s.Legs) > 0 || b.s.Aim != noAim || len(b.starts()) > 0 ||
			!told && name != "power went off" && name != "it was locked out" {
			t.Errorf("%s: legs %v, aim %d, asked %+v, said %v", name, b.s.Legs, b.s.Aim, b.out.Commands, b.out.Events)
		}
		b.idles(name, 10*time.Minute)
	}
}
