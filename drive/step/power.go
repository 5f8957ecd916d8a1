package step

import (
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
)

// clearFor is how long the enclosure may take to clear its trips.
const clearFor = time.Second

// power changes the power state. What each may become is said at its name.
func (s *State) power(in *Inputs, p PowerState) {
	if s.Power == p {
		return
	}
	s.Power = p
	switch p {
	case PowerOff:
		s.Confirmed = false
	case PowerClearing:
		s.ClearAt = in.Now
	case PowerAsked:
		s.AskedAt, s.Confirmed = in.Now, false
	case PowerOn:
		s.Confirmed = true
		s.RestSince = in.Now
	}
}

// supply takes drive power from the press to on: first the trips are cleared
// in writes that leave it off, then it is asked for in a write that clears nothing.
func (s *State) supply(in *Inputs) {
	switch s.Power {
	case PowerClearing:
		switch {
		case s.Verdict.RefusePower != guard.None:
			s.power(in, PowerOff)
			s.note(in, RefusedBy, s.Verdict.RefusePower, guard.NoAxis, 0)
		case in.Reply.Fresh && s.Observed.Trips == 0 && s.ClearAt != in.Now:
			s.power(in, PowerAsked)
		case in.Now-s.ClearAt > clearFor:
			s.power(in, PowerOff)
			s.say(in, TripsNotCleared)
		}
	case PowerAsked:
		if in.Reply.Fresh && s.Observed.Powered {
			s.power(in, PowerOn)
			s.say(in, PowerCameOn)
		}
	}
}

func (m Permit) obey(s *State, c *Config, in *Inputs) {
	p := &s.Permit
	switch {
	case !m.On:
		p.Requested = false
		return
	case m.Asked && !p.Requested:
		p.Requested = true
		s.ClearOnce = s.ClearOnce || s.Power == PowerOff && !s.Lock.Locked
	}
	p.Held = m.Held
	if p.Until = 0; c.PermitLife > 0 {
		p.Until = in.Now + c.PermitLife
	}
}

// endsPermit reports what ends the request for the permit: it must be made again.
func (s *State) endsPermit(in *Inputs) bool {
	return s.Verdict.EndPermit || s.Lock.Locked || s.Permit.Stopped || s.Stop.Pending() || s.Working ||
		s.Permit.Until != 0 && in.Now > s.Permit.Until
}

// permit decides the transmit permit: requested, nothing against it, and no trip
// standing at the enclosure.
func (s *State) permit(in *Inputs) bool {
	p := &s.Permit
	p.Because = s.Verdict.Withdraw
	switch {
	case s.Lock.Locked && s.Lock.Cause.Code != guard.None:
		p.Because = s.Lock.Cause.Code
	case s.Working:
		p.Because = guard.WorkingAtDish
	}
	ended := p.Requested && s.endsPermit(in)
	p.Requested, p.Stopped = p.Requested && !ended, false
	give := p.Requested && !p.Held && p.Because == guard.None && s.Line.Connected && s.Observed.Trips == 0
	// It comes on only at a change: where it was not granted it is asked for again.
	if give && p.Ordered && !s.Observed.Permitted && in.Now-p.At > time.Second {
		give = false
	}
	if give != p.Ordered {
		p.At = in.Now
		if give {
			s.say(in, PermitGiven)
		} else if p.Because != guard.None || ended {
			s.note(in, PermitWithdrawn, p.Because, guard.NoAxis, 0)
		} else if !p.Requested {
			s.say(in, PermitReturned)
		}
	}
	p.Ordered = give
	return give
}

// orders writes the registers.
func (s *State) orders(c *Config, in *Inputs) Outputs {
	var out Outputs
	d := &out.Demand
	d.WatchdogMillis = uint16(c.Watchdog / time.Millisecond)
	powered := s.Power == PowerAsked || s.Power == PowerOn
	clearing := s.Power == PowerClearing || s.ClearOnce && s.Power == PowerOff
	if clearing {
		d.Clear = s.Observed.Trips
		s.ClearOnce = false
	}
	d.Orders = d.Orders.With(enclosure.OrderPower, powered)
	d.Orders = d.Orders.With(enclosure.OrderPermit, s.permit(in) && d.Clear == 0)
	if in.HasIdentity && in.Identity.Fitted.Has(enclosure.FittedWarning) {
		d.Orders = d.Orders.With(enclosure.OrderWarning, s.Mode == Warning)
	}
	for i := range s.Axes {
		a := &s.Axes[i]
		if s.Power != PowerOn || !c.Axes[i].Fitted {
			a.Demand = 0
		}
		a.Starts.count(in, a.Demand != 0)
	}
	d.Az, d.El = s.Axes[Azimuth].Demand, s.Axes[Elevation].Demand
	if s.Slow.Due && s.Line.Connected {
		out.Slow, out.SlowDue = s.Slow.Wanted, true
		s.Slow.Sending = true
	}
	return out
}

// count notes a motor start.
func (m *Starts) count(in *Inputs, driven bool) {
	minute := int64(in.Now / time.Minute)
	if m.Begun == 0 {
		m.Begun, m.Minute = in.Now+1, minute
	}
	for ; m.Minute < minute; m.Minute++ {
		m.Minutes[(m.Minute+1)%60] = 0
		if minute-m.Minute > 60 {
			m.Minute = minute - 61
		}
	}
	if driven && !m.Driven {
		m.Minutes[minute%60]++
	}
	m.Driven = driven
}

// perHour is the number of starts over the last hour, scaled up from at least ten minutes where fewer have passed.
func (m *Starts) perHour(now Nanos) float64 {
	sum := 0.0
	for _, n := range m.Minutes {
		sum += float64(n)
	}
	hours := max(10*time.Minute, min(time.Hour, now-m.Begun)).Hours()
	return sum / hours
}
