package guard

import "time"

// State is what the rows remember between ticks. Its zero is a fresh start. Its
// fields are exported so that it can be recorded; only Judge changes them.
type State struct {
	Axes [2]travel
	// Since is when a row's test became true, per axis (NoAxis in 0), 0 while false.
	Since [CodeCount][2]time.Duration
	// Standing rows, per axis; a row that is not per axis stands for both.
	Standing [CodeCount][2]bool

	Clock     clock
	Obedience [2]obedience
	Pursuit   [2]pursuit
	Fitted    Sensors
	Elsewhere [2]bool // an end switch stands open far from its place

	GustUntil, ClockUntil, LateUntil time.Duration
	Hot                              [2]bool
	Windy, Breezy                    bool // above the limits of the stow, of the warning
	Wind                             windMeans
	WindSame                         float64
	WindSince                        time.Duration
}

// MaxFound is the most findings that one verdict carries.
const MaxFound = 24

// Verdict is what the rows found in a tick.
type Verdict struct {
	Found [MaxFound]Finding
	Count int
	// New marks those that did not stand in the tick before.
	New [MaxFound]bool
	// Response is the gravest of all findings' but Block, First the first finding with it.
	Response Response
	First    Finding
	// BlockLow and BlockHigh: no motion to falling or rising angles, per axis.
	BlockLow, BlockHigh [2]bool
	// Pause: demands are zero by the slope while it stands, and motion goes on afterwards.
	Pause bool
	// Cut: demands are zero at once in this tick.
	Cut bool
	// Rest: come to rest and hold. RestJog: that ends jogs too, which soft limit
	// and structure do not: they only bound them.
	Rest, RestJog bool
	// Refuse is the first row that refuses any start, None where none does.
	Refuse Code
	// Withdraw is the first row that withholds the permit. EndPermit: one of them
	// ends the request for it as well.
	Withdraw  Code
	EndPermit bool
	// RefusePower is the first row that keeps drive power from coming on.
	RefusePower Code
	// Stow: the wind asks for the stow.
	Stow bool
}

// Stands reports whether a row stood when last judged, on either axis.
func (s *State) Stands(code Code) bool { return s.Standing[code][0] || s.Standing[code][1] }

// Uncommanded returns the rate of the counts of an axis, radians a second over about 1.5 s, while it doesn't move as it
// is driven: no model of its drive tells it then.
func (s *State) Uncommanded(axis int) (rate float64, uncommanded bool) {
	for _, code := range [...]Code{MovingAfterStop, MovingNotDriven, WrongWay, NotObeyed, TooFast} {
		uncommanded = uncommanded || s.Standing[code][axis]
	}
	return s.Axes[axis].Steady, uncommanded
}

// Forget drops what was followed of both axes: after a break nothing can be
// said of the motion meanwhile.
func (s *State) Forget() { s.Axes = [2]travel{{Heat: s.Axes[0].Heat}, {Heat: s.Axes[1].Heat}} }

// Judge looks at every row.
func Judge(c *Config, f *Facts, s *State) Verdict {
	s.Fitted.update(f)
	s.Wind.update(f)
	if f.Fresh {
		if s.Clock.update(f); f.Now < s.Clock.Until {
			s.Forget() // by a clock that is wrong nothing can be said of the motion
		}
		for i := range s.Axes {
			if c.Axes[i].Fitted {
				s.Axes[i].update(&c.Axes[i], &f.Axes[i], f.Millis)
				s.Obedience[i].update(&c.Axes[i], f, &f.Axes[i])
				s.Pursuit[i].update(&c.Axes[i], f, &f.Axes[i])
			}
		}
	}
	var v Verdict
	for i := range rows {
		r := &rows[i]
		axes := 1
		if r.PerAxis {
			axes = 2
		}
		for axis := range axes {
			s.judgeRow(c, f, r, axis, &v)
		}
	}
	// Whatever kept the replies away, nothing is driven by what was known so long ago.
	v.Cut = f.Connected && f.ReplyAge > c.linkLoss(f.Ours) && f.Asleep > 0
	return v
}

func (s *State) judgeRow(c *Config, f *Facts, r *Row, axis int, v *Verdict) {
	stood := s.Standing[r.Code][axis]
	found := (!r.PerAxis || c.Axes[axis].Fitted) && !s.explained(r, axis) && r.Test(c, f, s, axis)
	if found && r.Hold > 0 {
		if s.Since[r.Code][axis] == 0 {
			s.Since[r.Code][axis] = f.Now + 1
		}
		found = f.Now+1-s.Since[r.Code][axis] >= r.Hold
	} else if !found {
		s.Since[r.Code][axis] = 0
	}
	s.Standing[r.Code][axis] = found
	if !r.PerAxis {
		s.Standing[r.Code][1] = found
	}
	if found {
		v.add(r, f, axis, !stood)
	}
}

// explained reports whether a cause of the row stands: on the same axis, or for
// both; a row that is not per axis is explained by either.
func (s *State) explained(r *Row, axis int) bool {
	for _, cause := range r.Behind {
		if s.Standing[cause][axis] || !r.PerAxis && s.Standing[cause][1] {
			return true
		}
	}
	return false
}

func (v *Verdict) add(r *Row, f *Facts, axis int, isNew bool) {
	finding := Finding{r.Code, NoAxis}
	if r.PerAxis {
		finding.Axis = int8(axis)
	}
	if v.Count < MaxFound {
		v.Found[v.Count], v.New[v.Count] = finding, isNew
		v.Count++
	}
	if r.Refuses && v.Refuse == None {
		v.Refuse = r.Code
	}
	if (r.Refuses || r.RefusesPower) && v.RefusePower == None {
		v.RefusePower = r.Code
	}
	ends := r.Response >= Trip || r.EndsPermit
	v.EndPermit = v.EndPermit || ends
	if (ends || r.Response == Withdraw) && v.Withdraw == None {
		v.Withdraw = r.Code
	}
	switch r.Response {
	case Block:
		v.BlockLow[axis] = v.BlockLow[axis] || f.Axes[axis].EndLow
		v.BlockHigh[axis] = v.BlockHigh[axis] || f.Axes[axis].EndHigh
	case Pause:
		v.Pause = true
	case Rest:
		v.Rest = true
		v.RestJog = v.RestJog || r.Code != SoftLimit && r.Code != Structure
	case Stow:
		v.Stow = true
	case Trip, TripPower:
		if r.Response > v.Response {
			v.Response, v.First = r.Response, finding
		}
	}
}
