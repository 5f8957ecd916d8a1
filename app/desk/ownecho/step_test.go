package ownecho

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/echo"
)

// began is when the Moon stands high.
var began = time.Date(2027, 4, 14, 19, 0, 0, 300e6, time.UTC)

func config(t *testing.T) Config {
	t.Helper()
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	return Config{
		Cycles: 5, Lead: 300 * time.Millisecond, Playback: 120 * time.Millisecond, Back: 150 * time.Millisecond,
		Limit:  3 * time.Second,
		ToneHz: 1500, TransmitHz: 1296.0653e6, ReceiveHz: 1296.0653e6, Seed: 7, Sky: sky,
		Here: ephem.Site{Lat: unit.AngleFromDeg(55.02), Lon: unit.AngleFromDeg(-2.96), HeightM: 190},
	}
}

// bench steps a run through virtual time, with a transmitter that follows the key.
type bench struct {
	c      Config
	s      State
	in     Inputs
	out    Outputs
	follow time.Duration // how much later the transmitter follows
	since  time.Duration // since when the key is as it is
	key    bool
	tones  []Tone
	keys   []time.Duration // how long each transmission was ordered
	ended  []message.Code
}

func newBench(t *testing.T) *bench {
	return &bench{c: config(t), follow: 60 * time.Millisecond, in: Inputs{
		At: began, Permit: true, LinkGood: true, WindowAlive: true, MoonUp: true, SoundReady: true, KeyerReady: true,
	}}
}

const tick = 20 * time.Millisecond

// step goes on by a tick; change may change the inputs of this step, and they stay so.
func (b *bench) step(change func(*Inputs)) {
	b.in.At, b.in.Now = b.in.At.Add(tick), b.in.Now+tick
	if b.in.Now-b.since >= b.follow {
		b.in.Keyed = b.key
	}
	if change != nil {
		change(&b.in)
	}
	b.out = Step(&b.c, &b.s, &b.in)
	b.in.Start, b.in.Stop, b.in.End = false, false, false
	if b.out.Key != b.key {
		if b.key {
			b.keys = append(b.keys, b.in.Now-b.since)
		}
		b.key, b.since = b.out.Key, b.in.Now
	}
	if b.out.HasTone {
		b.tones = append(b.tones, b.out.Tone)
	}
	if b.out.Ended.Code != "" {
		b.ended = append(b.ended, b.out.Ended.Code)
	}
}

func press(in *Inputs) { in.Start = true }

// until steps on until a condition holds.
func (b *bench) until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for range 60 * 60 * 50 {
		if is() {
			return
		}
		b.step(nil)
	}
	t.Fatalf("never: %s", what)
}

func TestARun(t *testing.T) {
	b := newBench(t)
	b.step(nil)
	if b.out.Key || b.s.Running {
		t.Fatal("it runs without a press")
	}
	b.step(press)
	b.until(t, "the run ends", func() bool { return !b.s.Running })
	if !b.out.Complete || len(b.ended) != 0 || len(b.s.Plan) != 5 || len(b.tones) != 5 || len(b.keys) != 5 {
		t.Fatalf("complete %v, ended %q, %d cycles, %d tones, keyed %v", b.out.Complete, b.ended, len(b.s.Plan),
			len(b.tones), b.keys)
	}
	// Each tone lies within its transmission, on the grid, and the transmission is over before the echo.
	for i, cycle := range b.s.Plan {
		tone := b.tones[i]
		begins := tone.At.Add(-b.c.Lead)
		if !begins.Equal(begins.Truncate(Cycle)) {
			t.Errorf("cycle %d begins at %v", i, begins)
		}
		if on := cycle.ToneStartS + cycle.ToneS; on > cycle.KeyOffS-0.04 ||
			cycle.KeyOffS+b.c.Back.Seconds() > cycle.EchoStartS {
			t.Errorf("cycle %d: %+v", i, cycle)
		}
		if off := b.keys[i] - time.Duration((cycle.KeyOffS-cycle.KeyS)*1e9); off.Abs() > 2*tick {
			t.Errorf("cycle %d: keyed for %v", i, b.keys[i])
		}
		for j := range i {
			if math.Abs(cycle.ToneHz-b.s.Plan[j].ToneHz) < 3.9 {
				t.Errorf("cycles %d and %d have tones of %.1f and %.1f Hz", i, j, cycle.ToneHz, b.s.Plan[j].ToneHz)
			}
		}
	}
	if err := plan(0, b.s.Plan, &Request{SpreadHz: 12}).Validate(); err != nil {
		t.Error(err)
	}
	b.until(t, "another minute", func() bool { return b.in.At.Sub(began) > 2*time.Minute })
	if len(b.keys) != 5 {
		t.Error("it went on without a press")
	}
}

// The plan's echo is where a carrier goes through the geometry: sent by transmitter and tone, heard by the receiver,
// in upper sideband; the near face 11.6 ms before the centre.
func TestThePlanIsTheGeometry(t *testing.T) {
	b := newBench(t)
	b.step(press)
	b.until(t, "the run ends", func() bool { return !b.s.Running })
	for i, cycle := range b.s.Plan {
		middle := b.s.Began.Add(time.Duration((cycle.ToneStartS + cycle.ToneS/2) * 1e9))
		path := echo.PathFrom(b.c.Sky, b.c.Here, b.c.Here, middle)
		heard := (b.c.TransmitHz+b.tones[i].Hz)*path.Up*path.Down - b.c.ReceiveHz
		if math.Abs(heard-cycle.EchoMidHz) > 0.01 {
			t.Errorf("cycle %d: %.2f Hz, by the path %.2f", i, cycle.EchoMidHz, heard)
		}
		after := cycle.EchoStartS - cycle.ToneStartS
		if math.Abs(after-(path.DelayS()-0.01159)) > 1e-4 || after < 2.327 || after > 2.696 {
			t.Errorf("cycle %d: the echo after %.4f s, the centre's after %.4f s", i, after, path.DelayS())
		}
		if early := b.tones[i].At.Add(b.c.Playback).Sub(b.s.Began).Seconds(); math.Abs(early-cycle.ToneStartS) > 1e-6 {
			t.Errorf("cycle %d: the tone is given for %.4f s, on the air at %.4f s", i, early, cycle.ToneStartS)
		}
	}
}

// enders are all that must end a run, by the code that tells it.
var enders = map[string]func(*Inputs){
	"desk.stop-pressed":                      func(in *Inputs) { in.Stop = true },
	"desk.stop-pressed, with what it brings": func(in *Inputs) { in.Stop, in.MoonUp, in.Permit = true, false, false },
	"desk.ended-by-operator":                 func(in *Inputs) { in.End = true },
	"echoes.run.no-permit":                   func(in *Inputs) { in.Permit = false },
	"echoes.run.trip":                        func(in *Inputs) { in.Tripped = true },
	"echoes.run.link-lost":                   func(in *Inputs) { in.LinkGood = false },
	"echoes.run.window-hangs":                func(in *Inputs) { in.WindowAlive = false },
	"echoes.run.moon-low":                    func(in *Inputs) { in.MoonUp = false },
	"desk.at-dish":                           func(in *Inputs) { in.AtDish = true },
	"echoes.run.practice":                    func(in *Inputs) { in.Practice = true },
	"echoes.run.no-sound":                    func(in *Inputs) { in.SoundReady = false },
	"echoes.run.no-line":                     func(in *Inputs) { in.KeyerReady = false },
	"echoes.run.clock-set":                   func(in *Inputs) { in.At = in.At.Add(time.Second) },
	"echoes.run.clock-set backwards":         func(in *Inputs) { in.At = in.At.Add(-time.Second) },
	"echoes.run.late": func(in *Inputs) {
		in.At, in.Now = in.At.Add(time.Second),
			in.Now+time.Second
	},
}

// Whatever ends a run drops the key in that very step, silences the tone, and nothing keys again without a press,
// though all be well again.
func TestWhatEndsARun(t *testing.T) {
	for why, change := range enders {
		for _, when := range []string{"before the first cycle", "while keyed", "while listening"} {
			b := newBench(t)
			b.step(press)
			switch when {
			case "while keyed":
				b.until(t, "keyed", func() bool { return b.s.Done == 2 && b.out.Key && b.in.Keyed })
			case "while listening":
				b.until(t, "listening", func() bool { return b.s.Done == 2 && len(b.keys) == 2 })
			}
			count := len(b.keys)
			if b.key {
				count++
			}
			good := b.in
			b.step(change)
			if b.out.Key || !b.out.Silence || b.s.Running || len(b.ended) != 1 ||
				!strings.HasPrefix(why, string(b.ended[0])) {
				t.Errorf("%s, %s: key %v, silence %v, ended %q", why, when, b.out.Key, b.out.Silence, b.ended)
			}
			now, at := b.in.Now, b.in.At
			b.in = good
			b.in.Now, b.in.At = now, at
			for range 1000 {
				if b.step(nil); b.out.Key || b.out.HasTone {
					t.Fatalf("%s, %s: it keys again without a press", why, when)
				}
			}
			if len(b.keys) != count {
				t.Errorf("%s, %s: keyed %d times, expected %d", why, when, len(b.keys), count)
			}
		}
	}
}

// What would end a run keeps it from beginning.
func TestWhatRefusesARun(t *testing.T) {
	for why, change := range enders {
		if strings.Contains(why, "clock") || strings.Contains(why, "late") {
			continue
		}
		b := newBench(t)
		b.step(nil)
		b.step(func(in *Inputs) { in.Start = true; change(in) })
		if b.s.Running || b.out.Refused.Code == "" || b.out.Key {
			t.Errorf("%s: running %v, refused %q", why, b.s.Running, b.out.Refused)
		}
	}
	b := newBench(t)
	b.step(func(in *Inputs) { in.Start, in.Keyed = true, true })
	if b.s.Running || b.out.Refused.Code != "echoes.run.keyed-already" {
		t.Errorf("keyed already: %q", b.out.Refused)
	}
	for name, change := range map[string]func(*Config){
		"cycles": func(c *Config) { c.Cycles = 41 }, "no cycle": func(c *Config) { c.Cycles = 0 },
		"lead": func(c *Config) { c.Lead = time.Second }, "tone": func(c *Config) { c.ToneHz = math.NaN() },
		"dial": func(c *Config) { c.ReceiveHz = 0 }, "limit": func(c *Config) { c.Limit = time.Minute },
	} {
		b := newBench(t)
		change(&b.c)
		b.step(press)
		if b.s.Running || b.out.Refused.Code == "" {
			t.Errorf("%s: taken", name)
		}
	}
}

// With everything going wrong by chance, nothing is ever keyed in a step in which a condition fails, nor longer than a
// transmission may be, nor outside its place on the grid, nor in all for longer than a run may.
func TestNeverKeyedAgainstAnyCondition(t *testing.T) {
	for seed := range uint64(60) {
		chance := rand.New(rand.NewPCG(seed, 3))
		b := newBench(t)
		b.c.Cycles = 1 + chance.IntN(MaxCycles)
		b.follow = time.Duration(chance.IntN(400)) * time.Millisecond
		b.c.Lead = time.Duration(100+chance.IntN(400)) * time.Millisecond
		total := time.Duration(0)
		for range 8000 {
			good := b.in
			b.step(func(in *Inputs) {
				in.Start = chance.Float64() < 0.01
				if chance.Float64() < 0.002 {
					for _, change := range enders {
						if chance.IntN(6) == 0 {
							change(in)
						}
					}
				}
			})
			if b.out.Ended.Code != "" || b.out.Complete {
				total = 0
			}
			bad := !b.in.Permit || !b.in.LinkGood || !b.in.WindowAlive || !b.in.MoonUp || !b.in.SoundReady ||
				!b.in.KeyerReady ||
				b.in.Tripped || b.in.AtDish || b.in.Practice
			if b.out.Key {
				total += tick
				place := b.in.At.Sub(b.in.At.Truncate(Cycle))
				if bad || b.in.Now-b.since > b.c.Limit || place > b.c.Limit || total > MaxKeyed+tick {
					t.Fatalf("seed %d: keyed at %v of the cycle, for %v, in all %v, %+v", seed, place, b.in.Now-b.since,
						total, b.in)
				}
			}
			now, at, keyed := b.in.Now, b.in.At, b.in.Keyed
			b.in = good
			b.in.Now, b.in.At, b.in.Keyed, b.in.Start = now, at, keyed, false
		}
	}
}

// A transmitter that stays keyed is told, and the permit's end asked for; also after the run.
func TestStillKeyed(t *testing.T) {
	for _, end := range []func(*Inputs){nil, func(in *Inputs) { in.Stop = true }} {
		b := newBench(t)
		b.step(press)
		b.until(t, "keyed", func() bool { return b.out.Key && b.in.Keyed })
		b.follow = time.Hour
		b.step(end)
		b.until(t, "told", func() bool { return b.out.StillKeyed })
		if !b.out.Withdraw || b.s.Running || b.in.Now-b.since > stillKeyed+2*tick {
			t.Errorf("withdraw %v, running %v, after %v", b.out.Withdraw, b.s.Running, b.in.Now-b.since)
		}
		b.step(nil)
		if b.out.StillKeyed {
			t.Error("told again")
		}
	}
}

// Cycles count by the enclosure's bit; where it doesn't follow, three are tried.
func TestCyclesCountByTheEnclosuresBit(t *testing.T) {
	b := newBench(t)
	b.follow = time.Hour
	b.step(press)
	b.until(t, "the run ends", func() bool { return !b.s.Running })
	if len(b.s.Plan) != 0 || b.s.Done != maxMissed || b.ended[0] != "echoes.run.not-keyed" {
		t.Errorf("%d cycles count of %d, ended %q", len(b.s.Plan), b.s.Done, b.ended)
	}
	b = newBench(t)
	b.step(press)
	b.until(t, "the second cycle", func() bool { return b.s.Done == 2 })
	b.step(func(in *Inputs) { in.Keyed = true }) // by somebody else, before it
	b.until(t, "the run ends", func() bool { return !b.s.Running })
	if len(b.s.Plan) != 4 || !b.out.Complete {
		t.Errorf("%d cycles count", len(b.s.Plan))
	}
}

// By hand the panel keys nothing: it counts down to the key and to its end.
func TestByHand(t *testing.T) {
	b := newBench(t)
	b.c.ByHand, b.follow = true, time.Hour
	b.step(press)
	last, keyed := time.Duration(0), time.Duration(0)
	for b.s.Running {
		b.step(nil)
		if b.out.Key {
			t.Fatal("it keys")
		}
		if b.s.Running && b.out.KeyNow {
			keyed += tick
			if place := b.in.At.Sub(b.in.At.Truncate(Cycle)); place > b.s.burst.KeyOff {
				t.Fatalf("to be keyed at %v", place)
			}
		}
		if b.s.Running && last > tick && b.out.Countdown > last && b.out.Countdown < 100*time.Millisecond {
			t.Fatalf("the countdown goes from %v to %v", last, b.out.Countdown)
		}
		last = b.out.Countdown
		b.in.Keyed = b.out.KeyNow // the operator's hand
	}
	if len(b.s.Plan) != 5 || len(b.tones) != 5 || !b.out.Complete || (keyed-5*b.s.burst.KeyOff).Abs() > 10*tick {
		t.Errorf("%d cycles, complete %v, keyed %v", len(b.s.Plan), b.out.Complete, keyed)
	}
}

// Dithers are different in 31 cycles in a row, within 91 Hz.
func TestDither(t *testing.T) {
	c := config(t)
	for from := 0; from < 62; from += 31 {
		places := map[int]bool{}
		for i := from; i < from+31; i++ {
			d := c.dither(i)
			if math.Abs(d) > 91 {
				t.Errorf("cycle %d: %.1f Hz", i, d)
			}
			places[int(math.Round(d/ditherStep))] = true
		}
		if len(places) != 31 {
			t.Errorf("from %d: %d places", from, len(places))
		}
	}
}

// The tone is shortened where the echo comes before the receiver would be back, and refused where too little is left.
func TestBurst(t *testing.T) {
	c := config(t)
	b, err := c.BurstAt(began.Truncate(Cycle))
	if err != nil || b.Lasts != maxTone || b.KeyOff != 2470*time.Millisecond {
		t.Errorf("%+v, %v", b, err)
	}
	c.Back = 600 * time.Millisecond
	if b, err = c.BurstAt(began.Truncate(Cycle)); err != nil || b.Lasts >= maxTone ||
		b.Start+c.Playback+b.EchoAfter < b.KeyOff+c.Back {
		t.Errorf("with a slow receiver %+v, %v", b, err)
	}
	c.Limit = 1200 * time.Millisecond
	if _, err = c.BurstAt(began.Truncate(Cycle)); err == nil {
		t.Error("a tone of 0.7 s was taken")
	}
}
