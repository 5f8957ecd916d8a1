package permit_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/permit"
	"beamhelm/app/message"
	"beamhelm/drive/guard"
)

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// conditions are those of an invented station: a beam of 0.6 degree.
func conditions() permit.Config {
	nan := math.NaN()
	c := permit.Config{
		MinElevationDeg: 5, OffTargetBeamwidths: 0.5, MaxSWR: 3, KeepFromSunDeg: 4,
		Sectors: []permit.Sector{
			{Name: "neighbours", Sector: guard.Sector{From: degrees(90), To: degrees(100), Low: 0, High: degrees(20)}},
			{Name: "radar", Sector: guard.Sector{From: degrees(350), To: degrees(10), Low: 0, High: degrees(90)},
				Bands: []int{1}},
		},
		Limits: [permit.Watched]permit.Limits{
			permit.Relay: {Low: 21, High: 31, Hysteresis: 0.2}, permit.CoolantIn: {Low: -15, High: 55, Hysteresis: 1},
			permit.CoolantOut:  {Low: nan, High: 65, Hysteresis: 1},
			permit.CoolantFlow: {Low: 2, High: nan, Hysteresis: 0.1},
		},
	}
	for i, name := range [permit.ReadingCount]string{"relay supply", "coolant in", "coolant out", "coolant flow",
		"forward power", "reflected power"} {
		c.Labels[i] = permit.Label{Name: name, Unit: "units", Decimals: 1}
	}
	return c
}

// fine are inputs with nothing against transmitting.
func fine() permit.Inputs {
	return permit.Inputs{
		Referenced: true, Az: degrees(180), El: degrees(40), HasTarget: true, OffDeg: 0.05, BeamwidthDeg: 0.6,
		SunDeg: 90,
		Readings: [permit.ReadingCount]float64{permit.Relay: 26, permit.CoolantIn: 20, permit.CoolantOut: 30,
			permit.CoolantFlow: 5, permit.ForwardPower: 400, permit.ReflectedPower: 4},
	}
}

// A row spoils the inputs in one way.
type row struct {
	code  permit.Code
	spoil func(in *permit.Inputs)
	words string
}

// rows spoil each condition just beyond its limit.
func rows() []row {
	return []row{
		{permit.Working, func(in *permit.Inputs) { in.Working = true }, "somebody works at the dish"},
		{permit.HandPanel, func(in *permit.Inputs) { in.HandPanel = true }, "hand panel"},
		{permit.DoorOpen, func(in *permit.Inputs) { in.Door = true }, "door"},
		{permit.LinkLost, func(in *permit.Inputs) { in.LinkLost = true }, "no reply"},
		{permit.LockedOut, func(in *permit.Inputs) { in.Locked = true }, "locked out"},
		{permit.Stopped, func(in *permit.Inputs) { in.Stop = true }, "Stop was pressed"},
		{permit.Tripped, func(in *permit.Inputs) { in.Trips = 4 }, "tripped"},
		{permit.Guard, func(in *permit.Inputs) { in.Guard = guard.StopCircuit }, "stop circuit"},
		{permit.DriveDropped, func(in *permit.Inputs) { in.Dropped = true }, "the drive withdrew it"},
		{permit.BandChanged, func(in *permit.Inputs) { in.Band = 1 }, "band or feed changed"},
		{permit.BandChanged, func(in *permit.Inputs) { in.Feed = 1 }, "band or feed changed"},
		{permit.ClockStepped, func(in *permit.Inputs) { in.ClockStepped = true }, "clock was set"},
		{permit.Sequencer, func(in *permit.Inputs) { in.SequencerFault = true }, "sequencer fault"},
		{permit.SWRHigh, func(in *permit.Inputs) { in.Readings[permit.ReflectedPower] = 101 },
			"standing wave ratio 3.0, at most 3.0"},
		{permit.SWRHigh, func(in *permit.Inputs) {
			in.Readings[permit.ForwardPower],
				in.Readings[permit.ReflectedPower] = 60, 16
		}, "standing wave ratio 3.1"},
		{permit.NotReferenced, func(in *permit.Inputs) { in.Referenced = false }, "not referenced"},
		{permit.Slewing, func(in *permit.Inputs) { in.Slewing = true }, "slews"},
		{permit.NoTarget, func(in *permit.Inputs) { in.HasTarget = false }, "no target"},
		{permit.OffTarget, func(in *permit.Inputs) { in.OffDeg = 0.31 }, "0.31° off the target, at most 0.30°"},
		{permit.OffTarget, func(in *permit.Inputs) { in.OffDeg = math.NaN() }, "off the target"},
		{permit.LowElevation, func(in *permit.Inputs) { in.El = degrees(4.9) }, "elevation 4.9°, at least 5.0°"},
		{permit.LowElevation, func(in *permit.Inputs) { in.El = degrees(math.NaN()) }, "too low"},
		{permit.ClosedSector, func(in *permit.Inputs) { in.Az, in.El = degrees(95+360), degrees(19) },
			"closed sector neighbours"},
		{permit.NearSun, func(in *permit.Inputs) { in.SunDeg = 3.9 }, "3.9° from the Sun, at least 4.0°"},
		{permit.TooLow, func(in *permit.Inputs) { in.Readings[permit.Relay] = 20.9 },
			"relay supply 20.9 units, at least 21.0 units"},
		{permit.TooHigh, func(in *permit.Inputs) { in.Readings[permit.Relay] = 31.1 },
			"relay supply 31.1 units, at most 31.0 units"},
		{permit.TooLow, func(in *permit.Inputs) { in.Readings[permit.CoolantIn] = -15.1 }, "coolant in"},
		{permit.TooHigh, func(in *permit.Inputs) { in.Readings[permit.CoolantIn] = 55.1 }, "coolant in"},
		{permit.TooHigh, func(in *permit.Inputs) { in.Readings[permit.CoolantOut] = 65.1 }, "coolant out"},
		{permit.TooLow, func(in *permit.Inputs) { in.Readings[permit.CoolantFlow] = 1.9 }, "coolant flow"},
		{permit.Missing, func(in *permit.Inputs) { in.Readings[permit.Relay] = math.NaN() },
			"no reading of relay supply"},
		{permit.Missing, func(in *permit.Inputs) { in.Readings[permit.CoolantFlow] = math.NaN() },
			"no reading of coolant flow"},
		{permit.Missing, func(in *permit.Inputs) { in.Readings[permit.ReflectedPower] = math.NaN() },
			"no reading of reflected power"},
		{permit.DriveHolds, func(in *permit.Inputs) { in.Holds = guard.WindStow }, "wind"},
	}
}

// requested is a state with the permit given.
func requested(t *testing.T, c *permit.Config) permit.State {
	t.Helper()
	var s permit.State
	in := fine()
	in.Request = true
	if out := permit.Step(c, &s, &in); !out.Give {
		t.Fatalf("not given with all fine: %v", out.Inhibits)
	}
	return s
}

// Each condition takes the permit within the step, by its own name. What ends the
// request keeps it away until it is requested again; what holds it gives it back.
func TestEachCondition(t *testing.T) {
	c := conditions()
	for _, r := range rows() {
		s := requested(t, &c)
		in := fine()
		r.spoil(&in)
		out := permit.Step(&c, &s, &in)
		if out.Give || len(out.Inhibits) != 1 || out.Inhibits[0].Code != r.code ||
			!strings.Contains(out.Inhibits[0].Message().String(), r.words) {
			t.Errorf("code %d: give %v, inhibits %v, want %q", r.code, out.Give, out.Inhibits, r.words)
			continue
		}
		if ended := out.Ended.Code == r.code; ended != r.code.Ends() || s.Requested == r.code.Ends() {
			t.Errorf("%v: ended %v, requested %v", out.Inhibits[0], out.Ended, s.Requested)
		}
		back := fine()
		out = permit.Step(&c, &s, &back)
		if out.Give == r.code.Ends() {
			t.Errorf("code %d: after it is gone give %v", r.code, out.Give)
		}
		back.Request = true
		if out = permit.Step(&c, &s, &back); !out.Give || s.Ended.Code != permit.None {
			t.Errorf("code %d: requested anew, give %v, ended %v", r.code, out.Give, s.Ended)
		}
	}
}

// waitedFor are the conditions that time clears: with those alone a request is kept
// until it can be given. All others refuse it in words at once.
func waitedFor(c permit.Code) bool {
	switch c {
	case permit.Slewing, permit.OffTarget, permit.LowElevation, permit.ClosedSector, permit.NearSun, permit.TooLow,
		permit.TooHigh, permit.DriveHolds:
		return true
	}
	return false
}

// A request is refused while something stands that waiting does not clear, and
// does not come into its own when that is gone.
func TestRefused(t *testing.T) {
	c := conditions()
	for _, r := range rows() {
		if r.code == permit.Tripped || r.code == permit.BandChanged {
			continue // these are changes since the request
		}
		var s permit.State
		known := fine()
		permit.Step(&c, &s, &known)
		in := fine()
		r.spoil(&in)
		in.Request = true
		out := permit.Step(&c, &s, &in)
		if refused := out.Refused.Code == r.code; out.Give || refused == waitedFor(r.code) || s.Requested == refused {
			t.Errorf("code %d: refused %v, requested %v, give %v", r.code, out.Refused, s.Requested, out.Give)
		}
		back := fine()
		if out = permit.Step(&c, &s, &back); out.Give != waitedFor(r.code) {
			t.Errorf("code %d: after it is gone give %v", r.code, out.Give)
		}
	}
}

// What refuses is named, though something that may be waited for stands before it.
func TestRefusedByWhatCanNotBeWaitedFor(t *testing.T) {
	c := conditions()
	var s permit.State
	in := fine()
	permit.Step(&c, &s, &in)
	in.Request, in.Slewing, in.El, in.Readings[permit.Relay] = true, true, degrees(1), math.NaN()
	if out := permit.Step(&c, &s, &in); out.Refused.Code != permit.Missing || out.Refused.Name != "relay supply" ||
		s.Requested {
		t.Errorf("refused %v, requested %v", out.Refused, s.Requested)
	}
	if permit.None.Ends() || permit.None.Refuses() {
		t.Error("nothing refuses")
	}
}

// A request that is refused ends the one before, too.
func TestRefusedWhileRequested(t *testing.T) {
	c := conditions()
	s := requested(t, &c)
	in := fine()
	in.Request, in.Stop = true, true
	if out := permit.Step(&c, &s, &in); out.Refused.Code != permit.Stopped {
		t.Errorf("refused %v", out.Refused)
	}
	in = fine()
	if permit.Step(&c, &s, &in).Give {
		t.Error("the request before went on")
	}
}

// Nothing that has to do with a request is told while there is none.
func TestNotRequested(t *testing.T) {
	c := conditions()
	var s permit.State
	in := fine()
	in.Band, in.Feed, in.Trips = 1, 1, 4
	if out := permit.Step(&c, &s, &in); len(out.Inhibits) != 0 || out.Give {
		t.Errorf("give %v, inhibits %v", out.Give, out.Inhibits)
	}
}

// What the drive withholds is told only where nothing else explains it.
func TestTheDriveIsNamedLast(t *testing.T) {
	c := conditions()
	s := requested(t, &c)
	for _, spoil := range []func(in *permit.Inputs){func(in *permit.Inputs) { in.El = degrees(1) },
		func(in *permit.Inputs) { in.Door = true }} {
		in := fine()
		in.Holds = guard.WindStow
		spoil(&in)
		if out := permit.Step(&c, &s, &in); len(out.Inhibits) != 1 || out.Inhibits[0].Code == permit.DriveHolds {
			t.Errorf("inhibits %v", out.Inhibits)
		}
	}
}

// Just within its limit nothing stands against it.
func TestWithinTheLimits(t *testing.T) {
	c := conditions()
	for name, spare := range map[string]func(in *permit.Inputs){
		"off target":       func(in *permit.Inputs) { in.OffDeg = 0.299 },
		"elevation":        func(in *permit.Inputs) { in.El = degrees(5.01) },
		"above the sector": func(in *permit.Inputs) { in.Az, in.El = degrees(95), degrees(20.1) },
		"the other band's": func(in *permit.Inputs) { in.Az = degrees(2) },
		"the Sun":          func(in *permit.Inputs) { in.SunDeg = 4.1 },
		"no Sun":           func(in *permit.Inputs) { in.SunDeg = math.NaN() },
		"relay":            func(in *permit.Inputs) { in.Readings[permit.Relay] = 21.1 },
		"flow":             func(in *permit.Inputs) { in.Readings[permit.CoolantFlow] = 300 },
		// A quarter of the power back is a ratio of exactly 3.
		"SWR": func(in *permit.Inputs) { in.Readings[permit.ReflectedPower] = 99 },
		// 100 W alarm or not: 60 W with a tenth back is fine.
		"a small amplifier": func(in *permit.Inputs) {
			in.Readings[permit.ForwardPower],
				in.Readings[permit.ReflectedPower] = 60, 6
		},
	} {
		s := requested(t, &c)
		in := fine()
		spare(&in)
		if out := permit.Step(&c, &s, &in); !out.Give {
			t.Errorf("%s: %v", name, out.Inhibits)
		}
	}
}

// What isn't fitted is not judged; what a setting of 0 leaves out neither.
func TestNotJudged(t *testing.T) {
	c := conditions()
	in := fine()
	for i := range in.Readings {
		in.Readings[i] = math.NaN()
	}
	in.Request = true
	var s permit.State
	if out := permit.Step(&c, &s, &in); !out.Give {
		t.Errorf("nothing fitted: %v", out.Inhibits)
	}
	c = permit.Config{WhileSlewing: true, Limits: conditions().Limits}
	for i := range c.Limits {
		c.Limits[i] = permit.Limits{Low: math.NaN(), High: math.NaN()}
	}
	s = permit.State{}
	all := fine()
	permit.Step(&c, &s, &all)
	all = fine()
	all.Request, all.HasTarget, all.OffDeg, all.El, all.SunDeg, all.Slewing = true, false, 90, 0, 0, true
	all.Az, all.Readings = degrees(95), [permit.ReadingCount]float64{math.NaN(), 99, math.NaN(), 0, 400, math.NaN()}
	if out := permit.Step(&c, &s, &all); !out.Give {
		t.Errorf("nothing judged: %v", out.Inhibits)
	}
}

// An over that has begun is cut only by twice the angle; the next isn't begun.
func TestAnOverIsNotCutByAGust(t *testing.T) {
	c := conditions()
	s := requested(t, &c)
	step := func(off float64, keyed bool) bool {
		in := fine()
		in.OffDeg, in.Keyed = off, keyed
		return permit.Step(&c, &s, &in).Give
	}
	if !step(0.1, true) || !step(0.59, true) || step(0.61, true) {
		t.Error("an over must bear 0.6 degree and no more")
	}
	if step(0.59, true) {
		t.Error("without a permit the wider angle doesn't count")
	}
	if !step(0.1, false) || step(0.59, false) {
		t.Error("between overs 0.3 degree is the limit")
	}
}

// Near a limit the permit doesn't flutter.
func TestHysteresis(t *testing.T) {
	c := conditions()
	for name, r := range map[string]struct {
		set                  func(in *permit.Inputs, v float64)
		beyond, near, inside float64
	}{
		"elevation": {func(in *permit.Inputs, v float64) { in.El = degrees(v) }, 4.9, 5.1, 5.3},
		"Sun":       {func(in *permit.Inputs, v float64) { in.SunDeg = v }, 3.9, 4.1, 4.3},
		"relay":     {func(in *permit.Inputs, v float64) { in.Readings[permit.Relay] = v }, 20.9, 21.1, 21.3},
		"relay up":  {func(in *permit.Inputs, v float64) { in.Readings[permit.Relay] = v }, 31.1, 30.9, 30.7},
		"flow":      {func(in *permit.Inputs, v float64) { in.Readings[permit.CoolantFlow] = v }, 1.9, 2.05, 2.2},
	} {
		s := requested(t, &c)
		for i, want := range []bool{true, false, false, true, true} {
			in := fine()
			r.set(&in, [...]float64{r.near, r.beyond, r.near, r.inside, r.near}[i])
			if got := permit.Step(&c, &s, &in).Give; got != want {
				t.Errorf("%s, step %d: give %v, want %v", name, i, got, want)
			}
		}
	}
}

// Withdrawn by the operator nothing is said, and nothing comes back.
func TestWithdraw(t *testing.T) {
	c := conditions()
	s := requested(t, &c)
	in := fine()
	in.Withdraw = true
	if out := permit.Step(&c, &s, &in); out.Give || out.Ended.Code != permit.None || s.Ended.Code != permit.None {
		t.Errorf("withdrawn: %+v", out)
	}
	in.Withdraw = false
	if permit.Step(&c, &s, &in).Give {
		t.Error("it came back")
	}
	s = requested(t, &c)
	in.Door = true
	permit.Step(&c, &s, &in)
	if in.Withdraw = true; s.Ended.Code != permit.DoorOpen {
		t.Errorf("ended %v", s.Ended)
	}
	if permit.Step(&c, &s, &in); s.Ended.Code != permit.None {
		t.Errorf("withdrawn, %v is still told", s.Ended)
	}
}

// Trips that stand when it is requested are cleared by the request; those that come later end it.
func TestTripsOfBefore(t *testing.T) {
	c := conditions()
	var s permit.State
	in := fine()
	in.Request, in.Trips = true, 8
	if !permit.Step(&c, &s, &in).Give {
		t.Fatal("a trip that the request clears stood against it")
	}
	in.Request = false
	if !permit.Step(&c, &s, &in).Give {
		t.Error("a trip of before ended it")
	}
	in.Trips = 0
	permit.Step(&c, &s, &in)
	in.Trips = 8
	if permit.Step(&c, &s, &in).Give || s.Requested {
		t.Error("a trip that came anew did not end it")
	}
}

// All that stands is told, what ends the request first.
func TestAllAreTold(t *testing.T) {
	c := conditions()
	in := fine()
	for _, r := range rows() {
		switch r.code {
		case permit.NoTarget, permit.Missing, permit.DriveHolds, permit.ClosedSector:
		default:
			r.spoil(&in)
		}
	}
	s := requested(t, &c)
	out := permit.Step(&c, &s, &in)
	var codes []permit.Code
	for _, i := range out.Inhibits {
		codes = append(codes, i.Code)
		if !known(i.Short().Code) || !known(i.Message().Code) || !known(i.Past().Code) {
			t.Errorf("code %d has no words", i.Code)
		}
		if words := i.Past().String(); i.Code.Ends() && strings.Contains(words, " is ") {
			t.Errorf("what may be gone is told as if it stood: %q", words)
		}
	}
	ends := slices.IndexFunc(codes, func(c permit.Code) bool { return !c.Ends() })
	if len(codes) < 20 || ends < 13 || slices.ContainsFunc(codes[ends:], permit.Code.Ends) {
		t.Errorf("told %v", out.Inhibits)
	}
}

// known reports that the catalogue has words for a code.
func known(code message.Code) bool { return slices.Contains(message.Codes(), code) }

// What ended a request isn't told any more once the lock-out has been released, or a new request was refused.
func TestEndedIsForgotten(t *testing.T) {
	c := conditions()
	s, in := requested(t, &c), fine()
	in.Stop = true
	permit.Step(&c, &s, &in)
	in.Stop, in.Locked = false, true
	if permit.Step(&c, &s, &in); s.Ended.Code != permit.Stopped {
		t.Errorf("locked out: ended %v", s.Ended)
	}
	in.Locked = false
	if permit.Step(&c, &s, &in); s.Ended.Code != permit.None {
		t.Errorf("released: %v is still told", s.Ended)
	}
	s = requested(t, &c)
	in.Door = true
	permit.Step(&c, &s, &in)
	in.Request, in.Door, in.HandPanel = true, false, true
	if out := permit.Step(&c, &s, &in); out.Refused.Code != permit.HandPanel || s.Ended.Code != permit.None {
		t.Errorf("refused for %v, %v is still told", out.Refused, s.Ended)
	}
}
