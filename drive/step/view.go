package step

import (
	"math"

	"beamhelm/drive/guard"
)

// View fills a status from the state after a step and that step's inputs.
func (s *State) View(c *Config, in *Inputs, v *Status) {
	*v = Status{
		Now: in.Now, WallNanos: in.WallNanos, Tick: s.Tick, Mode: s.Mode, Power: s.Power, Stop: s.Stop, Lock: s.Lock,
		Working: s.Working, StowNow: s.Stow.Now, StowCancelled: s.Stow.Cancelled,
		Identity: in.Identity, Motion: in.Reply.Motion,
		HasMotion: s.Observed.Have,
		Readings:  in.Readings, ReadingsAge: s.Facts.ReadingsAge, FindingCount: min(s.Verdict.Count, MaxFindings),
		LastEvent: s.Event,
		Link: LinkStatus{State: s.link(in), Age: in.Now - s.Line.At, Snapshot: s.Line.Snapshot, Replies: s.Line.Replies,
			Missed: s.Line.Missed},
		Permit: PermitStatus{Requested: s.Permit.Requested, Ordered: s.Permit.Ordered, Granted: s.Observed.Permitted,
			Because: s.Permit.Because, Keyed: s.Observed.Keyed},
	}
	copy(v.Findings[:], s.Verdict.Found[:v.FindingCount])
	if s.Mode == Warning {
		v.StartsInSeconds = (s.WarnEnd - in.Now).Seconds()
	}
	if s.Stow.Running {
		v.StowsInSeconds = (s.Stow.End - in.Now).Seconds()
	}
	v.CourseLeftSeconds = max(0, (s.Course.End() - in.Now).Seconds())
	for i := range v.Axes {
		s.viewAxis(c, in, i, &v.Axes[i])
	}
	unknown := s.Power == PowerOn && v.Link.State != LinkGood
	v.Moving = unknown || s.Mode.active() && s.Mode != Warning || v.Axes[0].Moving || v.Axes[1].Moving || !s.atRest()
}

func (s *State) viewAxis(c *Config, in *Inputs, i int, v *AxisStatus) {
	a, x, n := &s.Axes[i], &c.Axes[i], &s.Observed
	*v = AxisStatus{
		Fitted: x.Fitted, Trusted: a.Trusted, Distrusted: a.Distrusted, Position: a.position(), Estimated: true,
		Setpoint:    a.Setpoint,
		HasSetpoint: a.HasSetpoint && s.Mode != Halting, // it comes to rest where it can
		Rate:        a.Motion.Body.Speed, Demand: a.Motion.Demanded(), Applied: n.Samples[i].Applied,
		CurrentA: n.Current[i],
		EndLow:   n.EndLow[i], EndHigh: n.EndHigh[i], OnMark: n.OnMark[i], Moving: s.axisMoving(in, i),
		Counts: n.Samples[i].Counts,
		Step:   x.Scale.Step, HasOffer: a.HasOffer, OfferedOrigin: a.OfferedBy,
		StartsPerHour: a.Starts.perHour(in.Now), Learned: a.Motion.Learned, MarkOff: a.MarkOff, Kept: a.Reference,
	}
	if rate, uncommanded := s.Guard.Uncommanded(i); uncommanded {
		v.Rate = rate
	}
	if !n.Have {
		v.CurrentA = math.NaN()
		return
	}
	v.Low, v.High = x.Scale.Interval(a.zero(), v.Counts)
	if a.HasOffer && !a.Trusted {
		v.Offered = a.position()
	}
	if a.Trusted {
		v.Reference = a.Reference
	}
	if s.Mode == Slewing && a.HasSetpoint {
		v.ArrivesInSeconds = a.Motion.Arrives(&x.Drive, a.Setpoint.Rad())
	}
}

// link is the state of the line.
func (s *State) link(in *Inputs) LinkState {
	switch {
	case s.Guard.Stands(guard.WrongMap):
		return LinkRefused
	case !s.Line.Connected:
		return LinkOpening
	case s.Guard.Stands(guard.LinkLost):
		return LinkLost
	case !in.Reply.Fresh:
		return LinkWaiting
	}
	return LinkGood
}
