package radio

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/passes"
)

// Plan is a month of a target at a glance. It is immutable; while a month is
// worked out, a day at a step, each new pointer holds a day more.
type Plan struct {
	// Month is its first moment, UTC; Days how many it has.
	Month  time.Time
	Days   int
	Of     station.BodyChoice
	Target string // its name
	// Partner names the stations that passes are shared with; empty for none.
	Partner string
	// Points are PlanPointsADay for each day that is worked out.
	Points []PlanPoint
	Passes []PlanPass // of the month
	Next   []PlanPass // from now on
	Marks  []PlanMark
}

// PlanPointsADay is the number of points of a day.
const PlanPointsADay = 96

const planPoint = 24 * time.Hour / PlanPointsADay

// PlanPoint is a moment of the month: where the target is seen, the merit by the rule of
// package echo (NaN for a target other than the Moon), and whether it is up here and there.
type PlanPoint struct {
	Az, El, PartnerEl unit.Angle
	Merit             float32
	// PathDB is the loss of the path over that at perigee, NoiseDB the noise over that under
	// a cold sky; both NaN where the Moon's merit has another cause, and for another target.
	PathDB, NoiseDB float32
	Up, Shared      bool
}

// PlanPass is a pass.
type PlanPass struct {
	Rise, Set        time.Time
	CutRise, CutSet  bool // it goes on beyond the span that was searched
	RiseAz, SetAz    unit.Angle
	Highest          time.Time
	HighestEl        unit.Angle
	AbovePerigeeDB   float64 // at its highest; 0 for what has no distance
	Merit            float64 // the best of it; NaN for a target other than the Moon
	Shared           time.Duration
	SharedFrom       time.Time // the first shared moment; zero for none
	SharedTo         time.Time // the last shared moment
	SunWithin        bool      // the Sun comes too near during it
	Dates            string    // the operator's words for its days; empty for none
	DistanceKm       float64
	PolarisationHere unit.Angle // spatial polarisation at the middle of the shared part
}

// PlanMark is a moment worth marking.
type PlanMark struct {
	At time.Time
	// Until is the end of the operator's own date; zero for what the sky does.
	Until time.Time
	Words message.Message
}

// monthKey is what a month belongs to.
type monthKey struct {
	Target     station.Target
	Month      time.Time
	Band, Feed int
	There      string
	Dates      int
}

// monthState is what the desk carries of the plan.
type monthState struct {
	Offset int // months from now
	Dates  []Date
	// DatesNumber counts the changes of Dates.
	DatesNumber int
	Choice      station.Target // what the plan is of; none is the Moon
	Key         monthKey
	Plan        *Plan
	Stage       int
	NextAt      time.Time // when the passes to come were worked out
	Then        time.Time // the moment that the operator looks at; zero for none
	ThenKey     monthKey
	ThenIs      *Path
}

// The passes to come are worked out for so long, so often.
const (
	nextReach = 9 * 24 * time.Hour
	nextAnew  = 30 * time.Minute
	maxNext   = 8
)

// maxMonths is how far from now a month may be looked at.
const maxMonths = 24

// month brings the plan a step further: never more than a day of it at a time.
func (w *work) month() *Plan {
	s, c, at := &w.s.Month, w.c, w.in.At
	target := w.s.PlanTarget(c)
	body, ok := target.Body()
	if c.Galaxy == nil || !ok {
		return nil
	}
	year, month, _ := at.Date()
	key := monthKey{
		target,
		time.Date(year, month+time.Month(s.Offset), 1, 0, 0, 0, 0, time.UTC),
		w.in.Band,
		w.in.Feed,
		w.s.partnerNames(),
		s.DatesNumber,
	}
	if key != s.Key || s.Plan == nil {
		s.Key, s.Stage, s.NextAt = key, 0, time.Time{}
		s.Plan = &Plan{
			Month:  key.Month,
			Days:   int(key.Month.AddDate(0, 1, 0).Sub(key.Month).Hours() / 24),
			Of:     target.BodyChoice,
			Target: target.BareName(),
		}
		s.Plan.Partner = key.There
		return s.Plan
	}
	next := *s.Plan
	switch {
	case s.Stage == 0:
		next.Passes = w.passes(body, key.Month, key.Month.AddDate(0, 1, 0))
	case s.Stage == 1:
		next.Marks = append(
			s.dateMarks(key.Month, key.Month.AddDate(0, 1, 0)),
			w.marks(body, key.Month, key.Month.AddDate(0, 1, 0))...)
	case s.Stage < 2+next.Days:
		next.Points = w.planDay(body, next.Points, key.Month.AddDate(0, 0, s.Stage-2))
	case w.nextIsOld(&next):
		next.Next = w.upcoming(body)
		s.NextAt = at
	default:
		return s.Plan
	}
	s.Stage++
	s.Plan = &next
	return s.Plan
}

func (w *work) nextIsOld(p *Plan) bool {
	at, s := w.in.At, &w.s.Month
	age := at.Sub(s.NextAt)
	return s.NextAt.IsZero() || age < 0 || age > nextAnew || len(p.Next) > 0 && at.After(p.Next[0].Set)
}

// planDay adds a day's points.
func (w *work) planDay(body ephem.Body, points []PlanPoint, day time.Time) []PlanPoint {
	c := w.c
	q, _ := w.question()
	limits, horizon, there := worthLimits(c), c.Horizon(), w.stationsThere()
	for i := range PlanPointsADay {
		at := day.Add(time.Duration(i) * planPoint)
		look := c.Sky.Look(q.Here, body, at)
		unknown := float32(math.NaN())
		p := PlanPoint{
			Az: look.Az, El: q.Air.Refracted(look.El), Merit: unknown, PathDB: unknown, NoiseDB: unknown,
		}
		p.Up = p.El >= max(limits.Min, station.LowestFree(horizon, look.Az))
		w.shareWith(there, body, at, &p)
		if body.Kind == ephem.Moon {
			own := q
			own.HasPartner = false // how good a pass is doesn't depend on who shares it
			worth := w.worthAt(own, at)
			p.Merit = float32(worth.Merit)
			if !worth.TooLow && !worth.SunTooNear {
				p.PathDB, p.NoiseDB = float32(worth.PathDB), float32(worth.NoiseDB)
			}
		}
		points = append(points, p)
	}
	return points
}

// upcoming are the passes from now on.
func (w *work) upcoming(body ephem.Body) []PlanPass {
	at := w.in.At
	var next []PlanPass
	for _, p := range w.passes(body, at.Add(-PassReach), at.Add(nextReach)) {
		if p.Set.After(at) && len(next) < maxNext && !p.CutSet {
			next = append(next, p)
		}
	}
	return next
}

// passes are those of a span, with what is shared with the partners.
func (w *work) passes(body ephem.Body, from, to time.Time) []PlanPass {
	c := w.c
	q, _ := w.question()
	here := w.c.Here()
	var shared []passes.Pass
	if there := w.stationsThere(); len(there) > 0 {
		shared = passes.Shared(c.Sky, body, here, there, from, to)
	}
	var sun []passes.Pass
	if body.Kind == ephem.Moon {
		sun = passes.SunNear(c.Sky, body, here, worthLimits(c).SunLeft, from, to)
	}
	var list []PlanPass
	for _, p := range passes.Of(c.Sky, body, here, from, to) {
		out := PlanPass{
			Rise:      p.Rise,
			Set:       p.Set,
			CutRise:   p.CutRise,
			CutSet:    p.CutSet,
			RiseAz:    p.RiseAz,
			SetAz:     p.SetAz,
			Highest:   p.Highest,
			HighestEl: p.HighestEl,
			Merit:     math.NaN(),
		}
		for _, part := range shared {
			if part.Rise.Before(p.Set) && part.Set.After(p.Rise) {
				if out.SharedFrom.IsZero() {
					out.SharedFrom = part.Rise
				}
				out.SharedTo = part.Set
				out.Shared += part.Set.Sub(part.Rise)
			}
		}
		for _, near := range sun {
			out.SunWithin = out.SunWithin || near.Rise.Before(p.Set) && near.Set.After(p.Rise)
		}
		out.Dates = w.s.Month.datesIn(p.Rise, p.Set)
		w.judgePass(body, q, &out)
		list = append(list, out)
	}
	return list
}

// meritEvery is the time between two samples of a pass's merit.
const meritEvery = 30 * time.Minute

// judgePass adds what makes a pass of the Moon good or bad.
func (w *work) judgePass(body ephem.Body, q echo.Question, p *PlanPass) {
	if body.Kind != ephem.Moon {
		return
	}
	look := w.c.Sky.Look(q.Here, body, p.Highest)
	_, _, geocentricKm := w.c.Sky.Geocentric(body, p.Highest)
	p.DistanceKm, p.AbovePerigeeDB = look.DistanceKm, echo.AbovePerigeeDB(geocentricKm)
	own := q
	own.HasPartner = false
	p.Merit = 0
	for at := p.Rise; at.Before(p.Set); at = at.Add(meritEvery) {
		p.Merit = max(p.Merit, w.worthAt(own, at).Merit)
	}
	if q.HasPartner && p.Shared > 0 {
		p.PolarisationHere = echo.Polarisation(
			w.c.Sky,
			q.Here,
			q.There,
			p.SharedFrom.Add(p.SharedTo.Sub(p.SharedFrom)/2),
		)
	}
}

// marks are the moments of a span that are worth marking: of the Moon alone.
func (w *work) marks(body ephem.Body, from, to time.Time) []PlanMark {
	if body.Kind != ephem.Moon {
		return nil
	}
	var list []PlanMark
	for _, m := range passes.Perigees(w.c.Sky, from, to) {
		list = append(list, PlanMark{At: m.At, Words: message.Of("mark.perigee")})
	}
	for _, m := range passes.HighestDeclinations(w.c.Sky, from, to) {
		list = append(list, PlanMark{At: m.At, Words: message.Of("mark.declination")})
	}
	for _, p := range passes.SunNear(w.c.Sky, body, w.c.Here(), worthLimits(w.c).SunLeft, from, to) {
		list = append(list, PlanMark{At: p.Rise.Add(p.Set.Sub(p.Rise) / 2), Words: message.Of("mark.sun-near")})
	}
	return list
}

// then are the figures of the moment that the operator looks at.
func (w *work) then() *Path {
	s := &w.s.Month
	if w.c.Galaxy == nil || s.Then.IsZero() {
		s.ThenIs = nil
		return nil
	}
	if s.ThenIs == nil || s.ThenIs.At != s.Then || s.ThenKey != s.Key {
		s.ThenIs, s.ThenKey = w.report(s.Then), s.Key
	}
	return s.ThenIs
}

// LookAtMonth has the plan be that of another month, so many from now.
func (s *State) LookAtMonth(offset int) { s.Month.Offset = max(-maxMonths, min(offset, maxMonths)) }

// PlanOf has the plan be of a target, which need not be the one in use. One without passes changes nothing.
func (s *State) PlanOf(target station.Target) (why message.Message) {
	if _, ok := target.Body(); !ok {
		return message.Of("radio.plan", target.BareName())
	}
	s.Month.Choice = target
	return message.Message{}
}

// PlanTarget is what the plan is of: the Moon until another is chosen.
func (s *State) PlanTarget(c *station.Config) station.Target {
	if s.Month.Choice.Kind == station.NoBody {
		return c.Moon()
	}
	return s.Month.Choice
}
