package step_test

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// doing is what the dish does when the cause falls.
type doing int

const (
	slewing   doing = iota // at full drive
	following              // a course of a degree a second
	holding                // with drive power
	unpowered              // at rest
)

// ending is a cause that ends motion, the transmit permit or both.
type ending struct {
	code  guard.Code // the guard that finds it; None: no guard has to
	cause string
	sent  string // what reaches the enclosure; of a guard, where its response does not say it
	from  doing
	ready func(*rig.Rig)                // before the dish is set going
	begin func(*rig.Rig)                // the cause falls
	each  func(*rig.Rig, time.Duration) // what it goes on to do, by the time since then
	hangs bool                          // neither course nor request for the permit is renewed any more
	alone bool                          // the course is not renewed any more
	long  time.Duration                 // how long drive may be applied; 0: 8 s
}

// commanded gives the loop a command.
func commanded(m step.Command) func(*rig.Rig) { return func(r *rig.Rig) { r.Tick(m) } }

// reads sets a reading.
func reads(reading int, v float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		r.Inputs.Readings.Raw[reading] = enclosure.Raw(reading, v)
		r.Inputs.Readings.Read |= 1 << reading
	}
}

// at is the azimuth now.
func at(r *rig.Rig) unit.Angle { return r.Status.Axes[step.Azimuth].Position }

// endings are those that no guard has to find.
func endings() []ending {
	return []ending{
		{cause: "Esc, STOP, `beamhelm stop`, the computer was asleep",
			sent: "zero demand, locked out; drive power stays on", begin: commanded(step.Stop{})},
		{cause: "Drive power switched off", sent: "zero demand, power off",
			begin: commanded(step.Power{})},
		{cause: "Hold", sent: "the slope down to zero", begin: commanded(step.Hold{})},
		{cause: "The permit is withdrawn by hand", sent: "permit off",
			begin: commanded(step.Permit{})},
		{cause: "Link lost both ways, program killed, computer dead or asleep",
			sent: "nothing: the enclosure's watchdog ends it", begin: func(r *rig.Rig) { r.Cut = true }},
		{cause: "Replies lost, requests get through",
			sent:  "zero by the slope after the link-loss time, then zero and power off",
			begin: func(r *rig.Rig) { r.Deaf = true }},
		{cause: "The desk hangs in a slew: it gives the loop nothing any more",
			sent: "permit off when its request lapses", begin: func(*rig.Rig) {}, hangs: true},
		{
			cause: "The desk hangs while tracking",
			sent:  "permit off when its request lapses; the slope down to zero when the course has run out",
			from:  following, begin: func(*rig.Rig) {}, hangs: true, long: 65 * time.Second,
		},
	}
}

// guardEndings are those that a guard finds, at least one for each guard that ends motion or the permit.
func guardEndings() []ending {
	return append(append(stateEndings(), motionEndings()...), permitEndings()...)
}

// stateEndings are found in what the enclosure, the line and the program say of themselves.
func stateEndings() []ending {
	return []ending{
		{code: guard.WrongMap, cause: "another enclosure answers",
			begin: func(r *rig.Rig) { r.Enclosure.WrongMap = true }},
		{code: guard.LinkLost, cause: "nothing gets through", begin: func(r *rig.Rig) { r.Cut = true }},
		{code: guard.LinkSilent, cause: "replies are lost", begin: func(r *rig.Rig) { r.Deaf = true }},
		{code: guard.WindowSilent, cause: "the window hangs", begin: commanded(step.WindowAlive{})},
		{code: guard.ReadingsStale, cause: "no reading gets back", begin: func(r *rig.Rig) { r.Starved = true },
			long: 9 * time.Second},
		{code: guard.CourseRunOut, cause: "the course has just ended", from: following, begin: func(r *rig.Rig) {
			c, now := &r.Inputs.Course, r.Inputs.Now
			c.Knots[1], c.Count = c.Knots[0], 2
			c.Knots[0].At, c.Knots[1].At = now-time.Second, now
			r.Inputs.NewCourse = true
		}, alone: true},
		{code: guard.Restarted, cause: "a moment without supply", begin: func(r *rig.Rig) { r.Enclosure.Restart() }},
		{
			code: guard.WatchdogTripped, cause: "nothing gets through for 1.3 s",
			begin: func(r *rig.Rig) { r.Cut = true },
			each:  func(r *rig.Rig, since time.Duration) { r.Cut = since < 1300*time.Millisecond },
		},
		{code: guard.EnclosureClock, cause: "its clock has stopped",
			begin: func(r *rig.Rig) { r.Enclosure.ClockStands = true }},
		{code: guard.StopCircuit, cause: "opened", begin: func(r *rig.Rig) { r.Enclosure.StopOpen = true }},
		{code: guard.StopCircuitOpened, cause: "opened and closed between two replies", begin: func(r *rig.Rig) {
			r.Enclosure.StopOpen = true
			r.Enclosure.Run(10 * time.Millisecond)
			r.Enclosure.StopOpen = false
		}},
		{code: guard.HandPanelTaken, cause: "its key is turned and turned back between two replies",
			begin: func(r *rig.Rig) {
				r.Enclosure.HandPanel = true
				r.Enclosure.Run(10 * time.Millisecond)
				r.Enclosure.HandPanel = false
			}},
		{code: guard.HandPanel, cause: "its key is turned",
			sent:  "zero demand, power off; the enclosure stops by itself",
			begin: func(r *rig.Rig) { r.Enclosure.HandPanel = true }},
		{code: guard.DriveFault, cause: "a drive reports it",
			begin: func(r *rig.Rig) { r.Enclosure.DriveFault = true }},
		{code: guard.BothEnds, cause: "a wire breaks", begin: func(r *rig.Rig) { r.Enclosure.BothEnds[0] = true }},
		{code: guard.EndSwitch, cause: "met where it should be", ready: func(r *rig.Rig) {
			r.Config.Axes[0].Limits.EndHigh = unit.AngleFromDeg(9)
		}, begin: func(r *rig.Rig) { r.Enclosure.Limits[0][1] = r.Enclosure.Axes[0].Dish }},
		{code: guard.EndElsewhere, cause: "the one ahead opens at another place",
			begin: func(r *rig.Rig) { r.Enclosure.Limits[0][1] = r.Enclosure.Axes[0].Dish }},
		{code: guard.EndElsewhere, cause: "one of the other axis opens at another place",
			begin: func(r *rig.Rig) { r.Enclosure.Limits[1][1] = r.Enclosure.Axes[1].Dish - 0.01 }},
		{code: guard.EncoderFault, cause: "the encoder reports it",
			begin: func(r *rig.Rig) { r.Enclosure.EncoderFault[0] = true }},
		{
			code: guard.PowerDidNotComeOn, cause: "drive power is requested and stays away", from: unpowered,
			begin: func(r *rig.Rig) {
				r.Enclosure.NoPower =
					true
				r.Tick(step.Power{On: true, Asked: true})
			},
		},
		{code: guard.PowerLost, cause: "its contactor drops", begin: func(r *rig.Rig) { r.Enclosure.NoPower = true }},
		{code: guard.DoorOpen, cause: "opened", begin: func(r *rig.Rig) { r.Enclosure.Door = true }},
		{code: guard.WorkingAtDish, cause: "set", sent: "zero demand, power off",
			begin: commanded(step.Working{On: true})},
		{code: guard.SupplyLow, cause: "15 V", ready: reads(enclosure.DriveSupply, 24),
			begin: reads(enclosure.DriveSupply, 15)},
		{code: guard.OverTemperature, cause: "a motor at 95 °C", ready: reads(enclosure.AzimuthMotorTemperature, 30),
			begin: reads(enclosure.AzimuthMotorTemperature, 95)},
	}
}

// motionEndings are found in how the axes move.
func motionEndings() []ending {
	axis := func(change func(b *rig.FakeEnclosure)) func(*rig.Rig) {
		return func(r *rig.Rig) { change(r.Enclosure) }
	}
	return []ending{
		{code: guard.Stalled, cause: "the axis is jammed",
			begin: axis(func(b *rig.FakeEnclosure) { b.Axes[0].Locked = true })},
		{code: guard.MotorSilent, cause: "the motor's cable breaks",
			begin: axis(func(b *rig.FakeEnclosure) { b.Axes[0].Locked, b.CurrentA[0] = true, 0 })},
		{code: guard.SoftLimit, cause: "the target runs beyond it", from: following,
			begin: func(r *rig.Rig) { r.Config.Axes[0].Limits.SoftHigh = at(r) }},
		{code: guard.Structure, cause: "the target goes behind it", from: following, begin: func(r *rig.Rig) {
			r.Config.Structures.Count = 1
			r.Config.Structures.Structures[0] = mount.Structure{From: at(r) - 0.1, To: at(r) + 0.5, Min: 1}
		}},
		{code: guard.TooFast, cause: "the counts run four times too fast",
			begin: axis(func(b *rig.FakeEnclosure) { b.Slips[0] = -3 })},
		{code: guard.MovingAfterStop, cause: "the dish drifts by 0.2°/s with drive power off", from: unpowered,
			begin: axis(func(b *rig.FakeEnclosure) { b.Drift[0] = 0.2 * math.Pi / 180 })},
		{code: guard.WrongWay, cause: "the motor turns the other way",
			begin: axis(func(b *rig.FakeEnclosure) { b.Axes[0].Reverse = true })},
		{code: guard.EncoderSilent, cause: "the encoder's coupling breaks",
			begin: axis(func(b *rig.FakeEnclosure) { b.Slips[0] = 1 })},
		{code: guard.MovingNotDriven, cause: "the dish is carried off at 2.4°/s", from: holding,
			begin: axis(func(b *rig.FakeEnclosure) { b.Drift[0] = 2.4 * math.Pi / 180 })},
		{
			code:  guard.NotObeyed,
			cause: "the enclosure drives nothing",
			begin: axis(func(b *rig.FakeEnclosure) { b.Idle = true }),
		},
		{code: guard.NotObeyed, cause: "the enclosure drives on after Hold",
			begin: func(r *rig.Rig) { r.Enclosure.Runs = true; r.Tick(step.Hold{}) }},
		{code: guard.NoProgress, cause: "nine of ten counts are lost",
			begin: axis(func(b *rig.FakeEnclosure) { b.Slips[0] = 0.9 })},
		{
			code:  guard.MotorOverloaded,
			cause: "11 A of 6 A",
			begin: axis(func(b *rig.FakeEnclosure) { b.CurrentA[0] = 11 }),
		},
	}
}

// permitEndings end the permit alone.
func permitEndings() []ending {
	return []ending{
		{code: guard.PermitLowElevation, cause: "the dish is below its limit",
			begin: func(r *rig.Rig) { r.Config.Guard.PermitElevation = 1 }},
		{code: guard.PermitClosedSector, cause: "the dish points into one", begin: func(r *rig.Rig) {
			r.Config.Guard.Closed[0], r.Config.Guard.ClosedCount =
				guard.Sector{From: at(r) - 0.1, To: at(r) + 1, High: 1.5}, 1
		}},
		{code: guard.PermitRelaySupply, cause: "19 V of 22 V at least", ready: func(r *rig.Rig) {
			r.Config.Guard.RelayLow = 22
			reads(enclosure.RelaySupply, 25)(r)
		}, begin: reads(enclosure.RelaySupply, 19)},
		{code: guard.PermitSequencer, cause: "sequencer fault",
			begin: reads(enclosure.Sequencer, enclosure.SequencerFault)},
		{code: guard.PermitReflected, cause: "50 W of 20 W at most", ready: func(r *rig.Rig) {
			r.Config.Guard.ReflectedHigh = 20
			reads(enclosure.ReflectedPower, 2)(r)
		}, begin: reads(enclosure.ReflectedPower, 50)},
		{code: guard.PermitCoolant, cause: "70 °C of 60 °C at most", ready: func(r *rig.Rig) {
			r.Config.Guard.CoolantHigh = 60
			reads(enclosure.CoolantOut, 30)(r)
		}, begin: reads(enclosure.CoolantOut, 70)},
		{code: guard.PermitOffTarget, cause: "the target is another one, before an over", from: following,
			ready: func(r *rig.Rig) {
				r.Tick(step.ToleranceTo{Axes: mount.AxisAngles{Az: 0.002, El: 0.002}, OffLimit: unit.AngleFromDeg(0.5)})
			}, begin: func(r *rig.Rig) {
				az, el := r.Place()
				r.Follow(az-20, el, 0, 0)
			}, alone: true},
		{
			code: guard.PermitWindowSilent, cause: "the window hangs while tracking", from: following,
			begin: commanded(step.WindowAlive{}),
		},
		{code: guard.PermitReadingMissing, cause: "the relay supply's reading goes missing", ready: func(r *rig.Rig) {
			r.Config.Guard.RelayLow = 22
			reads(enclosure.RelaySupply, 25)(r)
		}, begin: reads(enclosure.RelaySupply, math.NaN())},
	}
}
