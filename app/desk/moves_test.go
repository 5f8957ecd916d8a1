package desk

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/message"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// restingBench is a bench at rest with drive power.
func restingBench(t *testing.T) *bench {
	b := newBench(t)
	b.loop.Power, b.loop.Mode = step.PowerOn, step.Holding
	b.after(time.Second)
	return b
}

// A station check moves the dish within limits and above structures only, or not at all where it may not.
func TestAStationCheckIsRefused(t *testing.T) {
	for name, change := range map[string]func(*bench){
		"an axis is not referenced": func(b *bench) { b.loop.Axes[0].Trusted = false },
		"locked out":                func(b *bench) { b.loop.Mode = step.LockedOut },
		"it moves":                  func(b *bench) { b.loop.Mode = step.Slewing },
		"somebody is at the dish":   func(b *bench) { b.loop.Working = true },
		"the link is lost":          func(b *bench) { b.loop.Link.State = step.LinkLost },
		"strong wind":               func(b *bench) { finds(guard.WindWarning)(&b.loop) },
		"the door is open":          func(b *bench) { finds(guard.DoorOpen)(&b.loop) },
		"a pass is armed": func(b *bench) {
			b.s.Armed = armedState{Has: true, Leaves: b.at.Add(time.Hour), Set: b.at.Add(time.Hour)}
		},
		"a survey runs": func(b *bench) {
			r := &b.s.Measuring.Rounds
			r.Running, r.Until, r.Rests = true, b.at.Add(time.Hour), b.at.Add(time.Hour)
		},
		"there is no room": func(b *bench) {
			for i := range b.c.Drive.Axes {
				l := &b.c.Drive.Axes[i].Limits
				l.SoftLow, l.SoftHigh = b.loop.Axes[i].Position-degrees(1), b.loop.Axes[i].Position+degrees(1)
			}
		},
	} {
		b := restingBench(t)
		change(b)
		b.after(time.Second, CheckDish{})
		if b.s.Measuring.Check.Run != nil || len(b.starts()) > 0 || !b.said("check.not-started") {
			t.Errorf("%s: started %v, asked %+v, said %v", name, b.s.Measuring.Check.Run != nil, b.out.Commands,
				b.out.Events)
		}
	}
	for _, at := range []mount.AxisAngles{
		{Az: degrees(105), El: degrees(40)}, {Az: degrees(-44), El: degrees(1)}, {Az: degrees(404), El: degrees(89)},
		{Az: degrees(200), El: degrees(6)},
	} {
		for _, long := range []bool{false, true} {
			b := restingBench(t)
			b.loop.Axes[0].Position, b.loop.Axes[1].Position = at.Az, at.El
			b.after(time.Second, CheckDish{Long: long})
			run := b.s.Measuring.Check.Run
			if run == nil || len(run.Moves) == 0 {
				t.Errorf("at %v, long %v: %v", at, long, b.out.Events)
				continue
			}
			for _, to := range run.Moves {
				if !b.c.Allowed(to) {
					t.Errorf("at %v, long %v: it would go to %v", at, long, to)
				}
			}
		}
	}
}

// A station check that the operator or the dish ends moves no more.
func TestAStationCheckEnds(t *testing.T) {
	checking := func() *bench {
		b := restingBench(t)
		if b.after(time.Second, CheckDish{}); b.s.Measuring.Check.Run == nil || b.kinds() != "slew" {
			t.Fatalf("asked %q, said %v", b.kinds(), b.out.Events)
		}
		b.after(2 * time.Second)
		return b
	}
	ended := func(name string, b *bench) {
		t.Helper()
		if b.s.Measuring.Check.Run != nil || !b.said("check.ended") {
			t.Errorf("%s: said %v", name, b.out.Events)
			return
		}
		b.after(time.Second, Hold{}, Arm{}, SurveyTo{})
		b.after(2 * time.Second)
		b.idles(name, 10*time.Minute)
	}
	for name, o := range map[string]Order{
		"Stop": Stop{}, "Hold": Hold{}, "track": Track{On: true},
		"slew": SlewTo{To: mount.AxisAngles{Az: degrees(150), El: degrees(50)}}, "park": Park{},
		"stow": WindStow{}, "nudge": Nudge{By: mount.Offset{El: degrees(0.1)}}, "jog": Jog{Az: 1},
		"power off": Power{}, "working": Working{On: true},
		"a survey": SurveyTo{On: true, Targets: "Moon", Hours: 2}, "a reference": BeamOnTarget{},
		"the end of the job": EndJob{},
	} {
		b := checking()
		b.after(time.Second, o)
		ended(name, b)
	}
	for name, change := range map[string]func(*step.Status){
		"locked out":  func(s *step.Status) { s.Mode = step.LockedOut },
		"at the dish": func(s *step.Status) { s.Working = true },
		"no link":     func(s *step.Status) { s.Link.State = step.LinkLost }, "wind": finds(guard.WindWarning),
		"a trip":             finds(guard.StopCircuit),
		"it held on the way": func(s *step.Status) { s.Mode = step.Holding },
	} {
		b := checking()
		change(&b.loop)
		for range 4 {
			if b.after(time.Second); b.s.Measuring.Check.Run == nil {
				break
			}
		}
		told := b.out
		b.loop.Working, b.loop.FindingCount, b.loop.Link.State, b.loop.Mode = false, 0, step.LinkGood, step.Holding
		b.out = told
		ended(name, b)
	}
}

// Nothing is pushed before the cautions of the commissioning are confirmed, and no harder than full drive.
func TestPushesNeedTheCautions(t *testing.T) {
	b := restingBench(t)
	b.after(time.Second, Push{Az: 1})
	if len(b.starts()) > 0 || !b.said("commission.cautions-first") {
		t.Errorf("asked %+v, said %v", b.out.Commands, b.out.Events)
	}
	for _, v := range []float64{3, -7, 0.5, math.Inf(1)} {
		if p := part(v); p != max(-1, min(1, v)) || p > 1 || p < -1 {
			t.Errorf("%v pushes with %v", v, p)
		}
	}
}

// Where the beam may not go beside the target, and why.
func TestBesideTheTarget(t *testing.T) {
	for name, w := range map[string]struct {
		change func(*bench)
		by     mount.Offset
		why    message.Code
	}{
		"free": {func(*bench) {}, mount.Offset{Cross: degrees(2)}, ""},
		"an azimuth limit": {func(b *bench) { b.c.Drive.Axes[0].Limits.SoftHigh = b.moon().Az + degrees(1) },
			mount.Offset{Cross: degrees(2)}, "pointing.azimuth-limit"},
		"an elevation limit": {func(b *bench) { b.c.Drive.Axes[1].Limits.SoftLow = b.moon().El - degrees(1) },
			mount.Offset{El: degrees(-2)}, "pointing.elevation-limit"},
		"a structure": {func(b *bench) {
			b.c.Drive.Structures.Count = 1
			b.c.Drive.Structures.Structures[0] = mount.Structure{From: b.moon().Az - degrees(20),
				To: b.moon().Az + degrees(20), Min: b.moon().El - degrees(1)}
		}, mount.Offset{El: degrees(-2)}, "pointing.structure"},
		"the zenith": {func(b *bench) {
			b.s.Route.Plan.Zeniths = []mount.Zenith{{From: -time.Hour, To: time.Hour}}
			b.s.Route.Plan.Samples = []mount.Sample{{AxisAngles: b.moon()}}
			b.s.Route.From = b.at
		}, mount.Offset{Cross: degrees(2)}, "pointing.zenith"},
	} {
		b := restingBench(t)
		w.change(b)
		turn := work{c: &b.c, s: &b.s, in: &Inputs{At: b.at, Loop: &b.loop}}
		beam := turn.beam()
		if why := beam.Within(w.by); why.Code != w.why {
			t.Errorf("%s: %q", name, why)
		}
		// Off source goes the other way where one side is not free, and nowhere where none is.
		side, why := beam.Colder(degrees(2))
		if name == "an azimuth limit" && (side >= 0 || why.Code != "") ||
			name == "the zenith" && (side != 0 || why.Code != w.why) {
			t.Errorf("%s: off source by %v, %q", name, side.Deg(), why)
		}
	}
	// A bare dish does not go beside the target into the Sun.
	b := bareBench(t, 245, 30)
	b.after(time.Second, Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}})
	turn := work{c: &b.c, s: &b.s, in: &Inputs{At: b.at, Loop: &b.loop}}
	b.s.Route = turn.beam().Plan(b.at, degrees(245))
	beam := turn.beam()
	if why := beam.Within(mount.Offset{Cross: degrees(2)}); why.Code != "pointing.sun-there" {
		t.Errorf("within 2 degrees of the Sun: %q", why)
	}
}

// moon is where the axes have to point for the Moon.
func (b *bench) moon() mount.AxisAngles {
	d, _, _ := b.c.Place(b.c.Moon(), b.at)
	return b.s.chain(&b.c).Axes(d)
}

// In an unwrap the cable is turned back by one slew, no course is handed over, and the target is followed after it.
func TestTheCableIsTurnedBack(t *testing.T) {
	b := newBench(t)
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	b.after(2 * time.Second)
	if b.loop.Mode != step.Following || !b.s.Route.Has {
		t.Fatalf("mode %v", b.loop.Mode)
	}
	b.s.Route.Plan.Unwraps = []mount.Unwrap{{At: b.at.Sub(b.s.Route.From) + time.Second, Lasts: 30 * time.Second}}
	b.after(1500 * time.Millisecond)
	if b.kinds() != "slew" || b.out.HasCourse {
		t.Fatalf("asked %q, course %v", b.kinds(), b.out.HasCourse)
	}
	for range 28 {
		if b.after(time.Second); b.kinds() != "" || b.out.HasCourse || b.out.Status.Activity != Tracking {
			t.Fatalf("on the way: asked %q, course %v, %v", b.kinds(), b.out.HasCourse, b.out.Status.Activity)
		}
	}
	b.loop.Mode = step.Holding
	followed := false
	for range 30 {
		b.after(200 * time.Millisecond)
		followed = followed || b.kinds() == "follow" && b.out.HasCourse
	}
	if !followed || b.out.Status.Activity != Tracking {
		t.Errorf("after it: %v, said %v", b.out.Status.Activity, b.out.Events)
	}
}

// Waiting for a target to rise is refused where it never does, has no rise, or the Sun stands there.
func TestWaitingForTheRiseIsRefused(t *testing.T) {
	b := restingBench(t)
	b.after(time.Second, Choose{Body: BodyChoice{Kind: Fixed, Name: "ground", Az: degrees(100),
		El: degrees(-2)}})
	b.after(time.Second, Track{On: true})
	if len(b.starts()) > 0 || !b.said("desk.place-low") {
		t.Errorf("a place below the horizon: asked %+v, said %v", b.out.Commands, b.out.Events)
	}
	b = restingBench(t)
	b.after(time.Second, Choose{Body: BodyChoice{Kind: Radec, Name: "far south", Dec: degrees(-89)}})
	b.after(time.Second, Track{On: true})
	if b.c.Settings.Station.LatitudeDeg > 5 && (len(b.starts()) > 0 || !b.said("desk.no-rise")) {
		t.Errorf("one that never rises: asked %+v, said %v", b.out.Commands, b.out.Events)
	}
	b = bareBench(t, 105, 40)
	b.loop.Power, b.loop.Mode = step.PowerOn, step.Holding
	b.at = time.Date(2027, 4, 14, 3, 0, 0, 0, time.UTC)
	b.after(time.Second, Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}})
	b.after(time.Second)
	if b.out.Status.Target.Rise.IsZero() || b.out.Status.Target.Up {
		t.Fatalf("the Sun %+v", b.out.Status.Target)
	}
	b.at = b.out.Status.Target.Rise.Add(-time.Minute)
	b.after(time.Second, Track{On: true})
	if len(b.starts()) > 0 || !b.said("pointing.sun-there") {
		t.Errorf("the Sun's own rise with a bare dish: asked %+v, said %v", b.out.Commands, b.out.Events)
	}
}
