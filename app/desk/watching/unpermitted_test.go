package watching

import (
	"slices"
	"testing"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
)

// words are what the conditions of that work come to.
func words(standing []alarm.Condition) (all []string) {
	for _, c := range standing {
		all = append(all, c.Words.String())
	}
	return all
}

// What is transmitted without a permit, and a permit that nobody ordered, are alarms once they have lasted; a permit
// that was withdrawn a moment ago is none.
func TestTransmittingWithoutPermit(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*step.Status)
		want   []string
	}{
		"nothing": {func(*step.Status) {}, nil},
		"ordered, keyed": {func(l *step.Status) {
			l.Permit.Ordered, l.Permit.Granted, l.Permit.Keyed = true, true, true
		}, nil},
		"keyed": {func(l *step.Status) { l.Permit.Keyed = true }, []string{"Transmitter keyed without a permit"}},
		"sequencer": {func(l *step.Status) {
			l.Readings.Raw[enclosure.Sequencer] = enclosure.SequencerTransmit
		}, []string{"Sequencer in transmit without a permit"}},
		"forward power": {func(l *step.Status) { l.Readings.Raw[enclosure.ForwardPower] = 800 },
			[]string{"Forward power without a permit"}},
		"a detector at rest": {func(l *step.Status) { l.Readings.Raw[enclosure.ForwardPower] = 3 }, nil},
		"a permit of its own": {func(l *step.Status) { l.Permit.Granted = true },
			[]string{"Transmit permit is on in the enclosure, not ordered by the panel"}},
		"keyed by it": {func(l *step.Status) { l.Permit.Granted, l.Permit.Keyed = true, true },
			[]string{"Transmit permit is on in the enclosure, not ordered by the panel",
				"Transmitter keyed without a permit"}},
		"link lost": {func(l *step.Status) { l.Link.State, l.Permit.Keyed = step.LinkLost, true }, nil},
	} {
		loop := step.Status{Link: step.LinkStatus{State: step.LinkGood}, Readings: enclosure.NoReadings()}
		for _, i := range []int{enclosure.Sequencer, enclosure.ForwardPower} {
			loop.Readings.Read |= 1 << i
			loop.Readings.Raw[i] = 0
		}
		c.change(&loop)
		s := &State{}
		at := func(now time.Duration) []string {
			return words((&work{s: s, in: &Inputs{Now: now, Loop: &loop}}).unpermitted())
		}
		if got := append(at(time.Minute), at(time.Minute+unpermittedFor-1)...); len(got) > 0 {
			t.Errorf("%s: told at once: %q", name, got)
		}
		if got := at(time.Minute + unpermittedFor); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
		loop.Working = true
		for _, c := range (&work{s: s, in: &Inputs{Now: 2 * time.Minute, Loop: &loop}}).unpermitted() {
			const want = "Someone is working at the dish: switch the transmitter off at once."
			if c.Key == "unpermitted" && c.Next.String() != want {
				t.Errorf("%s, working at the dish: %q", name, c.Next)
			}
		}
	}
}

// Readings that no sensor can mean count as missing, and are told; what the extremes of the trade bring is believed.
func TestImplausibleReadings(t *testing.T) {
	loop := heard()
	put := func(i int, raw int16) {
		loop.Readings.Read |= 1 << i
		loop.Readings.Raw[i] = raw
	}
	put(enclosure.WindGust, 32767)    // 3276.7 m/s
	put(enclosure.WindMean, -10)      // -1.0 m/s
	put(enclosure.AirOutside, -3000)  // -300 degrees
	put(enclosure.WindDirection, 500) // 50 degrees
	put(enclosure.AirInside, -350)    // -35 degrees
	put(enclosure.DriveSupply, 2750)  // 27.5 V
	s := &State{}
	at := func(now time.Duration) []string {
		return words((&work{s: s, in: &Inputs{Now: now, Loop: &loop}}).implausible())
	}
	if early := append(at(time.Minute), at(time.Minute+implausibleFor-1)...); len(early) > 0 {
		t.Errorf("told at once: %q", early)
	}
	got := at(time.Minute + implausibleFor)
	want := []string{
		"Air outside reads -300.0 °C: implausible, treated as missing",
		"Wind, mean reads -1.0 m/s: implausible, treated as missing",
		"Wind gust reads 3276.7 m/s: implausible, treated as missing",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for i, believed := range map[int]bool{
		enclosure.WindGust: false, enclosure.WindMean: false, enclosure.AirOutside: false,
		enclosure.WindDirection: true, enclosure.AirInside: true, enclosure.DriveSupply: true,
	} {
		if v := loop.Readings.Value(i); (v == v) != believed {
			t.Errorf("%s is %v", enclosure.Describe(i).Name, v)
		}
	}
}

// heard is a status of a good link without any reading.
func heard() step.Status {
	return step.Status{Link: step.LinkStatus{State: step.LinkGood}, Readings: enclosure.NoReadings()}
}

// Overs one after the other without a permit are one alarm, which stands until they have ended; it is a warning where
// no permit was ever ordered, for a station may not use it.
func TestOversWithoutPermitAreOneAlarm(t *testing.T) {
	loop, s := heard(), &State{}
	news, stood := 0, false
	at := time.Minute
	for ; at < 2*time.Minute; at += 100 * time.Millisecond {
		loop.Permit.Keyed = at%(1500*time.Millisecond) < 1300*time.Millisecond
		standing := (&work{s: s, in: &Inputs{Now: at, Loop: &loop}}).unpermitted()
		if len(standing) > 0 && !stood {
			news++
		}
		stood = len(standing) > 0
		if stood && standing[0].Grade != alarm.Warning {
			t.Fatalf("without a permit ever ordered: grade %v", standing[0].Grade)
		}
	}
	if news != 1 || !stood {
		t.Errorf("%d alarms in a minute of overs, the last stands: %v", news, stood)
	}
	loop.Permit.Keyed, s.Permits = false, true
	if c := (&work{s: s, in: &Inputs{Now: at + time.Second, Loop: &loop}}).unpermitted(); len(c) != 1 ||
		c[0].Grade != alarm.Alarm {
		t.Errorf("just after it, and a permit was ordered before: %v", c)
	}
	if c := (&work{s: s, in: &Inputs{Now: at + 2*standsFor, Loop: &loop}}).unpermitted(); len(c) > 0 {
		t.Errorf("long after it: %v", c)
	}
}

// Readings that are too old tell nothing of transmitting.
func TestStaleReadingsTellNoTransmission(t *testing.T) {
	loop, s := heard(), &State{}
	loop.Readings.Read |= 1 << enclosure.Sequencer
	loop.Readings.Raw[enclosure.Sequencer] = enclosure.SequencerTransmit
	loop.Findings[0], loop.FindingCount = guard.Finding{Code: guard.ReadingsStale, Axis: guard.NoAxis}, 1
	for at := time.Minute; at < 2*time.Minute; at += time.Second {
		if c := (&work{s: s, in: &Inputs{Now: at, Loop: &loop}}).unpermitted(); len(c) > 0 {
			t.Fatalf("told by a sequencer of long ago: %v", c)
		}
	}
}

// An enclosure that refuses every request is told as such.
func TestAnEnclosureThatRefuses(t *testing.T) {
	for refused, want := range map[string]int{"": 0, "refused: exception 04": 1} {
		loop := heard()
		loop.Link.State = step.LinkLost
		in := &Inputs{Loop: &loop}
		in.Around.Line.Refused = refused
		if got := words((&work{s: &State{}, in: in}).refusing()); len(got) != want {
			t.Errorf("%q: %q", refused, got)
		}
	}
}
