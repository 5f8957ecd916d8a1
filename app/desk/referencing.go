package desk

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Referencing tells what setting the position would do, and what its undoing would.
type Referencing struct {
	// Az and El are where the axes stand if the beam is on the target now; valid with HasTarget.
	Az, El    unit.Angle
	HasTarget bool
	// Undo is what UndoReference does to each axis.
	Undo [2]UndoneReference
}

// UndoneReference is an axis as it would be without the newest reference that the operator gave.
type UndoneReference struct {
	Can bool
	// To is where the axis would stand; valid with Known. Trusted says whether it was referenced.
	To             unit.Angle
	Known, Trusted bool
}

// givenReference is a reference that the operator gave an axis, and what it took the place of.
type givenReference struct {
	Valid bool
	At    time.Time
	// By is how far it moved the position, given angle less the one before; valid with Known.
	By             unit.Angle
	Known, Trusted bool
	Origin         mount.Origin
	// Trim is the one that a reference by the beam set to zero.
	Trim    mount.Offset
	HasTrim bool
}

// together is the time within which references of two axes are one act of the operator.
const together = 2 * time.Second

// giveReference asks the loop for a reference of an axis, and keeps what it takes the place of.
func (t *work) giveReference(i int, angle unit.Angle, by mount.Origin, trim *mount.Offset) {
	if i < 0 || i >= len(t.s.Given) {
		return
	}
	x := &t.in.Loop.Axes[i]
	g := givenReference{
		Valid:   true,
		At:      t.in.At,
		Trusted: x.Trusted,
		Known:   x.Trusted || x.HasOffer,
		Origin:  x.Reference.Origin,
	}
	before := x.Position
	if x.HasOffer && !x.Trusted {
		before = x.Offered
	}
	if g.Known {
		g.By = angle - before
	}
	if trim != nil {
		g.Trim, g.HasTrim = *trim, true
	}
	if other := &t.s.Given[1-i]; t.in.At.Sub(other.At) > together {
		*other = givenReference{}
	}
	t.s.Given[i] = g
	t.ask(step.Reference{Axis: i, Angle: angle, Origin: by})
}

// undoReference takes the newest reference back: the one before is in force
// again, or the axis is no longer referenced where it wasn't.
func (t *work) undoReference() {
	s, loop := t.s, t.in.Loop
	if loop.Moving || s.Aim == trackAim {
		t.say(Warning, "desk.not-undone")
		return
	}
	done := false
	for i := range s.Given {
		g, x := s.Given[i], &loop.Axes[i]
		s.Given[i] = givenReference{}
		if !g.Valid || !x.Trusted { // the enclosure was restarted meanwhile
			continue
		}
		done = true
		if g.Known {
			t.ask(step.Reference{Axis: i, Angle: x.Position - g.By, Origin: g.Origin})
		}
		if !g.Trusted {
			t.ask(step.Distrust{Axis: i})
		}
		if g.HasTrim {
			s.setTrim(t.c, g.Trim, t.in.At, true)
		}
	}
	if done {
		t.say(Normal, "desk.undone")
	}
}

// beamAxes is where the axes stand if the beam is on the target now, without any
// trim: what trim there was belongs to the old reference.
func (t *work) beamAxes() (mount.AxisAngles, bool) {
	s, c, in := t.s, t.c, t.in
	d, _, ok := c.Place(s.Choice, in.At)
	if !ok || d.El < c.Min() {
		return mount.AxisAngles{}, false
	}
	x := &in.Loop.Axes[mount.Azimuth]
	near := x.Position
	if x.HasOffer {
		near = x.Offered
	}
	chain := s.chain(c)
	chain.Trim = mount.Offset{}.Plus(s.Excursion.OffsetAt(in.At, d))
	axes := chain.Axes(d)
	axes.Az = station.Nearest(axes.Az, near)
	if az, inside := pointing.OnWrap(axes.Az, near, c.Drive.Axes[mount.Azimuth].Limits); inside {
		axes.Az = az
	}
	return axes, !math.IsNaN(axes.Az.Rad()) && !math.IsNaN(axes.El.Rad())
}

// referencing is what the status tells of it.
func (t *work) referencing() (r Referencing) {
	axes, ok := t.beamAxes()
	r.Az, r.El, r.HasTarget = axes.Az, axes.El, ok
	for i := range r.Undo {
		g, x := &t.s.Given[i], &t.in.Loop.Axes[i]
		if g.Valid && x.Trusted {
			r.Undo[i] = UndoneReference{Can: true, To: x.Position - g.By, Known: g.Known, Trusted: g.Trusted}
		}
	}
	return r
}
