package serve

import (
	"testing"
	"time"

	"beamhelm/drive/enclosure"
)

const ms = time.Millisecond

// What follows holds the enclosure to the rules of the handbook's page of
// registers, section by section.

func TestAfterStart(t *testing.T) {
	k := newDesk(t, nil)
	m := k.e.Motion()
	k.want("trips", m.Trips, enclosure.TripStarted)
	k.want("state", m.State, uint16(0))
	k.want("since counts", m.Since, [2]uint16{65535, 65535})
	k.want("since keyed", m.SinceKeyed, uint16(65535))
	k.want("start counter", m.StartCounter, uint16(1))
	k.want("demand", k.e.Demand(), enclosure.Demand{WatchdogMillis: 1000})
	k.want("latches", k.e.Latches(0), enclosure.Latches{Band: 2})
	// A first sequence of 0 doesn't feed: the watchdog trips in its time though 0 is written on and on.
	k.write(0, 0, 0, enclosure.AllTrips)
	k.wait(20 * ms)
	k.e.Restart()
	k.want("start counter", k.e.Motion().StartCounter, uint16(2))
	k.want("trips", k.e.Motion().Trips, enclosure.TripStarted)
	clear := []uint16{0, 0, 0, 0, 1000, 8}
	for _, r := range [][]uint16{clear, {0, 4, 0, 0, 1000, 0}} {
		if err := k.e.Write(0x10, r); err != nil {
			t.Fatal(err)
		}
	}
	for range 11 {
		k.wait(100 * ms)
		if err := k.e.Write(0x10, []uint16{0}); err != nil {
			t.Fatal(err)
		}
	}
	k.want("trips", k.e.Motion().Trips, enclosure.TripWatchdog)
}

func TestPowerComesOn(t *testing.T) {
	k := newDesk(t, nil)
	k.run(time.Second, enclosure.OrderPower, 0, 0)
	k.want("power with a trip standing", k.e.power, powerOff)
	k.write(0, 0, 0, enclosure.AllTrips)
	k.write(enclosure.OrderPower, 0, 0, enclosure.TripStarted)
	k.want("power in a write that clears", k.e.power, powerOff)
	k.write(enclosure.OrderPower, 0, 0, 0)
	k.want("power without a change of the order", k.e.power, powerOff)
	k.write(0, 0, 0, 0)
	k.write(enclosure.OrderPower, 0, 1, 0)
	k.want("power with a demand", k.e.power, powerOff)
	k.d.out.StopOpen = true
	k.wait(10 * ms)
	k.write(0, 0, 0, 0)
	k.write(enclosure.OrderPower, 0, 0, 0)
	k.want("power with the stop circuit open", k.e.power, powerOff)
	k.d.out.StopOpen, k.d.out.HandPanel = false, true
	k.wait(10 * ms)
	k.write(0, 0, 0, 0)
	k.write(enclosure.OrderPower, 0, 0, 0)
	k.want("power with the hand panel on", k.e.power, powerOff)
	k.d.out.HandPanel = false
	k.wait(10 * ms)
	k.write(0, 0, 0, 0)
	k.write(enclosure.OrderPower, 0, 0, 0)
	k.want("coming on", k.e.Motion().More&enclosure.MoreComingOn, enclosure.MoreComingOn)
	k.run(200*ms, enclosure.OrderPower, 5000, 0)
	k.want("power while coming on", k.e.Motion().State&enclosure.StatePower, uint16(0))
	k.want("applied while coming on", k.e.Motion().Applied, [2]int16{})
	k.run(200*ms, enclosure.OrderPower, 5000, 0)
	k.want("power", k.e.Motion().State&enclosure.StatePower, enclosure.StatePower)
	if a := k.e.Motion().Applied[0]; a <= 0 {
		t.Errorf("applied is %d, want the ramp under way", a)
	}
	k.write(0, 5000, 0, 0)
	k.want("applied when ordered off", k.e.Motion().Applied, [2]int16{})
}

func TestPowerFails(t *testing.T) {
	k := newDesk(t, nil)
	k.d.noPow = true
	k.write(0, 0, 0, enclosure.AllTrips)
	k.run(1900*ms, enclosure.OrderPower, 0, 0)
	k.want("trips after 1.9 s", k.e.Motion().Trips, enclosure.Trips(0))
	k.run(200*ms, enclosure.OrderPower, 0, 0)
	k.want("trips after 2.1 s", k.e.Motion().Trips, enclosure.TripPower)
	k.write(0, 0, 0, enclosure.AllTrips)
	k.want("trips while the supply is away", k.e.Motion().Trips, enclosure.TripPower)
	k.d.noPow = false
	k.wait(10 * ms)
	k.write(0, 0, 0, enclosure.AllTrips)
	k.want("trips when the supply is back", k.e.Motion().Trips, enclosure.Trips(0))
	k.powered()
	k.d.noPow = true
	k.run(100*ms, enclosure.OrderPower, 0, 0)
	k.want("trips when power goes", k.e.Motion().Trips, enclosure.TripPower)
}

// TestPowerCancelled: bit 0 = 0 cancels what is coming on, without a trip.
func TestPowerCancelled(t *testing.T) {
	k := newDesk(t, nil)
	k.d.noPow = true
	k.write(0, 0, 0, enclosure.AllTrips)
	k.run(time.Second, enclosure.OrderPower, 0, 0)
	k.run(3*time.Second, 0, 0, 0)
	k.want("trips", k.e.Motion().Trips, enclosure.Trips(0))
}

func TestWatchdog(t *testing.T) {
	for _, period := range []uint16{200, 1000, 2000} {
		k := newDesk(t, nil)
		k.powered()
		k.run(2*time.Second, enclosure.OrderPower, 10000, -3000)
		if err := k.e.Write(0x14, []uint16{period}); err != nil {
			t.Fatal(err)
		}
		fed := k.at
		k.write(enclosure.OrderPower, 10000, -3000, 0)
		if err := k.e.Write(0x14, []uint16{period}); err != nil {
			t.Fatal(err)
		}
		for k.e.Motion().Applied[0] != 0 && k.at < fed+5*time.Second {
			// The same sequence again does not feed.
			if err := k.e.Write(0x10, []uint16{k.next}); err != nil {
				t.Fatal(err)
			}
			k.wait(2 * ms)
		}
		if took := (k.at - fed).Milliseconds(); took != int64(period) {
			t.Errorf("period %d ms: drive ended after %d ms", period, took)
		}
		m := k.e.Motion()
		k.want("trips", m.Trips, enclosure.TripWatchdog)
		k.want("power", m.State&enclosure.StatePower, uint16(0))
		k.want("applied", m.Applied, [2]int16{})
	}
	k := newDesk(t, nil)
	k.write(0, 0, 0, enclosure.AllTrips)
	k.wait(time.Minute)
	k.want("trips after a minute of silence without power", k.e.Motion().Trips, enclosure.Trips(0))
}

func TestPermit(t *testing.T) {
	k := newDesk(t, nil)
	k.run(100*ms, enclosure.OrderPermit, 0, 0)
	k.want("permit with a trip standing", k.e.permit, false)
	k.write(0, 0, 0, enclosure.AllTrips)
	k.write(enclosure.OrderPermit, 0, 0, enclosure.TripStarted)
	k.want("permit in a write that clears", k.e.permit, false)
	k.write(0, 0, 0, 0)
	k.d.out.StopOpen = true
	k.wait(10 * ms)
	k.run(100*ms, enclosure.OrderPermit, 0, 0)
	k.want("permit without power, stop circuit open", k.e.permit, true)
	k.want("shown", k.e.Motion().More&enclosure.MorePermitted, enclosure.MorePermitted)
	k.wait(1100 * ms)
	k.want("permit after silence", k.e.permit, false)
	k.want("trips", k.e.Motion().Trips, enclosure.TripWatchdog)
}

// trips are causes, what they latch, and whether they need power for it.
func TestTrips(t *testing.T) {
	rows := []struct {
		name    string
		cause   func(*testDish, bool)
		trip    enclosure.Trips
		unasked bool // also without power
		always  bool // clears while the cause stands
	}{
		{"stop circuit", func(d *testDish, on bool) { d.out.StopOpen = on }, enclosure.TripStop, false, false},
		{"hand panel", func(d *testDish, on bool) { d.out.HandPanel = on }, enclosure.TripHand, false, false},
		{"azimuth drive", func(d *testDish, on bool) { d.out.Axes[0].DriveFault = on }, enclosure.TripAzDrive, true,
			false},
		{"elevation drive", func(d *testDish, on bool) { d.out.Axes[1].DriveFault = on }, enclosure.TripElDrive, true,
			false},
		{"azimuth encoder", func(d *testDish, on bool) { d.out.Axes[0].EncoderAlarm = on }, enclosure.TripAzEncoder,
			true, true},
		{"elevation encoder", func(d *testDish, on bool) { d.out.Axes[1].EncoderAlarm = on }, enclosure.TripElEncoder,
			true, true},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			k := newDesk(t, nil)
			k.write(0, 0, 0, enclosure.AllTrips)
			row.cause(k.d, true)
			k.run(100*ms, 0, 0, 0)
			k.want("trip without power", k.e.Motion().Trips.Has(row.trip), row.unasked)
			row.cause(k.d, false)
			k.wait(10 * ms)
			k.powered()
			k.run(time.Second, enclosure.OrderPower|enclosure.OrderPermit, 5000, 5000)
			row.cause(k.d, true)
			k.wait(4 * ms)
			m := k.e.Motion()
			k.want("trips", m.Trips, row.trip)
			k.want("applied", m.Applied, [2]int16{})
			k.want("power", m.State&enclosure.StatePower, uint16(0))
			k.want("permit", m.More&enclosure.MorePermitted, uint16(0))
			k.write(0, 0, 0, row.trip)
			k.want("trip cleared while its cause stands", k.e.trips == 0, row.always)
			row.cause(k.d, false)
			k.wait(10 * ms)
			k.write(0, 0, 0, row.trip)
			k.want("trips when the cause is gone", k.e.trips, enclosure.Trips(0))
			k.want("counts not to be trusted", k.e.lost, [2]bool{})
		})
	}
}

func TestSilentEncoder(t *testing.T) {
	k := newDesk(t, nil)
	k.powered()
	k.d.stuck[1] = true
	k.run(3*time.Second, enclosure.OrderPower, 0, 1999)
	k.want("trips below 20 %", k.e.trips, enclosure.Trips(0))
	k.run(1300*ms, enclosure.OrderPower, 0, 2500)
	k.want("trips after 1.3 s", k.e.trips, enclosure.Trips(0))
	k.run(400*ms, enclosure.OrderPower, 0, 2500)
	k.want("trips after 1.7 s", k.e.trips, enclosure.TripElEncoder)
	k.want("shown", k.e.Motion().More&enclosure.MoreElLost, enclosure.MoreElLost)
	k.write(0, 0, 0, enclosure.AllTrips)
	k.d.out.Axes[1].EndHigh = true
	k.powered()
	k.run(3*time.Second, enclosure.OrderPower, 0, -2500)
	k.want("trips with an end open", k.e.trips, enclosure.Trips(0))
}

func TestEnds(t *testing.T) {
	k := newDesk(t, nil)
	k.powered()
	k.run(2*time.Second, enclosure.OrderPower, 8000, 0)
	k.d.out.Axes[0].EndHigh = true
	k.wait(4 * ms)
	k.want("applied into an open end", k.e.Motion().Applied[0], int16(0))
	k.want("power", k.e.power, powerOn)
	k.run(time.Second, enclosure.OrderPower, 8000, 0)
	k.want("applied into an open end", k.e.Motion().Applied[0], int16(0))
	k.run(time.Second, enclosure.OrderPower, -8000, 0)
	k.want("applied away from it", k.e.Motion().Applied[0], int16(-8000))
	k.d.out.Axes[0].EndLow = true
	k.wait(4 * ms)
	k.want("applied with both ends open", k.e.Motion().Applied[0], int16(0))
	k.want("trips", k.e.trips, enclosure.Trips(0))
}

func TestHandPanel(t *testing.T) {
	k := newDesk(t, nil)
	k.powered()
	k.d.out.HandPanel, k.d.out.HandDrive = true, [2]float64{-0.5, 0}
	k.run(time.Second, enclosure.OrderPower, 9000, 9000)
	m := k.e.Motion()
	k.want("applied", m.Applied, [2]int16{-5000, 0})
	k.want("state", m.State, enclosure.StateHand)
	k.want("by hand", k.d.in.ByHand && !k.d.in.Contactor, true)
	k.want("trips", m.Trips, enclosure.TripHand)
	k.d.out.StopOpen = true
	k.run(100*ms, 0, 0, 0)
	k.want("applied with the stop circuit open", k.e.Motion().Applied, [2]int16{})
}

func TestRampAndSpeeds(t *testing.T) {
	k := newDesk(t, func(c *Config) { c.FixedSpeeds = [2]uint8{3, 0}; c.Ramp = [2]time.Duration{0, 2 * time.Second} })
	k.powered()
	for _, row := range []struct{ demand, applied int16 }{{3332, 0}, {3333, 3333}, {6665, 3333}, {-6666, -6666},
		{9999, 6666}, {10000, 10000}, {-10000, -10000}} {
		k.write(enclosure.OrderPower, row.demand, 0, 0)
		k.wait(10 * ms)
		k.want("applied", k.e.Motion().Applied[0], row.applied)
	}
	k.run(time.Second, enclosure.OrderPower, 0, 10000)
	if a := k.e.Motion().Applied[1]; a < 4980 || a > 5020 {
		t.Errorf("half of the ramp is at %d, want 5000", a)
	}
	k.run(2*time.Second, enclosure.OrderPower|enclosure.OrderElOff, 0, 10000)
	k.want("applied of an axis held off", k.e.Motion().Applied[1], int16(0))
}

func TestNoiseSourceGoesOff(t *testing.T) {
	k := newDesk(t, nil)
	if err := k.e.Write(0x18, []uint16{7, 3}); err != nil {
		t.Fatal(err)
	}
	k.wait(4990 * ms)
	k.want("outputs after 4.99 s", k.d.in.Outputs, enclosure.Outputs(7))
	k.wait(20 * ms)
	k.want("outputs after 5 s without a sequence", k.d.in.Outputs, enclosure.Outputs(6))
	k.want("register", k.e.registers(0)[0x18], uint16(7))
	k.powered()
	if err := k.e.Write(0x18, []uint16{1}); err != nil {
		t.Fatal(err)
	}
	k.wait(1100 * ms)
	k.want("outputs after the watchdog", k.d.in.Outputs, enclosure.Outputs(0))
	k.want("band", k.d.in.Band, 3)
}

func TestCleanNoise(t *testing.T) {
	k := newDesk(t, nil)
	clean := func() bool { return k.e.Motion().More&enclosure.MoreClean != 0 }
	k.wait(290 * ms)
	k.want("clean 290 ms after the start", clean(), false)
	k.wait(20 * ms)
	k.want("clean 310 ms after the start", clean(), true)
	k.d.out.Keyed = true
	k.wait(time.Second)
	k.want("clean while keyed", clean(), false)
	k.want("since keyed", k.e.Motion().SinceKeyed, uint16(0))
	k.d.out.Keyed = false
	k.wait(200 * ms)
	k.want("clean 200 ms after", clean(), false)
	k.want("since keyed", k.e.Motion().SinceKeyed, uint16(200))
	k.wait(110 * ms)
	k.want("clean 310 ms after", clean(), true)
	for _, state := range []float64{enclosure.SequencerGoingToTransmit, enclosure.SequencerGoingToReceive} {
		k.d.out.Readings[enclosure.Sequencer] = state
		k.wait(time.Second)
		k.want("clean while the sequencer switches", clean(), false)
		k.d.out.Readings[enclosure.Sequencer] = enclosure.SequencerReceive
		k.wait(290 * ms)
		k.want("clean 290 ms after it has switched", clean(), false)
		k.wait(20 * ms)
		k.want("clean 310 ms after it has switched", clean(), true)
	}
	k.d.out.Readings[enclosure.Sequencer] = enclosure.SequencerFault
	k.wait(10 * ms)
	k.want("clean with the sequencer in receive and its fault told", clean(), true)
	if err := k.e.Write(0x18, []uint16{2}); err != nil {
		t.Fatal(err)
	}
	k.want("clean after an output changed", clean(), false)
	k.want("detector", k.e.Motion().DetectorUV, int32(500))
}

func TestMarks(t *testing.T) {
	k := newDesk(t, nil)
	a := &k.d.out.Axes[0]
	pass := func(upward bool, counts int32) {
		a.Upward = upward
		a.OnMark, a.MarkCounts = true, counts
		k.wait(10 * ms)
		a.OnMark = false
		k.wait(10 * ms)
	}
	pass(true, 70)
	pass(false, 80)
	l := k.e.Latches(0)
	k.want("mark", l.MarkCounts[0], int32(70))
	k.want("entries", l.MarkEntries[0], uint16(1))
	a.OnMark, a.Upward = true, true
	k.e.Restart()
	k.wait(10 * ms)
	k.want("entries after a start on the mark", k.e.Latches(0).MarkEntries[0], uint16(0))
}

func TestBrownOut(t *testing.T) {
	for _, survive := range []bool{false, true} {
		k := newDesk(t, func(c *Config) {
			if survive {
				c.Fitted |= enclosure.FittedCountsSurvive
			}
		})
		k.powered()
		k.run(3*time.Second, enclosure.OrderPower, 10000, 0)
		counts := k.e.Motion().Counts[0]
		k.d.out.LogicDown = true
		k.wait(50 * ms)
		k.want("dead", k.e.Dead(), true)
		k.want("contactor", k.d.in.Contactor, false)
		k.d.out.LogicDown = false
		k.wait(50 * ms)
		m := k.e.Motion()
		k.want("start counter", m.StartCounter, uint16(2))
		k.want("trips", m.Trips, enclosure.TripStarted)
		k.want("counts kept", m.Counts[0] >= counts && counts > 100, survive)
	}
}

func TestAxisNotFitted(t *testing.T) {
	k := newDesk(t, func(c *Config) { c.Fitted &^= enclosure.FittedElevation })
	k.d.out.Axes[1].EndHigh, k.d.out.Axes[1].OnMark, k.d.out.Axes[1].Counts = true, true, 5
	k.wait(10 * ms)
	m := k.e.Motion()
	k.want("elevation", m.Axis(1), enclosure.AxisMotion{Current: enclosure.NotFitted})
	if err := k.e.Write(0x13, []uint16{1}); err == nil {
		t.Error("a demand for an axis that is not fitted was taken")
	}
	if err := k.e.Write(0x13, []uint16{0}); err != nil {
		t.Error(err)
	}
}

func TestPeakCurrents(t *testing.T) {
	k := newDesk(t, nil)
	k.powered()
	k.run(2*time.Second, enclosure.OrderPower, -10000, 0)
	k.run(5*time.Second, enclosure.OrderPower, 0, 0)
	r := k.e.Readings()
	k.want("peak current after 5 s", r.Raw[enclosure.AzimuthPeakCurrent], int16(300))
	k.want("current", k.e.Motion().Current[0], int16(0))
	k.run(6*time.Second, enclosure.OrderPower, 0, 0)
	r = k.e.Readings()
	k.want("peak current after 11 s", r.Raw[enclosure.AzimuthPeakCurrent], int16(0))
}
