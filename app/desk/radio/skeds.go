package radio

import (
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/mode"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/sked"
)

// Skeds are the times of the coming weeks that are good for appointments with the plan's partners, by way of the Moon.
// It is immutable; while it is worked out, a window at a step, each new pointer holds a window more.
type Skeds struct {
	From time.Time
	Days int
	// Partners are the names of those who must have the Moon at once; none: there is nothing to work out.
	Partners []string
	Band     string
	Mode     string
	// ToleratedHz is the spread that the mode doesn't notice, Shortest the least length of a window, SunLeft the least
	// angle between Moon and Sun.
	ToleratedHz float64
	Shortest    time.Duration
	SunLeft     unit.Angle
	// List has the windows, best first; Left of them are still to be judged.
	List []sked.Sked
	Left int
	// Chart is the same as a picture: its days from the first on, up within the windows, its merit from 1 at no loss
	// to 0 at SkedSpanDB; PathDB of a point is the whole loss. It is of no target: Of is empty.
	Chart *Plan
}

// SkedSpanDB is the loss at which the chart of skeds is darkest.
const SkedSpanDB = 10

// The span and the lengths of windows that are looked for.
const (
	SkedDays     = 28
	MaxSkedDays  = 366
	skedShortest = 30 * time.Minute
	skedsAnew    = 6 * time.Hour
)

// SkedLengths are the least lengths of a window that are offered.
func SkedLengths() []time.Duration {
	return []time.Duration{skedShortest, time.Hour, 2 * time.Hour, 4 * time.Hour}
}

// skedKey is what skeds belong to.
type skedKey struct {
	band, feed, mode int
	partners, list   string
	shortest, steady time.Duration
}

// skedState is what is carried of skeds.
type skedState struct {
	On       bool
	Shortest time.Duration // 0: the usual
	key      skedKey
	question sked.Question
	left     []sked.Window
	is       *Skeds
}

// SetSkeds begins or ends the working out of skeds; minutes are the least length of a window, 0 as before.
func (s *State) SetSkeds(on bool, minutes int) (why message.Message) {
	length := time.Duration(minutes) * time.Minute
	if length < 0 || length > 24*time.Hour {
		return message.Of("radio.sked-length", length.Hours())
	}
	s.Skeds.On = on
	if minutes > 0 {
		s.Skeds.Shortest = length
	}
	return message.Message{}
}

// skeds brings the skeds a step further: never more than a window at a time.
func (w *work) skeds() *Skeds {
	s := &w.s.Skeds
	if !s.On || w.c.Galaxy == nil {
		s.is = nil
		return nil
	}
	length := s.Shortest
	if length == 0 {
		length = skedShortest
	}
	key := skedKey{w.in.Band, w.in.Feed, w.s.Mode, w.s.partnerNames(), w.s.List, length, w.s.dialHolds()}
	if age := w.in.At.Sub(fromOf(s.is)); s.is == nil || s.key != key || age < 0 || age > skedsAnew {
		s.key = key
		s.question = w.skedQuestion(SkedDays, length)
		s.left = nil
		if len(s.question.There) > 0 {
			s.left = sked.Spans(w.c.Sky, &s.question)
		}
		s.is = w.skedsOf(&s.question, SkedDays)
		s.is.Left = len(s.left)
		return s.is
	}
	if len(s.left) > 0 {
		s.is = s.is.with(sked.Judge(w.c.Sky, w.c.Galaxy, &s.question, s.left[0]))
		s.left = s.left[1:]
		s.is.Left = len(s.left)
	}
	return s.is
}

func fromOf(s *Skeds) time.Time {
	if s == nil {
		return time.Time{}
	}
	return s.From
}

// AllSkeds works skeds out at once, for so many days from the moment of the inputs.
func AllSkeds(c *station.Config, s *State, in *Inputs, days int, shortest time.Duration) *Skeds {
	w := work{c: c, s: s, in: in}
	q := w.skedQuestion(days, shortest)
	out := w.skedsOf(&q, days)
	if len(q.There) > 0 {
		out.List = sked.All(c.Sky, c.Galaxy, &q)
	}
	return out
}

// skedQuestion is what is looked for on the band in use, with the plan's partners.
func (w *work) skedQuestion(days int, shortest time.Duration) sked.Question {
	c, at := w.c, w.in.At
	q := sked.Question{
		Here:        sked.Station{Station: c.Here(), Polarisation: w.polarisation()},
		Hz:          c.Settings.Bands[w.in.Band].MHz * 1e6,
		SunLeft:     worthLimits(c).SunLeft,
		Shortest:    shortest,
		ToleratedHz: mode.All()[w.s.Mode].SpreadHz,
		Steady:      w.s.dialHolds(),
		From:        at, To: at.AddDate(0, 0, days),
	}
	if a := w.hears(); a != nil {
		q.Listener, q.ColdK = a.Listener, a.coldK
	}
	names := w.s.PlanPartners()
	for _, p := range w.s.Partners {
		if site, err := p.Site(); err == nil && slices.Contains(names, p.Name) {
			there := sked.Station{Name: p.Name, Polarisation: p.Polarisation}
			there.Site, there.Air, there.Min = site, c.Air(), c.Min()
			if e := p.Equipment; e.DishM > 0 && q.Listener.Pattern != nil {
				dish := noise.Dish{Hz: q.Hz, DiameterM: e.DishM, Efficiency: theirEfficiency}
				// A dish that is too small to be one leaves them to hear as we would.
				if l, err := budget.CounterpartListener(dish, q.Listener.Receiver, e.SystemK); err == nil {
					there.Listener, there.ColdK = l, l.ColdK()
				}
			}
			q.There = append(q.There, there)
		}
	}
	return q
}

// skedsOf are the skeds of a question, without its windows.
func (w *work) skedsOf(q *sked.Question, days int) *Skeds {
	from := q.From.UTC()
	chart := &Plan{
		Month: time.Date(from.Year(), from.Month(), from.Day(), 0, 0, 0, 0, time.UTC), Days: days + 1, Target: "Moon",
	}
	chart.Points = make([]PlanPoint, chart.Days*PlanPointsADay)
	chosen := mode.All()[w.s.Mode]
	return &Skeds{
		From: q.From, Days: days, Partners: w.s.PlanPartners(), Band: w.c.Settings.Bands[w.in.Band].Name,
		Mode: chosen.Words, ToleratedHz: q.ToleratedHz, Shortest: q.Shortest, SunLeft: q.SunLeft, Chart: chart,
	}
}

// with is the same with a window more.
func (s *Skeds) with(one sked.Sked) *Skeds {
	next, chart := *s, *s.Chart
	next.List = append(slices.Clone(s.List), one)
	sked.Rank(next.List)
	chart.Points = slices.Clone(s.Chart.Points)
	for _, sample := range one.Samples {
		i := int(sample.At.Sub(chart.Month) / planPoint)
		if i >= 0 && i < len(chart.Points) {
			merit := math.Max(0, math.Min(1, 1-sample.TotalDB/SkedSpanDB))
			chart.Points[i] = PlanPoint{
				Az: sample.Az, El: sample.El, Up: true, Merit: float32(merit), PathDB: float32(sample.TotalDB),
			}
		}
	}
	next.Chart = &chart
	return &next
}
