package guard

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"
)

// single is a circumstance of one tick, and whether a row finds it.
type single struct {
	name   string
	code   Code
	change func(c *Config, f *Facts)
	found  bool
}

// Rows that look at one tick, at the edges of what they look for.
func TestSingleTicks(t *testing.T) {
	degrees := unit.AngleFromDeg
	wanted := func(at, to float64, trusted bool) func(*Config, *Facts) {
		return func(_ *Config, f *Facts) {
			x := &f.Axes[1]
			x.Position, x.Commanded, x.HasCommand, x.Trusted = degrees(at), degrees(to), true, trusted
		}
	}
	relay := func(v float64) func(*Config, *Facts) {
		return func(c *Config, f *Facts) {
			c.Limits.RelayLow, c.Limits.RelayHigh, f.RelayV, f.PermitRequested = 22, 29, v, true
		}
	}
	off := func(keyed bool) func(*Config, *Facts) {
		return func(_ *Config, f *Facts) { f.OffTarget, f.PermitRequested, f.Keyed = true, true, keyed }
	}
	silent := func(expected, permit bool, age time.Duration) func(*Config, *Facts) {
		return func(c *Config, f *Facts) {
			c.Limits.WindowSilence = 3 * time.Second
			f.WindowExpected, f.PermitRequested, f.WindowAge = expected, permit, age
		}
	}
	for _, w := range []single{
		{"above the upper soft limit", SoftLimit, wanted(405, 410, true), true},
		{"below the lower soft limit", SoftLimit, wanted(-45, -50, true), true},
		{"back from the lower soft limit", SoftLimit, wanted(-45, 0, true), false},
		{"far from it still", SoftLimit, wanted(0, -50, true), false},
		{"beyond it on a position that is not trusted", SoftLimit, wanted(405, 410, false), false},
		{"relay supply in its band", PermitRelaySupply, relay(25), false},
		{"relay supply too low", PermitRelaySupply, relay(21), true},
		{"relay supply too high", PermitRelaySupply, relay(30), true},
		{"off target before an over", PermitOffTarget, off(false), true},
		{"off target in an over that has begun", PermitOffTarget, off(true), false},
		{"the window silent with the permit requested", PermitWindowSilent, silent(true, true, 3001*time.Millisecond),
			true},
		{"a window that is slow alone", PermitWindowSilent, silent(true, true, 3*time.Second), false},
		{"the window silent without a request", PermitWindowSilent, silent(true, false, time.Minute), false},
		{"no window", PermitWindowSilent, silent(false, true, time.Minute), false},
	} {
		c, f := usual()
		w.change(&c, &f)
		var s State
		if Judge(&c, &f, &s); s.Stands(w.code) != w.found {
			t.Errorf("%s: found %v", w.name, s.Stands(w.code))
		}
	}
}

// An axis that is not fitted is not judged, whatever its registers read.
func TestAnAxisNotFitted(t *testing.T) {
	c, f := usual()
	c.Axes[1].Fitted = false
	f.Axes[1].EndLow, f.Axes[1].EndHigh, f.Axes[1].DriveFault = true, true, true
	var s State
	if v := Judge(&c, &f, &s); v.Count != 0 {
		t.Errorf("found %v", v.Found[:v.Count])
	}
}

// What comes and goes does not add up to the time that a row must hold.
func TestAHoldThatIsInterrupted(t *testing.T) {
	c, f := usual()
	var s State
	at := found(&c, &s, SupplyLow, 200, func(k int) Facts {
		f.Fresh = false
		if f.DriveSupplyV = 24; k%18 < 15 {
			f.DriveSupplyV = 15
		}
		return f
	})
	if at != 0 {
		t.Errorf("found after %v, though never for two seconds", at)
	}
}

// The drive stage is watched, and stays hot until it has cooled by ten degrees.
func TestTheDriveStage(t *testing.T) {
	c, f := usual()
	var s State
	degrees := func(k int) float64 {
		switch {
		case k < 10:
			return 79
		case k < 60:
			return 81
		case k < 100:
			return 71
		}
		return 69
	}
	for k := range 140 {
		f.Now, f.Fresh, f.StageC = time.Duration(k+1)*tick, false, degrees(k)
		v := Judge(&c, &f, &s)
		want := k >= 30 && k < 100
		if got := s.Standing[OverTemperature][0]; got != want || got && (v.Response != TripPower || v.First.Axis != 0) {
			t.Fatalf("tick %d, %v degrees: found %v, %v", k, f.StageC, got, v.First)
		}
	}
}

// A motor that cooled tolerates as much as before: twice two seconds at the stall current
// are too much only close together, of the four that it tolerates.
func TestTheMotorCools(t *testing.T) {
	for pause, overloaded := range map[int]bool{5: true, 200: false} {
		c, f := usual()
		c.Axes[0] = axisConfig()
		var s State
		for k := range 52 + pause {
			f.Now, f.Millis, f.Axes[0].CurrentA = time.Duration(k+1)*tick, uint32(k*100), 0
			if k < 25 || k >= 25+pause {
				f.Axes[0].CurrentA = 11.9
			}
			Judge(&c, &f, &s)
		}
		if s.Stands(MotorOverloaded) != overloaded {
			t.Errorf("after a pause of %d ticks: overloaded %v", pause, !overloaded)
		}
	}
}

// Moving without drive after a Stop is found while power is still on.
func TestMovingAfterStopWithPower(t *testing.T) {
	c, f := usual()
	f.Stopped = true
	var s State
	at := found(&c, &s, MovingAfterStop, 200, func(k int) Facts {
		f.Millis = uint32(k * 100)
		f.Axes[0].Counts = int32(max(0, k-50) / 4)
		return f
	})
	if at == 0 || s.Standing[MovingAfterStop][1] {
		t.Errorf("found after %v, elevation %v", at, s.Standing[MovingAfterStop][1])
	}
}

// Sectors run clockwise, over north too.
func TestSectors(t *testing.T) {
	degrees := unit.AngleFromDeg
	for _, w := range []struct {
		from, to, az, el float64
		holds            bool
	}{
		{350, 20, 0, 10, true}, {350, 20, 355, 10, true}, {350, 20, 15, 10, true}, {350, 20, 375, 10, true},
		{350, 20, -5, 10, true},
		{350, 20, 30, 10, false}, {350, 20, 340, 10, false}, {350, 20, 0, 31, false}, {350, 20, 0, -1, false},
		{90, 120, 100, 10, true}, {90, 120, 460, 10, true}, {90, 120, 121, 10, false}, {0, 360, 200, 10, true},
	} {
		s := Sector{From: degrees(w.from), To: degrees(w.to), Low: 0, High: degrees(30)}
		if got := s.Holds(degrees(w.az), degrees(w.el)); got != w.holds {
			t.Errorf("%v to %v holds %v, %v: %v", w.from, w.to, w.az, w.el, got)
		}
	}
	// A closed sector looks at azimuth and elevation, in that order.
	c, f := usual()
	c.Limits.Closed[0], c.Limits.ClosedCount = Sector{From: degrees(90), To: degrees(120), High: degrees(30)}, 1
	f.PermitRequested, f.AzDirection, f.ElDirection = true, degrees(100), degrees(10)
	var s State
	if Judge(&c, &f, &s); !s.Stands(PermitClosedSector) {
		t.Error("a closed sector is not found")
	}
	f.AzDirection = unit.Angle(math.Pi)
	if Judge(&c, &f, &s); s.Stands(PermitClosedSector) {
		t.Error("found outside it")
	}
}

// Every trip, and every row that says so, withdraws the transmit permit and ends the request for it.
func TestTripsEndThePermit(t *testing.T) {
	for name, w := range map[string]struct {
		change func(f *Facts)
		ends   bool
	}{
		"nothing":          {func(*Facts) {}, false},
		"a drive's fault":  {func(f *Facts) { f.Axes[1].DriveFault = true }, true},
		"the stop circuit": {func(f *Facts) { f.StopOpen = true }, true},
		"both ends":        {func(f *Facts) { f.Axes[0].EndLow, f.Axes[0].EndHigh = true, true }, true},
		"the window": {func(f *Facts) { f.WindowExpected, f.PermitRequested, f.WindowAge = true, true, time.Minute },
			true},
		"one end": {func(f *Facts) { f.Axes[0].EndLow, f.Axes[0].Position = true, unit.AngleFromDeg(-54) }, false},
	} {
		c, f := usual()
		w.change(&f)
		var s State
		if v := Judge(&c, &f, &s); v.EndPermit != w.ends || (v.Withdraw != None) != w.ends {
			t.Errorf("%s: withdrawn by %v, request ended %v", name, v.Withdraw, v.EndPermit)
		}
	}
}

// An open end blocks the way into it, of its axis alone.
func TestAnOpenEndBlocksItsDirection(t *testing.T) {
	for axis := range 2 {
		for _, upper := range []bool{false, true} {
			c, f := usual()
			x := &f.Axes[axis]
			x.EndLow, x.EndHigh, x.Position = !upper, upper, c.Axes[axis].EndLow
			if upper {
				x.Position = c.Axes[axis].EndHigh
			}
			var s State
			var low, high [2]bool
			low[axis], high[axis] = !upper, upper
			if v := Judge(&c, &f, &s); v.BlockLow != low || v.BlockHigh != high {
				t.Errorf("axis %d, upper end %v: blocked low %v, high %v", axis, upper, v.BlockLow, v.BlockHigh)
			}
		}
	}
}
