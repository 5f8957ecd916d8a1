package step

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
)

// identify decides, at the first reply and after every start of the enclosure,
// which positions may be trusted, and takes in the passing of marks.
func (s *State) identify(c *Config, in *Inputs) {
	l := &s.Line
	l.Restarted = false
	if !in.HasIdentity || !s.Observed.Have {
		return
	}
	if start := in.Reply.Motion.StartCounter; !l.HasStart || l.Start != start || l.StartSeen {
		l.Restarted = l.HasStart
		l.HasStart, l.Start, l.StartSeen = true, start, false
		for i := range s.Axes {
			s.Axes[i].Rise = Rise{} // the counts begin anywhere
			if c.Axes[i].Fitted {
				s.recall(c, in, i)
			}
		}
		s.Slow.Due, s.Slow.Sending = true, false
	}
	for i := range s.Axes {
		if c.Axes[i].Fitted {
			s.passMark(c, in, i)
		}
	}
}

// recall trusts a kept reference where it may be, else offers the last known place. One that has the axis stand where
// it can't get is neither trusted nor offered: what was kept of it is damaged.
func (s *State) recall(c *Config, in *Inputs, i int) {
	a := &s.Axes[i]
	survive := in.Identity.Fitted.Has(enclosure.FittedCountsSurvive) || in.Identity.Absolute(i)
	r := a.Reference
	if r.Origin == mount.NoOrigin {
		return
	}
	if r.Valid(s.Line.Start, survive) && (survive || !s.Line.Restarted) {
		switch {
		case s.Limits.Axes[i].Beyond(c.Axes[i].Scale.Middle(r.Zero, s.Observed.Samples[i].Counts)):
			a.Trusted = true // so that its end is told
			s.distrust(in, i)
			a.HasOffer = false
		case a.Distrusted:
			s.offer(c, i, r.Zero, mount.ByHand)
		default:
			s.trust(c, in, i, r.Zero, r.Origin)
		}
		return
	}
	s.distrust(in, i)
	// The dish has hardly moved while the enclosure was off: offer the last place.
	last := c.Axes[i].Scale.Middle(r.Zero, r.LastCounts)
	if a.HasOffer = false; !s.Limits.Axes[i].Beyond(last) {
		s.offer(c, i, c.Axes[i].Scale.ZeroAt(s.Observed.Samples[i].Counts, last), mount.ByHand)
	}
}

// trust makes a zero the one in force.
func (s *State) trust(c *Config, in *Inputs, i int, z mount.Zero, by mount.Origin) {
	a := &s.Axes[i]
	at := in.WallNanos
	if a.Reference.Zero == z && a.Reference.Origin == by {
		at = a.Reference.AtUnixNanos
	}
	a.Reference = mount.Reference{
		Zero: z, Start: s.Line.Start, LastCounts: s.Observed.Samples[i].Counts,
		Origin: by, AtUnixNanos: at,
	}
	a.Trusted, a.Distrusted, a.HasOffer, a.MarkOff = true, false, false, 0
	a.MarkAt, a.HasMarkAt = 0, by == mount.ByMark
	a.Motion.Relocate(c.Axes[i].Scale, z, s.Observed.Samples[i])
	if s.Mode == Holding {
		a.Setpoint, a.HasSetpoint = a.position(), true
	}
	s.note(in, Referenced, guard.None, int8(i), float64(by))
}

// distrust takes the trust from an axis; its zero stays on offer, unless it has the axis stand where it can't get.
func (s *State) distrust(in *Inputs, i int) {
	a := &s.Axes[i]
	if !a.Trusted {
		return
	}
	possible := !s.Limits.Axes[i].Beyond(a.position())
	a.Trusted, a.Distrusted, a.HasSetpoint = false, true, false
	a.Offered, a.OfferedBy, a.HasOffer = a.Reference.Zero, mount.ByHand, possible
	s.note(in, Distrusted, guard.None, int8(i), 0)
	if s.Mode == Slewing || s.Mode == Following || s.Mode == Warning {
		s.enter(Halting, in)
	}
}

// offer keeps a zero for the operator's word.
func (s *State) offer(c *Config, i int, z mount.Zero, by mount.Origin) {
	a := &s.Axes[i]
	a.Offered, a.OfferedBy, a.HasOffer = z, by, true
	a.Motion.Relocate(c.Axes[i].Scale, z, s.Observed.Samples[i])
}

func (m Reference) obey(s *State, c *Config, in *Inputs) {
	i, a := m.Axis, &s.Axes[m.Axis]
	if !s.counted(c, in, i) || !s.endsAgree(in, i, m.Angle) {
		return
	}
	z := c.Axes[i].Scale.ZeroAt(s.Observed.Samples[i].Counts, m.Angle)
	if a.Trusted || a.HasOffer {
		// What is known between two counts is kept.
		z = a.zero()
		z.Angle += m.Angle - a.position()
	}
	s.trust(c, in, i, z, m.Origin)
}

func (m TrustOffered) obey(s *State, c *Config, in *Inputs) {
	a := &s.Axes[m.Axis]
	if s.counted(c, in, m.Axis) && a.HasOffer && s.endsAgree(in, m.Axis, a.position()) {
		s.trust(c, in, m.Axis, a.Offered, mount.ByHand)
	}
}

func (m Distrust) obey(s *State, _ *Config, in *Inputs) { s.distrust(in, m.Axis) }

// counted refuses a reference of an axis whose counts are not known.
func (s *State) counted(c *Config, in *Inputs, i int) bool {
	switch {
	case !s.Observed.Have || !c.Axes[i].Fitted:
		s.say(in, RefusedNothing)
	case s.Observed.Lost[i]:
		s.note(in, RefusedEncoder, guard.None, int8(i), 0)
	default:
		return true
	}
	return false
}

// endsAgree refuses a reference that has the axis stand where it can't get, or that an open end switch contradicts.
func (s *State) endsAgree(in *Inputs, i int, at unit.Angle) bool {
	if s.Limits.Axes[i].Beyond(at) {
		s.note(in, RefusedBeyond, guard.None, int8(i), 0)
		return false
	}
	far := s.Limits.Axes[i].FarFrom(s.Observed.EndLow[i], s.Observed.EndHigh[i], at)
	if far {
		s.note(in, RefusedEnd, guard.None, int8(i), 0)
	}
	return !far
}

// passMark takes in the mark latch: the counts at the moment the mark was last
// entered with rising counts. An axis that is not trusted is referenced by it
// where only one turn of the cable fits; else the nearest turn is offered.
func (s *State) passMark(c *Config, in *Inputs, i int) {
	a, x := &s.Axes[i], &c.Axes[i]
	a.Rise.take(&x.Scale, s.Observed.Samples[i].Counts, s.Observed.OnMark[i])
	counts, entries, ok := in.Readings.Mark(i)
	if !ok || !x.HasMark {
		return
	}
	if !a.HasMark {
		a.Mark, a.HasMark = entries, true
	}
	if entries == a.Mark {
		return
	}
	a.Mark = entries
	if s.Observed.Lost[i] || !a.Rise.entered(&x.Scale, counts) {
		return // what a failed encoder counted says nothing, nor does a mark entered from above
	}
	if a.Trusted {
		place := x.Scale.Edge(a.zero(), counts)
		off := math.Remainder((place - x.MarkAngle).Rad(), 2*math.Pi)
		a.MarkOff = unit.Angle(off)
		if math.Abs(off) > 2*x.Scale.Step.Rad() {
			s.note(in, MarkPassed, guard.None, int8(i), unit.Angle(off).Deg())
		}
		s.compareMark(c, in, i)
		return
	}
	zero, fits := s.byMark(x, a, counts, s.Observed.Samples[i].Counts)
	switch {
	case fits == 1:
		s.trust(c, in, i, zero, mount.ByMark)
	case fits > 1:
		s.offer(c, i, zero, mount.ByMark)
	}
}

// markDoubt is how unlike two passings of a mark may be, where the counts are
// finer (common practice, no source).
var markDoubt = unit.AngleFromDeg(0.1)

// compareMark compares where the mark was passed with where it was under this
// reference before: it doesn't move, so that counts were lost or won where the
// two are more than two counts apart.
func (s *State) compareMark(c *Config, in *Inputs, i int) {
	a := &s.Axes[i]
	if !a.HasMarkAt {
		a.MarkAt, a.HasMarkAt = a.MarkOff, true
		return
	}
	lost := a.MarkOff - a.MarkAt
	if math.Abs(lost.Rad()) <= max(2.01*c.Axes[i].Scale.Step, markDoubt).Rad() {
		return
	}
	s.distrust(in, i)
	z := a.Offered
	z.Angle -= lost
	s.offer(c, i, z, mount.ByMark)
}

// byMark returns the zero that puts the mark in its place on the turn of the
// cable nearest to what was offered, and how many turns would fit between the ends.
func (s *State) byMark(x *AxisConfig, a *AxisState, counts, now int32) (best mount.Zero, fits int) {
	nearest := math.Inf(1)
	for turn := -3; turn <= 3; turn++ {
		z := mount.Zero{Counts: counts, Angle: x.MarkAngle + unit.Angle(2*math.Pi*float64(turn))}
		here := x.Scale.Middle(z, now)
		if z.Angle < x.Limits.EndLow || z.Angle > x.Limits.EndHigh || here < x.Limits.EndLow ||
			here > x.Limits.EndHigh {
			continue
		}
		fits++
		away := math.Abs(float64(turn))
		if a.HasOffer {
			away = math.Abs((here - a.position()).Rad())
		}
		if away < nearest {
			nearest, best = away, z
		}
	}
	return best, fits
}

// wrongMap reports an identity that the panel cannot drive.
func (s *State) wrongMap(c *Config, in *Inputs) bool {
	if !in.HasIdentity {
		return false
	}
	if in.Identity.MapVersion != enclosure.MapVersion {
		return true
	}
	return c.Axes[0].Fitted && !in.Identity.Fitted.Axis(0) || c.Axes[1].Fitted && !in.Identity.Fitted.Axis(1)
}
