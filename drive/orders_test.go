package drive

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// Whoever is told of a trip may ask for its record at once, and gets that trip's.
func TestTripRecordIsThereWithItsTrip(t *testing.T) {
	v := newVirtual(t)
	v.powerOn(t)
	trips := 0
	v.line.before = func(r Request) {
		lock := v.Status().Lock
		if !lock.Locked || lock.At != r.At {
			return
		}
		trips++
		record := v.TripRecord()
		if last := record.Inputs[len(record.Inputs)-1].Now; last != lock.At {
			t.Errorf("the record of the trip at %v ends at %v", lock.At, last)
		}
	}
	for range 2 {
		v.Ask(rig.SlewTo(130, 60))
		v.run(3 * time.Second)
		v.line.box.StopOpen = true
		v.run(3 * time.Second)
		v.line.box.StopOpen = false
		v.run(time.Second)
		v.Ask(step.Release{})
		v.powerOn(t)
	}
	if trips != 2 {
		t.Errorf("%d trips, want 2", trips)
	}
}

// A flood of commands costs the oldest; Stops take no room.
func TestWaitingCommands(t *testing.T) {
	v := newVirtual(t)
	for range 2 * maxWaiting {
		v.Stop()
	}
	if n := len(v.commands); n != 0 {
		t.Errorf("%d commands wait after as many Stops", n)
	}
	for i := range maxWaiting + 3 {
		v.Ask(step.BandTo{Band: i})
	}
	if n, first, last := len(v.commands), v.commands[0],
		v.commands[maxWaiting-1]; n != maxWaiting || first != (step.BandTo{Band: 3}) ||
		last != (step.BandTo{Band: maxWaiting + 2}) {
		t.Errorf("%d wait, from %+v to %+v", n, first, last)
	}
	v.run(v.config.Tick)
	if in := &v.inputs; in.Commands[0] != (step.Stop{}) || in.CommandCount != step.MaxCommands ||
		in.Commands[1] == (step.Stop{}) {
		t.Errorf("the tick had %v", in.Commands[:in.CommandCount])
	}
}

// TestPropertyNothingFromBeforeAStop lets somebody work out orders who is
// slow: what was begun before a Stop reaches the loop some ticks after it.
func TestPropertyNothingFromBeforeAStop(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		v := newVirtual(t)
		v.powerOn(t)
		var slow []Orders
		void := false // nothing was begun since the last Stop
		v.line.before = func(q Request) {
			d := q.Demand
			if q.Ask <= AskSlow && void && (d.Az != 0 || d.El != 0 || d.Orders.Has(enclosure.OrderPermit)) {
				r.Fatalf("at %v, after a Stop: %+v", q.At, d)
			}
		}
		for range 60 {
			switch rapid.SampledFrom([]string{"begin", "begin", "hand", "hand", "stop", "tick", "tick"}).Draw(r,
				"what") {
			case "begin":
				slow = append(slow, anyOrders(r, v))
			case "hand":
				if len(slow) > 0 {
					void = void && slow[0].Stops < v.Stops()
					v.Hand(slow[0])
					slow = slow[1:]
				}
			case "stop":
				v.Stop()
				// The permit is a matter of its own once it is given.
				void = !v.state.Permit.Requested
			case "tick":
				v.run(time.Duration(rapid.IntRange(1, 8).Draw(r, "ticks")) * v.config.Tick)
			}
		}
	})
}

// anyOrders are begun now, and handed over some time.
func anyOrders(r *rapid.T, v *virtual) Orders {
	o := Orders{Stops: v.Stops()}
	switch rapid.SampledFrom([]string{"slew", "follow", "jog", "power", "release", "permit"}).Draw(r, "orders") {
	case "slew":
		o.Commands = []step.Command{rig.SlewTo(rapid.Float64Range(0, 300).Draw(r, "az"), 45)}
	case "follow":
		at := v.now
		o.Course.Knots[0] = step.Knot{
			At:     at,
			Axes:   mount.AxisAngles{Az: v.Status().Axes[0].Position + 0.2, El: v.Status().Axes[1].Position},
			AzRate: 1e-4,
		}
		o.Course.Knots[1] = o.Course.Knots[0]
		o.Course.Knots[1].At, o.Course.Count, o.HasCourse = at+time.Minute, 2, true
		o.Commands = []step.Command{step.Follow{Asked: true}}
	case "jog":
		o.Commands = []step.Command{step.Jog{AzSpeed: 1, Asked: true}}
	case "power":
		o.Commands = []step.Command{step.Power{On: true, Asked: true}}
	case "release":
		o.Commands = []step.Command{step.Release{}}
	case "permit":
		o.Commands = []step.Command{step.Permit{On: true}}
	}
	return o
}

// A course that was handed over before a Stop is dropped with it, whether or not a tick took it in before.
func TestACourseOfBeforeAStopIsDropped(t *testing.T) {
	for _, ticks := range []int{0, 1} {
		v := newVirtual(t)
		v.powerOn(t)
		course := step.Course{Count: 2}
		course.Knots[0].At, course.Knots[1].At = v.now, v.now+time.Minute
		v.Hand(Orders{Stops: v.Stops(), Course: course, HasCourse: true})
		for range ticks {
			v.run(v.config.Tick)
		}
		v.Loop.Stop()
		if v.run(v.config.Tick); v.state.Course.Count != 0 {
			t.Errorf("taken in before: %v; it is still there after the Stop", ticks > 0)
		}
		v.Hand(Orders{Stops: v.Stops(), Course: course, HasCourse: true})
		if v.run(v.config.Tick); v.state.Course.Count != 2 {
			t.Error("one from after the Stop is not taken in")
		}
	}
}
