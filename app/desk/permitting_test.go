package desk

import (
	"math"
	"slices"
	"testing"
	"time"

	"beamhelm/app/desk/permit"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
)

// onTarget lets the dish stand on the target.
func (b *bench) onTarget() {
	d, _, _ := b.c.Place(b.s.Choice, b.at)
	axes := b.s.chain(&b.c).Axes(d)
	b.loop.Axes[0].Position, b.loop.Axes[1].Position = axes.Az, axes.El
}

// transmitting is a bench with the permit given, on the Moon.
func transmitting(t *testing.T) *bench {
	t.Helper()
	b := newBench(t)
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	b.onTarget()
	b.after(100*time.Millisecond, Permit{On: true})
	if b.kinds() != "permit" || !b.loop.Permit.Granted {
		t.Fatalf("commands %q, inhibits %v", b.kinds(), b.out.Status.Transmit.Inhibits)
	}
	return b
}

func (b *bench) inhibited(code permit.Code) bool {
	for _, i := range b.out.Status.Transmit.Inhibits {
		if i.Code == code {
			return true
		}
	}
	return false
}

// Somebody at the dish: permit off and refused, drive power off, and both said.
func TestNothingIsTransmittedWithSomebodyAtTheDish(t *testing.T) {
	b := transmitting(t)
	b.after(100*time.Millisecond, Working{On: true})
	if b.kinds() != "working power permit" || b.loop.Power != step.PowerOff || b.loop.Permit.Granted ||
		b.out.Status.PermitRequested {
		t.Fatalf("commands %q, power %v, permit %v", b.kinds(), b.loop.Power, b.loop.Permit)
	}
	if !b.said("desk.working-at-dish") ||
		!b.said("permit.withdrawn-again") || !b.said("permit.working") {
		t.Errorf("said %v", b.out.Events)
	}
	b.after(time.Second, Permit{On: true})
	if b.kinds() != "" || b.out.Status.PermitRequested ||
		!b.said("permit.refused") || !b.said("permit.working") {
		t.Errorf("requested meanwhile: commands %q, said %v", b.kinds(), b.out.Events)
	}
	b.after(time.Second, Working{})
	b.onTarget()
	b.after(time.Second)
	if b.loop.Permit.Requested || b.out.Status.PermitRequested {
		t.Error("the permit came back by itself")
	}
	b.after(time.Second, Permit{On: true})
	if !b.loop.Permit.Granted {
		t.Errorf("requested anew: %v", b.out.Status.Transmit.Inhibits)
	}
}

// After a trip, a lock-out, Stop, a lost link, another band or a drive that withdrew
// it the permit is requested again.
func TestThePermitIsRequestedAnew(t *testing.T) {
	for name, row := range map[string]struct {
		spoil func(b *bench)
		mend  func(b *bench)
		order []Order
	}{
		"lock-out": {func(b *bench) { b.loop.Mode, b.loop.Lock.Locked = step.LockedOut, true },
			func(b *bench) { b.loop.Mode, b.loop.Lock.Locked = step.Holding, false }, nil},
		"Stop": {order: []Order{Stop{}}},
		"link": {func(b *bench) { b.loop.Link.State = step.LinkLost },
			func(b *bench) { b.loop.Link.State = step.LinkGood }, nil},
		"trip at the enclosure": {func(b *bench) { b.loop.Motion.Trips = enclosure.TripPower },
			func(b *bench) { b.loop.Motion.Trips = 0 }, nil},
		"guard": {func(b *bench) { b.loop.Permit.Because = guard.StopCircuit },
			func(b *bench) { b.loop.Permit.Because = guard.None }, nil},
		"the drive": {func(b *bench) { b.loop.Permit = step.PermitStatus{} }, nil, nil},
		"door": {func(b *bench) { b.loop.Motion.State = enclosure.StateDoor },
			func(b *bench) { b.loop.Motion.State = 0 }, nil},
		"hand panel": {func(b *bench) { b.loop.Motion.State = enclosure.StateHand },
			func(b *bench) { b.loop.Motion.State = 0 }, nil},
		"band": {order: []Order{BandTo{Band: 1}}},
		"feed": {order: []Order{BandTo{Band: 0, Feed: 1}}},
		"sequencer": {func(b *bench) { b.read(enclosure.Sequencer, enclosure.SequencerFault) },
			func(b *bench) { b.read(enclosure.Sequencer, 0) }, nil},
		"reference": {func(b *bench) { b.loop.Axes[0].Trusted = false },
			func(b *bench) { b.loop.Axes[0].Trusted = true }, nil},
	} {
		t.Run(name, func(t *testing.T) {
			b := transmitting(t)
			bands := slices.Clone(b.c.Settings.Bands)
			bands[0].Feeds = append(slices.Clone(bands[0].Feeds), bands[0].Feeds[0])
			b.c.Settings.Bands = bands
			for range 20 {
				b.after(100 * time.Millisecond)
				b.onTarget()
			}
			if row.spoil != nil {
				row.spoil(b)
			}
			b.after(100*time.Millisecond, row.order...)
			if b.loop.Permit.Requested || b.out.Status.PermitRequested ||
				b.out.Status.Transmit.Ended.Code == permit.None ||
				!b.said("permit.withdrawn-again") {
				t.Fatalf("permit %+v, ended %v, said %v", b.loop.Permit, b.out.Status.Transmit.Ended, b.out.Events)
			}
			if row.mend != nil {
				row.mend(b)
			}
			for range 20 {
				b.onTarget()
				b.after(100 * time.Millisecond)
			}
			if b.loop.Permit.Requested {
				t.Fatal("it came back by itself")
			}
			b.after(100*time.Millisecond, Permit{On: true})
			if !b.loop.Permit.Granted {
				t.Errorf("requested anew: %v", b.out.Status.Transmit.Inhibits)
			}
		})
	}
}

// What only holds the permit gives it back by itself.
func TestThePermitIsHeld(t *testing.T) {
	for name, row := range map[string]struct {
		put  func(b *bench)
		code permit.Code
	}{
		"off the target":  {func(b *bench) { b.loop.Axes[0].Position += degrees(93) }, permit.OffTarget},
		"too low":         {func(b *bench) { b.loop.Axes[1].Position = degrees(3) }, permit.LowElevation},
		"slewing":         {func(b *bench) { b.loop.Mode = step.Slewing }, permit.Slewing},
		"jogging":         {func(b *bench) { b.loop.Mode = step.Jogging }, permit.Slewing},
		"relay supply":    {func(b *bench) { b.read(enclosure.RelaySupply, 15) }, permit.TooLow},
		"coolant in cold": {func(b *bench) { b.read(enclosure.CoolantIn, -20) }, permit.TooLow},
		"coolant in hot":  {func(b *bench) { b.read(enclosure.CoolantIn, 60) }, permit.TooHigh},
		"coolant out":     {func(b *bench) { b.read(enclosure.CoolantOut, -20) }, permit.TooLow},
		"coolant flow":    {func(b *bench) { b.read(enclosure.CoolantFlow, 1) }, permit.TooLow},
		"drive":           {func(b *bench) { b.loop.Permit.Because = guard.PermitOffTarget }, permit.DriveHolds},
	} {
		t.Run(name, func(t *testing.T) {
			b := transmitting(t)
			kept := b.loop
			row.put(b)
			b.after(100 * time.Millisecond)
			if b.loop.Permit.Granted || !b.loop.Permit.Requested || !b.inhibited(row.code) ||
				!b.said("permit.inhibited") {
				t.Fatalf("permit %+v, inhibits %v, said %v", b.loop.Permit, b.out.Status.Transmit.Inhibits,
					b.out.Events)
			}
			held := b.loop.Permit
			b.loop = kept
			b.loop.Permit = held
			b.loop.Permit.Because = guard.None
			b.onTarget()
			b.after(100 * time.Millisecond)
			if row.code == permit.TooLow || row.code == permit.TooHigh {
				return // a reading that is no longer there is missing
			}
			if !b.loop.Permit.Granted {
				t.Errorf("it did not come back: %v", b.out.Status.Transmit.Inhibits)
			}
		})
	}
}

// The settings make the conditions: each of them changes one.
func TestPermitConfig(t *testing.T) {
	s := settings.Practice()
	s.Sun.KeepAwayDeg = 4
	s.ClosedSectors = []settings.ClosedSector{{Name: "a", FromDeg: 1, ToDeg: 2, ToElevationDeg: 3,
		Bands: []string{"5760 MHz"}}}
	c := permitConfig(&s)
	if c.KeepFromSunDeg != 4 || len(c.Sectors) != 1 || len(c.Sectors[0].Bands) != 1 || c.Sectors[0].Bands[0] != 1 {
		t.Errorf("Sun %v, sectors %+v", c.KeepFromSunDeg, c.Sectors)
	}
	if c.MinElevationDeg != 5 || c.OffTargetBeamwidths != 0.5 || c.MaxSWR != 3 || c.WhileSlewing {
		t.Errorf("by default %+v", c)
	}
	if l := c.Limits[permit.Relay]; l.Low != 21 || l.High != 31 {
		t.Errorf("relay %+v", l)
	}
	s.Permit.NearSun, s.Permit.Coolant, s.Permit.PreamplifierRelay = true, false, false
	c = permitConfig(&s)
	for i, l := range c.Limits {
		if !math.IsNaN(l.Low) || !math.IsNaN(l.High) {
			t.Errorf("%s is judged all the same", c.Labels[i].Name)
		}
	}
	if c.KeepFromSunDeg != 0 {
		t.Error("the Sun is judged all the same")
	}
}

// The request is renewed, so that a loop whose desk is gone drops it.
func TestThePermitIsRenewed(t *testing.T) {
	b := transmitting(t)
	renewed := 0
	for range 40 {
		b.after(100 * time.Millisecond)
		b.onTarget()
		for _, m := range sent[step.Permit](b) {
			if m.On && !m.Asked {
				renewed++
			}
		}
	}
	if renewed < 7 || renewed > 9 || b.c.Drive.PermitLife != permitLife {
		t.Errorf("renewed %d times in 4 s, life %v", renewed, b.c.Drive.PermitLife)
	}
}

// A request that waiting can not help is refused in words at once, and is not kept.
func TestThePermitIsRefused(t *testing.T) {
	for code, spoil := range map[message.Code]func(b *bench){
		"permit.not-referenced": func(b *bench) { b.loop.Axes[1].Trusted = false },
		"permit.no-target": func(b *bench) {
			b.s.Choice =
				b.c.Target(BodyChoice{Kind: Source, Name: "none of this name"})
		},
		"permit.locked-out": func(b *bench) { b.loop.Mode, b.loop.Lock.Locked = step.LockedOut, true },
		"permit.link-lost":  func(b *bench) { b.loop.Link.State = step.LinkLost },
		"permit.door":       func(b *bench) { b.loop.Motion.State = enclosure.StateDoor },
		"permit.missing": func(b *bench) {
			b.read(enclosure.CoolantFlow, 5)
			b.after(0)
			b.read(enclosure.CoolantFlow, math.NaN())
			b.loop.Readings.Read &^= 1 << enclosure.CoolantFlow
		},
	} {
		t.Run(string(code), func(t *testing.T) {
			b := newBench(t)
			kept := b.s.Choice
			spoil(b)
			b.after(time.Second, Permit{On: true})
			if b.kinds() != "" || b.out.Status.PermitRequested || !b.said("permit.refused") || !b.said(code) {
				t.Fatalf("commands %q, wanted %v, inhibits %v, said %v", b.kinds(), b.out.Status.PermitRequested,
					b.out.Status.Transmit.Inhibits, b.out.Events)
			}
			b.s.Choice = kept
			b.loop.Axes[1].Trusted, b.loop.Mode, b.loop.Lock.Locked = true, step.Holding, false
			b.loop.Link.State, b.loop.Motion.State = step.LinkGood, 0
			b.read(enclosure.CoolantFlow, 5)
			b.onTarget()
			for range 20 {
				b.after(100 * time.Millisecond)
			}
			if b.loop.Permit.Requested || b.out.Status.PermitRequested {
				t.Error("the refused request was kept")
			}
		})
	}
}

// A request made on the way to the target, or below the least elevation, waits.
func TestThePermitWaits(t *testing.T) {
	b := newBench(t)
	b.loop.Axes[0].Position, b.loop.Axes[1].Position = degrees(250), degrees(2)
	b.loop.Mode = step.Slewing
	b.after(time.Second, Permit{On: true})
	if b.kinds() != "permit" || !b.out.Status.PermitRequested || b.loop.Permit.Granted || b.said("permit.refused") {
		t.Fatalf("commands %q, said %v", b.kinds(), b.out.Events)
	}
	b.loop.Mode = step.Holding
	b.onTarget()
	if b.after(100 * time.Millisecond); !b.loop.Permit.Granted {
		t.Errorf("not given there: %v", b.out.Status.Transmit.Inhibits)
	}
}

// The beam counts, not the axes: with a feed that squints it is on the target all the same.
func TestThePermitKnowsTheBeam(t *testing.T) {
	b := newBench(t)
	bands := slices.Clone(b.c.Settings.Bands)
	bands[0].Feeds = slices.Clone(bands[0].Feeds)
	bands[0].Feeds[0].SquintElDeg = 2
	b.c.Settings.Bands = bands
	b.onTarget()
	if b.after(time.Second, Permit{On: true}); !b.loop.Permit.Granted {
		t.Errorf("inhibits %v", b.out.Status.Transmit.Inhibits)
	}
}

// Nothing is transmitted at the Sun, and an over that has begun is cut by twice
// the angle only.
func TestThePermitKnowsSunAndKey(t *testing.T) {
	b := newBench(t)
	b.c.Settings.Sun.KeepAwayDeg = 4
	b.after(0, Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}})
	b.onTarget()
	b.after(time.Second, Permit{On: true})
	if b.loop.Permit.Granted || !b.inhibited(permit.NearSun) {
		t.Errorf("at the Sun: granted %v, inhibits %v", b.loop.Permit.Granted, b.out.Status.Transmit.Inhibits)
	}
	b = transmitting(t)
	b.read(enclosure.ForwardPower, 400)
	b.read(enclosure.ReflectedPower, 4)
	b.loop.Permit.Keyed = true
	b.loop.Axes[1].Position += b.c.Beamwidth(b.s.Band, b.s.Feed).Mul(0.7)
	if b.after(100 * time.Millisecond); !b.loop.Permit.Granted {
		t.Errorf("in an over: %v", b.out.Status.Transmit.Inhibits)
	}
	b.loop.Permit.Keyed = false
	if b.after(100 * time.Millisecond); b.loop.Permit.Granted {
		t.Error("after the over it is given off the target")
	}
}

// The drive has time to take a request in before its silence counts as withdrawn.
func TestTheDriveMayTakeARequestInLate(t *testing.T) {
	b := transmitting(t)
	late := b.loop.Permit
	b.loop.Permit = step.PermitStatus{}
	b.after(100 * time.Millisecond)
	if !b.out.Status.PermitRequested {
		t.Fatal("dropped before it could be taken in")
	}
	b.loop.Permit = late
	if b.after(100 * time.Millisecond); !b.loop.Permit.Granted {
		t.Errorf("inhibits %v", b.out.Status.Transmit.Inhibits)
	}
}

// A renewal never revives a request that the drive withdrew.
func TestARenewalIsNoRequest(t *testing.T) {
	b := transmitting(t)
	for range 40 {
		b.onTarget()
		b.after(100 * time.Millisecond)
		for _, m := range sent[step.Permit](b) {
			if m.Asked {
				t.Fatal("the permit was requested with no press")
			}
		}
	}
}
