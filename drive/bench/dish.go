package main

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/step"
)

// away is from a tick to the snapshot of its reply: the request at 19200 baud and the gap after it.
const away = 18 * time.Millisecond

// dish is the drive's step against the simulated dish, in virtual time and
// without a line.
type dish struct {
	plant     *plant.Plant
	backlash  [2]unit.Angle // of its teeth
	enclosure *serve.Enclosure
	config    step.Config
	state     step.State
	in        step.Inputs
	// cheat puts the truth in place of the drive's estimate before each step;
	// stiff leaves out of it how far the teeth give way.
	cheat, stiff bool
	blind        bool // the enclosure has no sensor of motor current
	spoil        func(m *enclosure.Motion)
	before       [2]unit.Angle // the truth at the snapshot that the estimate has reached
	at           [2]unit.Angle // and at the newest
	// full, where not 0, is asked of azimuth in place of the drive's demand.
	full int16
	tick int
}

func newDish(p plant.Config, c step.Config) *dish {
	plant, err := plant.New(p)
	if err != nil {
		panic(err)
	}
	s := serve.Default()
	s.FixedSpeeds = [2]uint8{uint8(c.Axes[0].Drive.Speeds), uint8(c.Axes[1].Drive.Speeds)}
	served, err := serve.New(plant, s)
	if err != nil {
		panic(err)
	}
	if err := c.Validate(); err != nil {
		panic(err)
	}
	d := &dish{plant: plant, enclosure: served, config: c,
		backlash: [2]unit.Angle{p.Axes[0].Backlash, p.Axes[1].Backlash}}
	d.enclosure.Run(time.Second)
	var kept [2]mount.Reference
	m, truth := d.enclosure.Motion(), d.plant.Truth()
	for i := range kept {
		kept[i] = mount.Reference{Zero: mount.Zero{Angle: truth.ZeroAngle[i]}, Start: m.StartCounter,
			Origin: mount.ByHand, LastCounts: m.Counts[i]}
	}
	d.state = step.New(&d.config, step.Kept{References: kept})
	d.in.Readings = enclosure.NoReadings()
	d.in.Identity, d.in.HasIdentity = d.enclosure.Identity(), true
	d.in.Now = time.Second
	return d
}

// place is where the axis really is.
func (d *dish) place(i int) unit.Angle { return d.plant.Truth().Axis[i] }

// shown is what a drive that is told the truth is told.
func (d *dish) shown() [2]unit.Angle {
	truth := d.plant.Truth()
	places := truth.Axis
	if d.stiff {
		for i := range places {
			half := d.backlash[i] / 2
			places[i] = max(truth.Motor[i]-half, min(truth.Motor[i]+half, places[i]))
		}
	}
	return places
}

// believe puts an axis' estimate where somebody who sees the axis itself says that it is.
func believe(a *motion.Axis, place float64) {
	shift := place - a.Body.Dish
	a.Body.Dish += shift
	a.Body.Motor += shift
	a.Profile.P += shift
	a.Variance, a.Reversal.Open = 0, false // nothing is in doubt
}

func (d *dish) step(commands ...step.Command) {
	in := &d.in
	in.CommandCount = copy(in.Commands[:], commands)
	in.WallNanos = int64(in.Now)
	if d.cheat && d.before != ([2]unit.Angle{}) {
		for i := range d.state.Axes {
			believe(&d.state.Axes[i].Motion, d.before[i].Rad())
		}
	}
	out := step.Step(&d.config, &d.state, in)
	in.NewCourse, in.Reply.Fresh = false, false
	d.enclosure.Run(in.Now + away)
	d.tick++
	if d.full != 0 {
		out.Demand.Az = d.full
	}
	out.Demand.Sequence = uint16(d.tick)
	var registers [enclosure.DemandCount]uint16
	out.Demand.Encode(&registers)
	if d.enclosure.Dead() {
		// Nobody hears or answers.
	} else if err := d.enclosure.Write(enclosure.AddressDemand, registers[:]); err == nil {
		in.Identity = d.enclosure.Identity()
		d.before, d.at = d.at, d.shown()
		m := d.enclosure.Motion()
		if d.blind {
			m.Current = [2]int16{enclosure.NotFitted, enclosure.NotFitted}
		}
		if d.spoil != nil {
			d.spoil(&m)
		}
		in.Reply = step.Reply{Fresh: true, Motion: m, SentAt: in.Now, ReceivedAt: in.Now + 3*away}
	}
	in.Now += d.config.Tick
	d.enclosure.Run(in.Now)
	if d.tick%5 == 0 {
		in.Readings = d.enclosure.Readings()
		in.Readings.Read = 1<<enclosure.ReadingCount - 1
	}
}

func (d *dish) powerOn() bool {
	d.step()
	d.step(step.Power{On: true, Asked: true})
	for range 50 {
		if d.step(); d.state.Power == step.PowerOn {
			return true
		}
	}
	return false
}

// follow gives a course along the angles that at tells, of a moment in the loop's time.
func (d *dish) follow(at func(step.Nanos) (az, el float64)) {
	c := &d.in.Course
	c.Count = step.MaxKnots
	const h = 0.5
	for k := range c.Knots {
		t := d.in.Now + time.Duration(k)*4*time.Second
		az, el := at(t)
		a1, e1 := at(t - step.Nanos(h*1e9))
		a2, e2 := at(t + step.Nanos(h*1e9))
		c.Knots[k] = step.Knot{At: t,
			Axes:   mount.AxisAngles{Az: unit.AngleFromDeg(az), El: unit.AngleFromDeg(el)},
			AzRate: (a2 - a1) / (2 * h) * math.Pi / 180, ElRate: (e2 - e1) / (2 * h) * math.Pi / 180}
	}
	d.in.NewCourse = true
}
