package desk

import (
	"math"
	"slices"
	"testing"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
)

// read lets reading i be a value from now on.
func (b *bench) read(i int, value float64) {
	b.loop.Readings.Read |= 1 << i
	b.loop.Readings.Raw[i] = int16(math.Round(value / enclosure.Describe(i).Scale))
}

// TestNamedAlarms: what is wrong is told with what to do about it, by its own
// name where no single reading tells it.
func TestNamedAlarms(t *testing.T) {
	for name, c := range map[string]struct {
		put         func(b *bench)
		words, next message.Code
	}{
		"sequencer": {func(b *bench) { b.read(enclosure.Sequencer, enclosure.SequencerFault) },
			"sequencer.fault", "sequencer.fault.next"},
		"keyed with the relay supply low": {func(b *bench) {
			b.loop.Permit.Keyed =
				true
			b.read(enclosure.RelaySupply, 18)
		},
			"reading.keyed-relay", "reading.keyed-relay.next"},
		"relay supply": {func(b *bench) { b.read(enclosure.RelaySupply, 18) },
			"reading.below", "next.relay-supply"},
		"reflected power": {func(b *bench) { b.read(enclosure.ForwardPower, 60); b.read(enclosure.ReflectedPower, 16) },
			"reading.swr", "next.reflected-power"},
		"coolant stands": {func(b *bench) { b.read(enclosure.CoolantFlow, 0.4) },
			"reading.below", "next.coolant-flow"},
		"coolant hot": {func(b *bench) { b.read(enclosure.CoolantOut, 70) },
			"reading.above", "next.coolant-out"},
		"coolant frozen": {func(b *bench) { b.read(enclosure.CoolantOut, -17) },
			"reading.below", "next.coolant-cold"},
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			c.put(b)
			for range 120 {
				b.after(100 * time.Millisecond)
			}
			for _, a := range b.out.Status.Alarms {
				if a.Words.Has(c.words) {
					if a.Grade != AlarmGrade || a.Next.Code != c.next || !a.Stands || a.Acknowledged {
						t.Errorf("%+v", a)
					}
					return
				}
			}
			t.Errorf("no %q among %+v", c.words, b.out.Status.Alarms)
		})
	}
}

// An open door, which lets nothing start or transmit, is a warning; what the operator sets himself is only told.
func TestAnOpenDoorIsAWarning(t *testing.T) {
	for code, want := range map[guard.Code]Grade{guard.DoorOpen: Warning, guard.WorkingAtDish: Notice} {
		b := newBench(t)
		finds(code)(&b.loop)
		b.after(time.Second)
		if a := b.out.Status.Alarms; len(a) != 1 || a[0].Grade != want || !a[0].Stands {
			t.Errorf("%v: %+v, want grade %v", code, a, want)
		}
	}
}

// Every reading that has limits by default says what to do when it crosses them.
func TestEveryJudgedReadingHasANextStep(t *testing.T) {
	c := practice(t)
	for i, key := range station.ReadingKeys() {
		limits := watching.ReadingLimits(c.Settings.Readings[key])
		low := !math.IsNaN(limits.AlarmLow) || !math.IsNaN(limits.WarningLow)
		high := !math.IsNaN(limits.AlarmHigh) || !math.IsNaN(limits.WarningHigh)
		if key != "" && (low || high) && watching.NextStep(i, low).Code == "next.reading" {
			t.Errorf("%s has limits and no next step", key)
		}
	}
}

// A reading that has lost its value keeps its place, until the enclosure restarts without it.
func TestALostReadingKeepsItsPlace(t *testing.T) {
	b := newBench(t)
	b.after(0)
	if r := b.out.Status.Readings[enclosure.WindMean]; r.Lost {
		t.Fatal("lost before it was there")
	}
	b.read(enclosure.WindMean, 4)
	b.after(time.Second)
	b.loop.Readings = enclosure.NoReadings()
	b.after(time.Second)
	r := b.out.Status.Readings[enclosure.WindMean]
	if !r.Lost || r.Fitted {
		t.Errorf("lost %v, fitted %v", r.Lost, r.Fitted)
	}
	if other := b.out.Status.Readings[enclosure.CoolantFlow]; other.Lost {
		t.Error("one that never was there is lost")
	}
	b.loop.Identity.StartCounter++
	b.after(time.Second)
	if b.out.Status.Readings[enclosure.WindMean].Lost {
		t.Error("still lost after a start of the enclosure")
	}
}

// Of a reading that was read before the link was lost nothing new is told: the preamplifier's supply of a transmission
// would be an alarm a few seconds after it.
func TestReadingsOfBeforeAreNotJudged(t *testing.T) {
	for lost, want := range map[bool]bool{false: true, true: false} {
		b := newBench(t)
		b.read(enclosure.CoolantFlow, 6)
		b.after(time.Second)
		if lost {
			b.loop.Link.State = step.LinkLost
		}
		b.read(enclosure.CoolantFlow, 0.4)
		for range 120 {
			b.after(100 * time.Millisecond)
		}
		told := slices.ContainsFunc(b.out.Status.Alarms, func(a Alarm) bool { return a.Words.Has("reading.below") })
		if told != want {
			t.Errorf("lost %v: told %v", lost, told)
		}
	}
}

// A lock-out by a guard is a trip, one by the operator's Stop or of the session before isn't.
func TestLockOutsThatAreNoTrip(t *testing.T) {
	for name, c := range map[string]struct {
		lock    step.Lock
		stopped bool
	}{
		"a guard":             {step.Lock{Locked: true, Cause: guard.Finding{Code: guard.LinkSilent}}, false},
		"the operator":        {step.Lock{Locked: true}, true},
		"the session before":  {step.Lock{Locked: true, Kept: true}, true},
		"nothing is stopped":  {step.Lock{}, false},
		"a guard, kept since": {step.Lock{Locked: true, Kept: true, Cause: guard.Finding{Code: guard.Stalled}}, false},
	} {
		b := newBench(t)
		if b.loop.Lock = c.lock; c.lock.Locked {
			b.loop.Mode = step.LockedOut
		}
		b.after(100 * time.Millisecond)
		if got := b.out.Status.Lock; got.Stopped != c.stopped {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
