// Package rig is a small enclosure with two axes for the tests of steps and
// guards: it keeps the rules that an enclosure must keep by itself, in virtual
// time, without a line. Faults are fields to set. It is not the practice dish.
package rig

import (
	"math"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/motion/mechanism"
	"beamhelm/drive/step"
)

// FakeEnclosure is a small enclosure with two axes.
type FakeEnclosure struct {
	Axes   [2]mechanism.Axis
	Limits [2][2]float64 // end switches, low and high, radians
	// Faults and circumstances.
	StopOpen, HandPanel, Door, NoPower, DriveFault, Keyed bool
	BothEnds, EncoderFault                                [2]bool
	WrongMap, WindFitted                                  bool
	Drift                                                 [2]float64 // radians a second, with or without drive
	// Slips is the part of its travel that the encoder does not count: 1 where its
	// coupling is broken, above 1 where it counts backwards.
	Slips [2]float64
	// ClockStands: its clock does not go on. Idle: it answers and drives nothing,
	// nor shows any drive. Runs: it drives on as before, whatever is demanded.
	ClockStands, Idle, Runs bool
	CurrentLost             [2]bool
	CurrentA                [2]float64 // NaN: worked out from the drive

	Powered, coming bool
	comingAt        time.Duration
	Trips           enclosure.Trips
	Permitted       bool
	Start           uint16
	now             time.Duration
	fed             time.Duration
	last            enclosure.Demand
	watchdog        time.Duration
	ordered         enclosure.Orders
	Impossible      [2]uint16
	// missed are the counts that the encoder did not count, before those counts.
	missed [2]float64
	before [2]int32
	millis time.Duration
}

// NewFakeEnclosure returns an enclosure whose axes stand at those angles, in degrees, just started.
func NewFakeEnclosure(c *step.Config, az, el float64) *FakeEnclosure {
	b := &FakeEnclosure{Trips: enclosure.TripStarted, Start: 7, watchdog: time.Second,
		CurrentA: [2]float64{math.NaN(), math.NaN()}}
	for i, place := range [...]float64{az, el} {
		b.Axes[i] = mechanism.Default()
		b.Axes[i].Step, b.Axes[i].Backlash = c.Axes[i].Scale.Step.Rad(), c.Axes[i].Drive.Backlash.Rad()
		b.Axes[i].Dish, b.Axes[i].Motor = place*math.Pi/180, place*math.Pi/180
		b.Axes[i].Run(0.02)
		b.before[i] = b.Axes[i].Counts
	}
	degree := math.Pi / 180
	b.Limits = [2][2]float64{{-50 * degree, 410 * degree}, {-5 * degree, 95 * degree}}
	return b
}

// Restart is what a short loss of supply does.
func (b *FakeEnclosure) Restart() {
	b.Start++
	b.millis = 0
	b.Powered, b.coming, b.Permitted = false, false, false
	b.Trips = enclosure.TripStarted
	b.ordered = 0
	for i := range b.Axes {
		b.Axes[i].Demand, b.Axes[i].Applied = 0, 0
		b.Axes[i].LastCount = -1e3
	}
}

// Run lets time pass.
func (b *FakeEnclosure) Run(d time.Duration) {
	const h = 10 * time.Millisecond
	for ; d >= h; d -= h {
		b.now += h
		if !b.ClockStands {
			b.millis += h
		}
		b.rules()
		for i := range b.Axes {
			a := &b.Axes[i]
			if b.Drift[i] != 0 {
				a.Motor += b.Drift[i] * h.Seconds()
			}
			low, high := b.ends(i)
			if low && a.Demand < 0 || high && a.Demand > 0 || low && high || !b.Powered {
				a.Demand, a.Applied = 0, 0
			}
			a.Dead = !b.Powered
			if b.Idle {
				a.Demand, a.Applied = 0, 0
			}
			a.Run(h.Seconds())
			b.missed[i] += b.Slips[i] * float64(a.Counts-b.before[i])
			b.before[i] = a.Counts
		}
	}
}

func (b *FakeEnclosure) rules() {
	active := b.Powered || b.coming
	if (active || b.Permitted) && b.now-b.fed > b.watchdog {
		b.trip(enclosure.TripWatchdog)
	}
	if active && b.StopOpen {
		b.trip(enclosure.TripStop)
	}
	if active && b.HandPanel {
		b.trip(enclosure.TripHand)
	}
	if b.DriveFault {
		b.trip(enclosure.TripAzDrive)
	}
	if b.EncoderFault[0] {
		b.trip(enclosure.TripAzEncoder)
	}
	if b.EncoderFault[1] {
		b.trip(enclosure.TripElEncoder)
	}
	if b.coming && b.now-b.comingAt > 300*time.Millisecond && !b.NoPower {
		b.Powered, b.coming = true, false
	}
	if b.coming && b.now-b.comingAt > 2*time.Second || b.Powered && b.NoPower {
		b.trip(enclosure.TripPower)
	}
}

func (b *FakeEnclosure) trip(t enclosure.Trips) {
	b.Trips |= t
	b.Powered, b.coming, b.Permitted = false, false, false
	for i := range b.Axes {
		b.Axes[i].Demand, b.Axes[i].Applied = 0, 0
	}
}

func (b *FakeEnclosure) ends(i int) (low, high bool) {
	if b.BothEnds[i] {
		return true, true
	}
	return b.Axes[i].Dish < b.Limits[i][0], b.Axes[i].Dish > b.Limits[i][1]
}

// Write takes a demand in, as a request that has just arrived.
func (b *FakeEnclosure) Write(d enclosure.Demand) {
	b.fed = b.now
	b.watchdog = time.Duration(d.WatchdogMillis) * time.Millisecond
	if d.Clear != 0 {
		clear := d.Clear
		if b.DriveFault {
			clear &^= enclosure.TripAzDrive
		}
		if b.StopOpen {
			clear &^= enclosure.TripStop
		}
		if b.HandPanel {
			clear &^= enclosure.TripHand
		}
		if b.NoPower {
			clear &^= enclosure.TripPower
		}
		b.Trips &^= clear
	}
	rises := func(bit enclosure.Orders) bool {
		return d.Orders&bit != 0 && b.ordered&bit == 0 && d.Clear == 0 && b.Trips == 0
	}
	if rises(enclosure.OrderPower) && d.Az == 0 && d.El == 0 && !b.StopOpen && !b.HandPanel {
		b.coming, b.comingAt = true, b.now
	}
	if d.Orders&enclosure.OrderPower == 0 {
		b.Powered, b.coming = false, false
	}
	if rises(enclosure.OrderPermit) {
		b.Permitted = true
	}
	if d.Orders&enclosure.OrderPermit == 0 {
		b.Permitted = false
	}
	b.ordered, b.last = d.Orders, d
	for i, v := range [...]int16{d.Az, d.El} {
		if b.Runs {
			continue
		}
		b.Axes[i].Demand = 0
		if b.Powered {
			b.Axes[i].Demand = float64(v) / 10000
		}
	}
}

// Counts are those that the encoder of an axis shows.
func (b *FakeEnclosure) Counts(axis int) int32 {
	return b.Axes[axis].Counts - int32(math.Round(b.missed[axis]))
}

// Look is the motion block now.
func (b *FakeEnclosure) Look() enclosure.Motion { return b.motion() }

// reply is the motion block now, as a reply to a request sent at that moment.
func (b *FakeEnclosure) reply(sent, received step.Nanos) step.Reply {
	return step.Reply{Fresh: true, Motion: b.motion(), SentAt: sent, ReceivedAt: received}
}
