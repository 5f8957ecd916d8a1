package rig

import (
	"fmt"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Rig steps a drive against an enclosure, ten ticks a second.
type Rig struct {
	Config    step.Config
	State     step.State
	Inputs    step.Inputs
	Status    step.Status
	Out       step.Outputs
	Enclosure *FakeEnclosure
	// Cut: nothing gets through in either direction. Deaf: no reply gets back.
	// Starved: no reading gets back.
	Cut, Deaf, Starved bool
	// Told are the events not yet taken.
	Told []step.Event
	// AfterTick is called after every tick, where set.
	AfterTick func(*Rig)
	// Wall is how far the wall clock has been set.
	Wall time.Duration
	told uint64
}

// New returns a rig whose dish stands at those angles in degrees, with trusted positions.
func New(az, el float64) *Rig { return NewWith(step.Default(), az, el) }

// NewWith is New with a configuration.
func NewWith(c step.Config, az, el float64) *Rig {
	var kept step.Kept
	fake := NewFakeEnclosure(&c, az, el)
	for i := range kept.References {
		kept.References[i] = mount.Reference{Start: fake.Start, Origin: mount.ByHand, LastCounts: fake.Axes[i].Counts}
	}
	return Join(c, fake, kept)
}

// Again is a new session with the same enclosure, as after the program ended and began again.
func (r *Rig) Again() *Rig {
	kept := step.Kept{Locked: r.Status.Lock.Locked, Cause: r.Status.Lock.Cause}
	for i, a := range r.Status.Axes {
		kept.References[i], kept.Learned[i], kept.Distrusted[i] = a.Kept, a.Learned, a.Distrusted
	}
	return Join(r.Config, r.Enclosure, kept)
}

// Join begins a session with an enclosure.
func Join(c step.Config, fake *FakeEnclosure, kept step.Kept) *Rig {
	r := &Rig{Config: c, Enclosure: fake}
	r.State = step.New(&r.Config, kept)
	r.Inputs.Readings = enclosure.NoReadings()
	r.Inputs.Identity, r.Inputs.HasIdentity = r.Enclosure.Identity(), true
	r.Tick()
	r.Tick()
	return r
}

// start of wall time in a rig.
const wall = 1_800_000_000 * int64(time.Second)

// Tick makes one tick with those commands.
func (r *Rig) Tick(commands ...step.Command) {
	const away = 20 * time.Millisecond
	in := &r.Inputs
	in.WallNanos = wall + int64(in.Now+r.Wall)
	in.CommandCount = copy(in.Commands[:], commands)
	r.Out = step.Step(&r.Config, &r.State, in)
	in.NewCourse = false
	in.Reply.Fresh = false
	r.State.View(&r.Config, in, &r.Status)
	r.Enclosure.Run(away)
	if !r.Cut {
		r.Enclosure.Write(r.Out.Demand)
		if !r.Deaf {
			in.Reply = r.Enclosure.reply(in.Now, in.Now+3*away)
			in.Identity = r.Enclosure.Identity()
			if !r.Starved {
				in.ReadingsAt = [2]step.Nanos{in.Now, in.Now}
			}
		}
	}
	r.Enclosure.Run(r.Config.Tick - away)
	in.Now += r.Config.Tick
	for n := r.told + 1; n <= r.State.Event; n++ {
		r.Told = append(r.Told, r.State.Events[n%step.MaxEvents])
	}
	r.told = r.State.Event
	if r.State.Illegal != 0 {
		panic(fmt.Sprintf("at %v: a change of mode that may not be: %v", in.Now, r.Told))
	}
	if s := &r.State; s.Lock.Locked != (s.Mode == step.LockedOut) {
		panic(fmt.Sprintf("at %v: lock %+v in mode %v", in.Now, s.Lock, s.Mode))
	}
	if r.AfterTick != nil {
		r.AfterTick(r)
	}
}

// Run ticks for that long.
func (r *Rig) Run(d time.Duration) {
	for end := r.Inputs.Now + d; r.Inputs.Now < end; {
		r.Tick()
	}
}

// Until ticks until the condition holds, at most for d; false where it never did.
func (r *Rig) Until(d time.Duration, holds func() bool) bool {
	for end := r.Inputs.Now + d; r.Inputs.Now < end; {
		if holds() {
			return true
		}
		r.Tick()
	}
	return holds()
}

// PowerOn presses drive power and waits until it is on.
func (r *Rig) PowerOn() bool {
	r.Tick(step.Power{On: true, Asked: true})
	return r.Until(4*time.Second, func() bool { return r.State.Power == step.PowerOn })
}

// SlewTo is a slew that was asked for, in degrees.
func SlewTo(az, el float64) step.Command {
	return step.Slew{To: mount.AxisAngles{Az: unit.AngleFromDeg(az), El: unit.AngleFromDeg(el)}, Asked: true}
}

// Follow gives a course from where az and el are, in degrees, at those rates in
// degrees a second, a minute long from now.
func (r *Rig) Follow(az, el, azRate, elRate float64) {
	const degree = 3.14159265358979 / 180
	c := &r.Inputs.Course
	c.Count = step.MaxKnots
	for i := range c.Knots {
		t := time.Duration(i) * 4 * time.Second
		c.Knots[i] = step.Knot{
			At: r.Inputs.Now + t,
			Axes: mount.AxisAngles{Az: unit.AngleFromDeg(az + azRate*t.Seconds()),
				El: unit.AngleFromDeg(el + elRate*t.Seconds())},
			AzRate: azRate * degree, ElRate: elRate * degree,
		}
	}
	r.Inputs.NewCourse = true
}

// Place is where the dish really is, in degrees.
func (r *Rig) Place() (az, el float64) {
	return unit.Angle(r.Enclosure.Axes[0].Dish).Deg(), unit.Angle(r.Enclosure.Axes[1].Dish).Deg()
}
