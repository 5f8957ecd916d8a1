//go:build peers

package rig

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive"
	"beamhelm/drive/guard"
	"beamhelm/drive/link"
	"beamhelm/drive/mount"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/step"
)

// panel is the panel's own loop over a firmware with the simulated dish of
// practice behind its pins, in virtual time.
type panel struct {
	t    *testing.T
	rig  *Rig
	dish *Plant
	line *Line
	link *link.Memory
	loop *drive.Loop
	tick time.Duration
	now  step.Nanos
}

// newPanel returns one whose positions are trusted, with its drives off.
func newPanel(t *testing.T, body Body, rows map[string][]int64, dish plant.Config, c step.Config) *panel {
	t.Helper()
	p := &panel{t: t, rig: New(t, body, stationWith(t, rows)), tick: c.Tick}
	var err error
	if p.dish, err = NewPlant(p.rig, dish); err != nil {
		t.Fatal(err)
	}
	p.line = NewLine(p.rig)
	p.rig.For(100 * time.Millisecond)
	var kept [2]mount.Reference
	truth := p.dish.Truth()
	for i := range kept {
		// The firmware's counter stood at 0 where the dish's stood at its base.
		zero := truth.ZeroAngle[i] + unit.Angle(p.dish.Base()[i])*c.Axes[i].Scale.Step
		kept[i] = mount.Reference{Zero: mount.Zero{Angle: zero}, Start: 1, Origin: mount.ByHand,
			LastCounts: p.rig.shown[i]}
	}
	p.link = link.NewMemory(p.line, 1)
	p.loop, err = drive.New(p.link, drive.Config{Step: c, Kept: step.Kept{References: kept}})
	if err != nil {
		t.Fatal(err)
	}
	p.now = p.line.Now()
	return p
}

func (p *panel) pass() {
	p.loop.Tick(p.now, time.Unix(1_800_000_000, 0).Add(p.now))
	p.now += p.tick
	p.line.RunTo(p.now)
}

func (p *panel) run(d time.Duration) {
	for end := p.now + d; p.now < end; {
		p.pass()
	}
}

// until lets time pass until something holds, and fails where it never does.
func (p *panel) until(d time.Duration, what string, holds func(s *step.Status) bool) {
	p.t.Helper()
	for end := p.now + d; p.now < end; p.pass() {
		if holds(p.loop.Status()) {
			return
		}
	}
	s := p.loop.Status()
	p.t.Fatalf("%s: not within %v; mode %v, locked %v by %v, at %.2f %.2f; %v", what, d, s.Mode, s.Lock.Locked,
		s.Lock.Cause.Code,
		s.Axes[0].Position.Deg(), s.Axes[1].Position.Deg(), p.loop.EventsSince(0))
}

func (p *panel) powerOn() {
	p.t.Helper()
	p.run(2 * time.Second)
	p.loop.Ask(step.Power{On: true, Asked: true})
	p.until(5*time.Second, "power on", func(s *step.Status) bool { return s.Power == step.PowerOn })
}

func (p *panel) slew(az, el float64) {
	p.loop.Ask(step.Slew{To: mount.AxisAngles{Az: unit.AngleFromDeg(az), El: unit.AngleFromDeg(el)}, Asked: true})
}

func (p *panel) place(i int) float64 { return p.dish.Truth().Axis[i].Deg() }

// moon goes as the Moon does at 55 degrees north, at a declination of 15
// degrees, from an hour angle of -60 degrees at moment 0.
func moon(at time.Duration) (az, el float64) {
	const lat, dec = 55 * math.Pi / 180, 15 * math.Pi / 180
	h := (-60 + 14.49*at.Hours()) * math.Pi / 180
	sinEl := math.Sin(lat)*math.Sin(dec) + math.Cos(lat)*math.Cos(dec)*math.Cos(h)
	az = math.Atan2(-math.Cos(dec)*math.Sin(h), math.Sin(dec)*math.Cos(lat)-math.Cos(dec)*math.Sin(lat)*math.Cos(h))
	return unit.Angle(az).Mod1().Deg(), math.Asin(sinEl) * 180 / math.Pi
}

// follow hands the loop the next minute of the Moon's way.
func (p *panel) follow() {
	var c step.Course
	c.Count = step.MaxKnots
	const h = 500 * time.Millisecond
	for k := range c.Knots {
		at := p.now + time.Duration(k)*4*time.Second
		az, el := moon(at)
		az1, el1 := moon(at - h)
		az2, el2 := moon(at + h)
		c.Knots[k] = step.Knot{At: at,
			Axes:   mount.AxisAngles{Az: unit.AngleFromDeg(az), El: unit.AngleFromDeg(el)},
			AzRate: (az2 - az1) * math.Pi / 180, ElRate: (el2 - el1) * math.Pi / 180}
	}
	p.loop.Hand(drive.Orders{Stops: p.loop.Stops(), Course: c, HasCourse: true})
}

// stillAir is a dish without wind, some degrees before the Moon, and a drive at its tightest.
func stillAir() (plant.Config, step.Config) {
	dish, c := plant.Default(), step.Default()
	dish.Seed, dish.Wind.MeanMPS, dish.Wind.Turbulence = 3, 0, 0
	az, el := moon(0)
	dish.Axes[0].Place, dish.Axes[1].Place = unit.AngleFromDeg(az-20), unit.AngleFromDeg(el-8)
	for i := range c.Axes {
		c.Axes[i].Tolerance = 0
	}
	return dish, c
}

// silence is how long no reply has come; it is the cause of an end of tracking only where that was two link-loss times,
// less what the ticks take.
type silence struct {
	good     uint64
	since    step.Nanos
	lockOuts int
}

// maxSilent is how long replies may be missing before the panel locks out: registers.md.
const maxSilent = 1800 * time.Millisecond

// look sees whether the panel follows on. Where it was right to end that, an operator releases it and tracks again.
func (s *silence) look(p *panel) {
	status := p.loop.Status()
	quiet := p.now - s.since
	if good := p.link.Status().Quiet.Good; good != s.good {
		s.good, s.since = good, p.now
	}
	if status.Mode == step.Following || !status.Lock.Locked && p.now < 10*time.Second {
		return
	}
	if !status.Lock.Locked || status.Lock.Cause.Code != guard.LinkSilent || quiet < maxSilent {
		p.t.Fatalf("no longer following, %v after the last good reply: %v, %v; %v", quiet, status.Mode,
			status.Lock.Cause.Code, p.loop.EventsSince(0))
	}
	s.lockOuts++
	p.t.Logf("locked out after %v without a good reply", quiet)
	p.until(time.Minute, "release", func(s *step.Status) bool {
		if s.Lock.Locked {
			p.loop.Ask(step.Release{})
		}
		return !s.Lock.Locked
	})
	p.powerOn()
	p.follow()
	p.loop.Ask(step.Follow{Asked: true})
	p.run(10 * time.Second)
	s.since = p.now
}

// tracked follows the Moon for that long after a minute and 20 degrees of way to it, and judges the true error. At most
// so many lock-outs may come in between.
func tracked(t *testing.T, body Body, d time.Duration, maxRMS, maxP99 float64, spoil func(byte, bool) (byte, bool)) {
	dish, c := stillAir()
	p := newPanel(t, body, map[string][]int64{}, dish, c)
	p.powerOn()
	p.follow()
	p.loop.Ask(step.Follow{Asked: true})
	p.rig.Spoil = spoil
	settled := p.now + 90*time.Second
	var off [2][]float64
	var silent silence
	for k := 0; p.now < settled+d; k++ {
		if k%10 == 0 {
			p.follow()
		}
		p.pass()
		silent.look(p)
		az, el := moon(p.now)
		for i, want := range [2]float64{az, el} {
			if p.now > settled {
				off[i] = append(off[i], math.Abs(math.Remainder(p.place(i)-want, 360)))
			}
		}
	}
	p.rig.Spoil = nil
	// Half of the exchanges fail on a line with 1 % spoilt bytes; 18 in a row, once in some hours.
	if spoil == nil && silent.lockOuts > 0 || silent.lockOuts > 2 {
		t.Errorf("%d lock-outs", silent.lockOuts)
	}
	for i, name := range [2]string{"azimuth", "elevation"} {
		slices.Sort(off[i])
		sum := 0.0
		for _, v := range off[i] {
			sum += v * v
		}
		rms, p99 := math.Sqrt(sum/float64(len(off[i]))), off[i][len(off[i])*99/100]
		t.Logf("%s, the Moon for %v, %s: rms %.4f, 99 %% %.4f, worst %.4f degrees", body, d, name, rms, p99,
			off[i][len(off[i])-1])
		if rms > maxRMS || p99 > maxP99 {
			t.Errorf("%s: rms %.4f, 99 %% %.4f: must be at most %v and %v", name, rms, p99, maxRMS, maxP99)
		}
	}
}

// TestTracksTheMoon: within the goals of ./bench motion against the simulated enclosure in still air.
func TestTracksTheMoon(t *testing.T) {
	t.Parallel()
	tracked(t, Chip, trackFor, 0.015, 0.035, nil)
}

// TestTracksThroughSpoiltBytes: one byte in a hundred is wrong or missing, both
// ways. A tick has 74, so more than half of the ticks fail; the panel
// follows on, and locks out only after a silence that is long enough for it.
func TestTracksThroughSpoiltBytes(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 22))
	spoilt := 0
	tracked(t, Native, trackFor/2, 0.05, 0.15, func(b byte, _ bool) (byte, bool) {
		if random.IntN(100) != 0 {
			return b, true
		}
		spoilt++
		return b ^ byte(1<<random.IntN(8)), random.IntN(4) != 0
	})
	t.Logf("%d bytes were spoilt", spoilt)
}

// TestPanelSlews: from place to place, to an end that is not where it should be, and away from it.
func TestPanelSlews(t *testing.T) {
	t.Parallel()
	dish, c := stillAir()
	dish.Axes[0].EndHigh = unit.AngleFromDeg(130)
	dish.Axes[0].Place = unit.AngleFromDeg(110)
	p := newPanel(t, Chip, everything19200(), dish, c)
	p.powerOn()
	for _, to := range [][2]float64{{115, 40}, {105, 45}} {
		p.slew(to[0], to[1])
		p.until(90*time.Second, "slew", func(s *step.Status) bool {
			return s.Mode == step.Holding && math.Abs(p.place(0)-to[0]) < 0.15 && math.Abs(p.place(1)-to[1]) < 0.15
		})
	}
	p.slew(150, 45) // beyond the end switch, which opens first
	p.until(90*time.Second, "the end switch", func(*step.Status) bool { return p.dish.Out.Axes[0].EndHigh })
	p.run(3 * time.Second)
	if d := p.rig.Driven(0); d > 0 || !p.rig.Until(10*time.Millisecond,
		func() bool { return p.rig.Seen.Duty[0] == 0 || p.rig.Driven(0) < 0 }) {
		t.Errorf("driven by %.2f into the end", d)
	}
	// The switch is not where the panel has it: the position is in doubt, and the axis is jogged away.
	if s := p.loop.Status(); s.Axes[0].Trusted || !s.Axes[1].Trusted {
		t.Errorf("referenced: azimuth %v, elevation %v", s.Axes[0].Trusted, s.Axes[1].Trusted)
	}
	p.until(60*time.Second, "away from the end", func(*step.Status) bool {
		p.loop.Ask(step.Jog{AzSpeed: -0.3, Asked: true})
		return p.place(0) < 129 && !p.dish.Out.Axes[0].EndHigh
	})
}

// everything19200 is everything fitted on a line of the usual speed.
func everything19200() map[string][]int64 {
	rows := everything()
	rows["baud"] = []int64{19200}
	return rows
}

// TestPanelSeesFaults: each thing done at the dish in a slew ends it, the panel
// locks out with the right cause, and after it is mended and released it slews again.
func TestPanelSeesFaults(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		name  string
		fault plant.Fault
	}{
		{"stop circuit", plant.Fault{Kind: plant.StopCircuitOpen}},
		{"hand panel", plant.Fault{Kind: plant.HandPanelTaken}},
		{"drive fault", plant.Fault{Kind: plant.DriveStageFault}},
		{"drive power", plant.Fault{Kind: plant.SupplyGone}},
		{"both ends", plant.Fault{Kind: plant.EndWireBroken}},
	} {
		dish, c := stillAir()
		p := newPanel(t, Chip, everything19200(), dish, c)
		p.powerOn()
		from := p.place(0)
		p.slew(from+30, p.place(1)+5)
		p.until(20*time.Second, "under way", func(*step.Status) bool { return math.Abs(p.place(0)-from) > 3 })
		if err := p.dish.Put(row.fault); err != nil {
			t.Fatal(err)
		}
		p.until(3*time.Second, row.name, func(*step.Status) bool {
			return p.rig.Driven(0) == 0 || row.fault.Kind == plant.HandPanelTaken && !p.rig.High("CONTACTOR")
		})
		p.run(2 * time.Second)
		s := p.loop.Status()
		t.Logf("%-13s mode %v, locked %v, cause %v", row.name, s.Mode, s.Lock.Locked, s.Lock.Cause.Code)
		if s.Mode == step.Slewing || p.rig.High("CONTACTOR") && s.Lock.Locked {
			t.Errorf("%s: mode %v, contactor %v", row.name, s.Mode, p.rig.High("CONTACTOR"))
		}
		p.Stop()
	}
}

func (p *panel) Stop() { p.rig.Process.Stop() }

// TestPanelAndCutCable: the cable is cut in a slew and comes back.
func TestPanelAndCutCable(t *testing.T) {
	t.Parallel()
	dish, c := stillAir()
	p := newPanel(t, Chip, everything19200(), dish, c)
	p.powerOn()
	from := p.place(0)
	p.slew(from+30, p.place(1))
	p.until(20*time.Second, "under way", func(*step.Status) bool { return math.Abs(p.place(0)-from) > 3 })
	p.line.Cut = true
	cut := p.now
	for p.rig.Driven(0) != 0 && p.now < cut+5*time.Second {
		p.pass()
	}
	t.Logf("cable cut: nothing on the bridges within %v, to a tick", p.now-cut)
	if p.now-cut > 1300*time.Millisecond {
		t.Errorf("the dish is driven for %v", p.now-cut)
	}
	p.run(3 * time.Second)
	p.line.Cut = false
	p.until(5*time.Second, "the link back", func(s *step.Status) bool { return s.Link.State == step.LinkGood })
	p.run(time.Second)
	if p.rig.Driven(0) != 0 || p.rig.High("CONTACTOR") {
		t.Error("it drives by itself as the cable comes back")
	}
}

// TestPanelAndBrownOut: the chip restarts in a slew, and the panel trusts no position by the old counts.
func TestPanelAndBrownOut(t *testing.T) {
	t.Parallel()
	dish, c := stillAir()
	p := newPanel(t, Chip, everything19200(), dish, c)
	p.powerOn()
	from := p.place(0)
	p.slew(from+30, p.place(1))
	p.until(20*time.Second, "under way", func(*step.Status) bool { return math.Abs(p.place(0)-from) > 3 })
	p.rig.Reset(4)
	p.run(4 * time.Second)
	s := p.loop.Status()
	if p.rig.Driven(0) != 0 || s.Axes[0].Trusted || s.Axes[1].Trusted {
		t.Errorf("driven by %.2f, positions trusted %v %v", p.rig.Driven(0), s.Axes[0].Trusted, s.Axes[1].Trusted)
	}
}
