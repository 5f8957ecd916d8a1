package guard

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"
)

const tick = 100 * time.Millisecond

// found judges ticks until a row is found, and says after how long; 0: never.
func found(c *Config, s *State, code Code, ticks int, facts func(tick int) Facts) time.Duration {
	for k := range ticks {
		f := facts(k)
		f.Now = time.Duration(k+1) * tick
		if Judge(c, &f, s); s.Stands(code) {
			return f.Now
		}
	}
	return 0
}

// usual is a station with two axes and the facts of a dish that stands with power on.
func usual() (Config, Facts) {
	c := Config{Limits: DefaultLimits(), Tick: tick, Axes: [2]AxisConfig{axisConfig(), axisConfig()}}
	for i := range c.Axes {
		a := &c.Axes[i]
		a.Ramp = time.Second
		a.SoftLow, a.SoftHigh, a.EndLow, a.EndHigh = unit.AngleFromDeg(-45), unit.AngleFromDeg(405),
			unit.AngleFromDeg(-55), unit.AngleFromDeg(415)
		a.EndMargin = unit.AngleFromDeg(6)
	}
	nan := math.NaN()
	f := Facts{
		Connected: true, Fresh: true, Ours: true, Powered: true, PowerConfirmed: true, ClockOffset: 0, DriveSupplyV: 24,
		StageC:   30,
		WindMean: nan, WindGust: nan, RelayV: nan, ReflectedW: nan, CoolantC: nan, FlowLitres: nan,
	}
	for i := range f.Axes {
		f.Axes[i].CurrentA, f.Axes[i].MotorC, f.Axes[i].Trusted, f.Axes[i].Position = 0, 20, true, 1
	}
	return c, f
}

func TestClockOfTheEnclosure(t *testing.T) {
	for _, w := range []struct {
		name   string
		millis func(k int) uint32
		within time.Duration // 0: never found
	}{
		{"sound", func(k int) uint32 { return uint32(k * 100) }, 0},
		{"four per cent fast", func(k int) uint32 { return uint32(k * 104) }, 0},
		{"four per cent slow, over the wrap of its count", func(k int) uint32 { return uint32(k)*96 - 30000 }, 0},
		{"replies that come 80 ms early and late", func(k int) uint32 { return uint32(1000 + k*100 + 80*(k%2)) }, 0},
		{"stands from 3 s on", func(k int) uint32 { return uint32(min(k, 30) * 100) }, 3800 * time.Millisecond},
		{"half speed", func(k int) uint32 { return uint32(k * 50) }, 1300 * time.Millisecond},
		{"a fifth too fast", func(k int) uint32 { return uint32(k * 120) }, 3600 * time.Millisecond},
		{"jumps back", func(k int) uint32 { return uint32(100000 + k*100 - k/50*3000) }, 5200 * time.Millisecond},
	} {
		c, f := usual()
		var s State
		at := found(&c, &s, EnclosureClock, 600, func(k int) Facts { f.Millis = w.millis(k); return f })
		if w.within == 0 && at != 0 || w.within != 0 && (at == 0 || at > w.within) {
			t.Errorf("%s: found after %v, want within %v", w.name, at, w.within)
		}
	}
}

// A start of the enclosure restarts its clock; that is no fault.
func TestClockAfterARestart(t *testing.T) {
	c, f := usual()
	var s State
	at := found(&c, &s, EnclosureClock, 200, func(k int) Facts {
		f.Millis, f.Restarted = uint32(k*100), k == 50
		if k >= 50 {
			f.Millis = uint32((k - 50) * 100)
		}
		return f
	})
	if at != 0 {
		t.Errorf("found after %v", at)
	}
}

func TestObedience(t *testing.T) {
	ramp := func(k int, to float64) float64 { return min(to, float64(k)*0.1) }
	type drive struct{ demand, applied float64 }
	for _, w := range []struct {
		name   string
		drive  func(k int) drive
		change func(c *AxisConfig, f *Facts, x *AxisFacts)
		within time.Duration // 0: never found
	}{
		{name: "follows at its ramp", drive: func(k int) drive { return drive{1, ramp(k, 1)} }},
		{name: "follows downwards and back", drive: func(k int) drive {
			v := math.Sin(float64(k) / 20)
			return drive{v, v}
		}},
		{name: "a brake holds it back for 1.5 s", drive: func(k int) drive {
			if k < 15 {
				return drive{0.8, 0}
			}
			return drive{0.8, ramp(k-15, 0.8)}
		}},
		{name: "nothing is applied", drive: func(int) drive { return drive{0.5, 0} }, within: 2700 * time.Millisecond},
		{name: "half is applied", drive: func(int) drive { return drive{1, 0.5} }, within: 3700 * time.Millisecond},
		{name: "little is applied of little", drive: func(int) drive { return drive{0.05, 0} },
			within: 2800 * time.Millisecond},
		{name: "short pushes come to nothing", drive: func(k int) drive {
			if k%20 < 3 {
				return drive{0.06, 0}
			}
			return drive{}
		}, within: 20 * time.Second},
		{name: "short pushes", drive: func(k int) drive {
			if k%20 < 3 {
				return drive{0.06, 0.06}
			}
			return drive{}
		}},
		{name: "goes on when nothing is demanded", drive: func(k int) drive {
			if k < 30 {
				return drive{0.8, ramp(k, 0.8)}
			}
			return drive{0, 0.8}
		}, within: 4600 * time.Millisecond},
		{name: "three fixed speeds, the one above", drive: func(k int) drive {
			if k < 30 {
				return drive{0.4, math.Ceil(3*ramp(k, 0.4)) / 3}
			}
			return drive{}
		}, change: func(c *AxisConfig, _ *Facts, _ *AxisFacts) { c.Speeds = 3 }},
		{name: "one fixed speed, goes on when nothing is demanded", drive: func(k int) drive {
			if k < 30 {
				return drive{1, 1}
			}
			return drive{0, 1}
		}, within: 4900 * time.Millisecond, change: func(c *AxisConfig, _ *Facts, _ *AxisFacts) { c.Speeds = 1 }},
		{name: "drives the other way", drive: func(k int) drive { return drive{0.4, -ramp(k, 0.4)} },
			within: 1300 * time.Millisecond},
		{name: "drives without power", drive: func(int) drive { return drive{0, 0.3} }, within: 2 * time.Second,
			change: func(_ *AxisConfig, f *Facts, _ *AxisFacts) { f.Powered, f.Ours = false, false }},
		{name: "nothing into the open end", drive: func(int) drive { return drive{1, 0} },
			change: func(_ *AxisConfig, _ *Facts, x *AxisFacts) { x.EndHigh = true }},
		{name: "nothing away from the open end", drive: func(int) drive { return drive{-1, 0} },
			within: 2700 * time.Millisecond,
			change: func(_ *AxisConfig, _ *Facts, x *AxisFacts) { x.EndHigh = true }},
		{name: "nothing without power", drive: func(int) drive { return drive{1, 0} },
			change: func(_ *AxisConfig, f *Facts, _ *AxisFacts) { f.Powered = false }},
		{name: "three fixed speeds, the one below",
			drive:  func(k int) drive { return drive{0.6, math.Floor(3*ramp(k, 0.6)) / 3} },
			change: func(c *AxisConfig, _ *Facts, _ *AxisFacts) { c.Speeds = 3 }},
		{name: "three fixed speeds, less than the lowest", drive: func(int) drive { return drive{0.3, 0} },
			change: func(c *AxisConfig, _ *Facts, _ *AxisFacts) { c.Speeds = 3 }},
		{name: "three fixed speeds, none", drive: func(int) drive { return drive{0.7, 0} }, within: 4 * time.Second,
			change: func(c *AxisConfig, _ *Facts, _ *AxisFacts) { c.Speeds = 3 }},
	} {
		c, f := usual()
		if w.change != nil {
			w.change(&c.Axes[0], &f, &f.Axes[0])
		}
		var s State
		at := found(&c, &s, NotObeyed, 300, func(k int) Facts {
			d := w.drive(k)
			f.Millis = uint32(k * 100)
			x := &f.Axes[0]
			x.Counts += int32(math.Round(d.applied * 2))
			x.Demand, x.Applied = d.demand, d.applied
			return f
		})
		if w.within == 0 && at != 0 || w.within != 0 && (at == 0 || at > w.within) {
			t.Errorf("%s: found after %v, want within %v (%+v)", w.name, at, w.within, s.Obedience[0])
		}
		if s.Standing[NotObeyed][1] {
			t.Errorf("%s: found on the other axis too", w.name)
		}
	}
}

// A line that was cut says nothing of the drive meanwhile.
func TestObedienceOverAGap(t *testing.T) {
	c, f := usual()
	var s State
	at := found(&c, &s, NotObeyed, 100, func(k int) Facts {
		x := &f.Axes[0]
		f.Fresh = k < 20 || k >= 50
		f.Millis = uint32(k * 100)
		f.ReplyAge = 0
		if !f.Fresh {
			f.ReplyAge = time.Duration(k-19) * tick
		}
		if x.Demand = 0.8; k < 20 {
			x.Applied = min(0.8, float64(k)*0.1)
		} else if k < 55 {
			x.Applied = 0 // the watchdog's; it begins again
		} else {
			x.Applied = min(0.8, float64(k-55)*0.1)
		}
		return f
	})
	if at != 0 {
		t.Errorf("found after %v", at)
	}
}

func TestPursuit(t *testing.T) {
	degrees := unit.AngleFromDeg
	for _, w := range []struct {
		name     string
		goal, is func(k int) float64
		change   func(c *AxisConfig, f *Facts)
		within   time.Duration // 0: never found
	}{
		{name: "comes to it at half speed", goal: func(int) float64 { return 60 },
			is: func(k int) float64 { return min(60, 0.075*float64(k)) }},
		{name: "stands", goal: func(int) float64 { return 60 }, is: func(int) float64 { return 0 },
			within: 9 * time.Second},
		{name: "goes away from it", goal: func(int) float64 { return 60 },
			is: func(k int) float64 { return -0.05 * float64(k) }, within: 9 * time.Second},
		{name: "comes on a tenth as fast as it can", goal: func(int) float64 { return 60 },
			is: func(k int) float64 { return 0.015 * float64(k) }, within: 9 * time.Second},
		{name: "half a degree off", goal: func(int) float64 { return 0.5 }, is: func(int) float64 { return 0 }},
		{name: "a slow target runs away from it", goal: func(k int) float64 { return 5 + 0.02*float64(k) },
			is: func(int) float64 { return 0 }, within: 9 * time.Second},
		{name: "a target too fast for it", goal: func(k int) float64 { return 5 + 0.12*float64(k) },
			is: func(k int) float64 { return 0.1 * float64(k) }},
		{name: "another place every five seconds", goal: func(k int) float64 { return 20 + float64(k/50) },
			is: func(int) float64 { return 0 }},
		{name: "not driven to it", goal: func(int) float64 { return 60 }, is: func(int) float64 { return 0 },
			change: func(_ *AxisConfig, f *Facts) { f.Axes[0].Pursued = false }},
		{name: "without power", goal: func(int) float64 { return 60 }, is: func(int) float64 { return 0 },
			change: func(_ *AxisConfig, f *Facts) { f.Powered = false }},
		{name: "a slow fixed speed", goal: func(int) float64 { return 60 },
			is:     func(k int) float64 { return 0.011 * float64(k) },
			change: func(c *AxisConfig, _ *Facts) { c.Speeds, c.Slowest = 3, degrees(0.1) }},
	} {
		c, f := usual()
		f.Axes[0].Pursued = true
		if w.change != nil {
			w.change(&c.Axes[0], &f)
		}
		var s State
		at := found(&c, &s, NoProgress, 400, func(k int) Facts {
			f.Millis = uint32(k * 100)
			f.Axes[0].Goal, f.Axes[0].Position = degrees(w.goal(k)), degrees(w.is(k))
			return f
		})
		if w.within == 0 && at != 0 || w.within != 0 && (at == 0 || at > w.within) {
			t.Errorf("%s: found after %v, want within %v", w.name, at, w.within)
		}
	}
}
