package desk

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
)

// excursion is where the beam is beside the place that the trim gives it, while
// the target is followed all the same. Its zero is nowhere beside. Whatever ends
// following the target ends the excursion too.
type excursion struct {
	// Sideways is the true angle to the side at the same elevation, + clockwise.
	Sideways unit.Angle
	// From and To are true angles on the sky: the beam is at From until Begin and at
	// To from End on, and in between on the line between them at an even rate.
	From, To   mount.Offset
	Begin, End time.Time
}

// sweeps reports whether the beam is on its way at a moment, or will be.
func (e *excursion) sweeps(at time.Time) bool { return e.From != e.To && at.Before(e.End) }

// held is the excursion to a place beside the target.
func held(o mount.Offset) excursion { return excursion{From: o, To: o} }

// at is the way from the target to the beam at a moment, without the trim, for a
// target that stands at d.
func (e *excursion) at(at time.Time, d mount.Direction) mount.Offset {
	if e.Sideways != 0 {
		return sideways(d, e.Sideways)
	}
	switch {
	case e.From == e.To || !at.After(e.Begin):
		return e.From
	case !at.Before(e.End):
		return e.To
	}
	part := float64(at.Sub(e.Begin)) / float64(e.End.Sub(e.Begin))
	return mount.Offset{Cross: e.From.Cross + (e.To.Cross - e.From.Cross).Mul(part), El: e.From.El + (e.To.El - e.From.El).Mul(part)}
}

// sideways is the way to the place at the same elevation that lies a true angle
// away, + clockwise; as far as the elevation allows.
func sideways(d mount.Direction, by unit.Angle) mount.Offset {
	half := math.Sin(math.Abs(by.Rad())/2) / max(1e-9, d.El.Cos())
	turn := 2 * math.Asin(min(1, half))
	return d.OffsetTo(mount.Direction{Az: d.Az + unit.Angle(math.Copysign(turn, by.Rad())), El: d.El})
}

// excurse takes an excursion up; the next course has it.
func (s *State) excurse(e excursion) {
	if s.Excursion != e {
		s.Excursion, s.HasCourse = e, false
	}
}

// within says why an excursion to a place beside the target can't be made now; empty where it can.
func (t *turn) within(o mount.Offset) string {
	s, c := t.s, t.c
	d, _, ok := c.Place(s.Choice, t.in.At)
	if !ok {
		return "there is no target"
	}
	near, exact := s.Route.azimuthNear(t.in.At)
	if exact {
		return "the target is too near the zenith"
	}
	chain := s.chain(c)
	chain.Trim = chain.Trim.Plus(o)
	axes := chain.Axes(d)
	axes.Az = station.Nearest(axes.Az, near)
	switch {
	case c.Drive.Axes[mount.Azimuth].Fitted && !c.Drive.Axes[mount.Azimuth].Limits.Inside(axes.Az):
		return "it would pass an azimuth limit"
	case c.Drive.Axes[mount.Elevation].Fitted && !c.Drive.Axes[mount.Elevation].Limits.Inside(axes.El):
		return "it would pass an elevation limit"
	case axes.El < c.Over(axes.Az):
		return "a structure stands there"
	}
	return t.sunWay(axes)
}

// aside goes to the colder side of the target and stays there, or back.
func (t *turn) aside(on bool) {
	s := t.s
	s.NudgeAt = t.in.Now
	switch {
	case !on:
		if s.Excursion.Sideways != 0 {
			s.excurse(excursion{})
			s.Acquired, s.Returning = false, true
			t.say(Normal, "Going back to %s", t.s.Choice.InWords())
		}
	case s.Aim != trackAim:
		t.say(Warning, "Not off source: nothing is tracked")
	case t.busy() != "":
		t.say(Warning, "Not off source: %s", t.busy())
	default:
		by := t.c.Beamwidth(s.Band, s.Feed).Mul(t.c.Settings.Tracking.AsideBeamwidths)
		side, why := t.colder(by)
		if why != "" {
			t.say(Warning, "Not off source: %s", why)
			return
		}
		s.excurse(excursion{Sideways: side})
		s.Acquired, s.Returning = false, false
		t.say(Normal, "Off source from %s by %.1f°", t.s.Choice.InWords(), by.Deg())
	}
}

// sunShy is within how many beamwidths of it the Sun spoils cold sky.
const sunShy = 3

// colder is the side, left or right, at which the sky is colder and where the
// beam may go; why says what is in the way of both.
func (t *turn) colder(by unit.Angle) (side unit.Angle, why string) {
	d, _, ok := t.c.Place(t.s.Choice, t.in.At)
	if !ok {
		return 0, "there is no target"
	}
	sun := t.c.SunAt(t.in.At)
	best := math.Inf(1)
	for _, way := range [...]unit.Angle{by, -by} {
		o := sideways(d, way)
		if blocked := t.within(o); blocked != "" {
			why = blocked
			continue
		}
		there := d.Shift(o)
		warmth := t.c.SkyK(there, t.in.At, t.c.Beamwidth(t.s.Band, t.s.Feed), t.c.Settings.Bands[t.s.Band].MHz*1e6)
		if station.Apart(there, sun) < t.c.Beamwidth(t.s.Band, t.s.Feed).Mul(sunShy) {
			warmth += 1e6
		}
		if warmth < best {
			best, side = warmth, way
		}
	}
	if side == 0 {
		return 0, why
	}
	return side, ""
}
