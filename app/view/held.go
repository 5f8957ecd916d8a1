package view

import (
	"math"
	"reflect"
	"slices"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

// Each painted frame costs the whole window, whatever changed in it. So figures that
// change all the time are shown together, once a second, and at once only what must
// be seen at once.

// movesVisibly is the rate of an axis from which on its motion is drawn at every tick.
// Tracking the sky is slower, and gusts sway a dish by less.
const movesVisibly = 0.1 // degrees per second

// Hold decides what the window shows of each moment.
type Hold struct {
	shown Now
	moved bool
	// lasting are the two statuses compared last, kept to be used again: they are large, and there
	// is a comparison ten times a second.
	lasting [2]desk.Status
}

// Next returns what is shown at a moment: the moment itself when the clock's second
// changes, when something changed that must be seen at once, and while an axis moves;
// else what was shown last. Full says that everything may be brought up to date.
func (h *Hold) Next(now Now) Now {
	moves := movesNow(now)
	full := h.shown.Status == nil || now.Live != h.shown.Live || moves != h.moved ||
		second(now) != second(h.shown) || h.differs(h.shown.Status, now.Status)
	h.moved = moves
	if full || moves {
		h.shown = now
	}
	shown := h.shown
	shown.Tick, shown.Silence, shown.Full, shown.New = now.Tick, now.Silence, full, full || moves
	return shown
}

// second counts the seconds of the clock; where practice time runs faster, real seconds.
func second(now Now) int64 {
	if now.Status != nil && now.TimeScale > 1 {
		return int64(now.Tick / ticksPerSecond)
	}
	return now.At.Unix()
}

// ticksPerSecond is how often the window looks at the desk's status.
const ticksPerSecond = 10

func movesNow(now Now) bool {
	for _, axis := range now.Axes {
		if axis.Moving && math.Abs(axis.RatePerS.Deg()) > movesVisibly {
			return true
		}
	}
	return false
}

// differs reports that two statuses differ in something that must be seen at once: in
// anything but figures that change all the time.
func (h *Hold) differs(a, b *desk.Status) bool {
	if a == b {
		return false
	}
	leaveLasting(&h.lasting[0], a)
	leaveLasting(&h.lasting[1], b)
	return !reflect.DeepEqual(&h.lasting[0], &h.lasting[1])
}

// leaveLasting makes c the status s without the figures that change all the time. What isn't
// named here is shown at once.
func leaveLasting(c, s *desk.Status) {
	*c = *s
	c.Number, c.At = 0, time.Time{}
	c.ArrivesIn, c.StartingIn, c.Proposal.Left, c.Period.Left =
		0, wholeSeconds(c.StartingIn), wholeSeconds(c.Proposal.Left), 0
	c.Bodies = nil
	c.Target = desk.Target{Choice: c.Target.Choice, Name: c.Target.Name, Up: c.Target.Up, Dubious: c.Target.Dubious}
	for i := range c.Axes {
		axis := &c.Axes[i]
		axis.Position, axis.Setpoint, axis.RatePerS, axis.Offered = 0, 0, 0, 0
		axis.Applied, axis.CurrentA, axis.Counts, axis.ArrivesIn = 0, 0, 0, 0
		axis.Estimated, axis.Moving = false, false
	}
	c.Off, c.OffCross, c.OffEl, c.EchoLossDB = 0, 0, 0, 0
	c.Moving = false
	c.Link.PerSecond, c.Link.LastReply, c.Link.Errors, c.Link.ErrorsKeyed = 0, 0, 0, 0
	c.Link.Impossible = [2]uint64{}
	for i := range c.Readings {
		r := &c.Readings[i]
		*r = desk.Reading{Fitted: r.Fitted, Lost: r.Lost, Grade: r.Grade, Crossed: r.Crossed, Words: r.Words}
	}
	c.Transmit.Inhibits = slices.Clone(c.Transmit.Inhibits)
	for i := range c.Transmit.Inhibits {
		c.Transmit.Inhibits[i].Value = 0
	}
	c.Noise = desk.Noise{Fitted: c.Noise.Fitted, HasCold: c.Noise.HasCold}
	c.Peak.SoFar = nil
	c.Peak.Part, c.Receiving.Part, c.Check.Part, c.Check.Cable, c.Check.Baselines = 0, 0, 0, nil, nil
	c.Peak.Left, c.Receiving.Left, c.Check.Left = 0, 0, 0
	c.Receiving.Expected, c.Receiving.Sun = desk.Status{}.Receiving.Expected, desk.Status{}.Receiving.Sun
	c.Survey.Change, c.Survey.Fit = desk.Status{}.Survey.Change, nil
	c.Survey.Observations = nil
	c.Commissioning, c.Radio, c.Then, c.Plan, c.Shading = nil, nil, nil, nil, nil
	c.Referencing = desk.Referencing{}
	c.OwnEcho = lastingEcho(c.OwnEcho)
	c.MotorStartsPerHour, c.Lateness = [2]float64{}, desk.Lateness{}
}

func wholeSeconds(d time.Duration) time.Duration { return (d + time.Second - 1).Truncate(time.Second) }

// lastingEcho leaves out what follows the path, and the seconds of a run.
func lastingEcho(e desk.OwnEcho) desk.OwnEcho {
	e.Plan, e.ReceiveDialHz, e.TransmitDialHz, e.EchoHz = nil, 0, 0, 0
	if e.Why.Code != "" {
		e.Why = message.Text("something") // it may tell a figure
	}
	e.Progress.Countdown, e.Progress.Keyed, e.Progress.Left = wholeSeconds(e.Progress.Countdown), 0, 0
	e.Off = mount.Offset{}
	return e
}
