package commission

import (
	"time"

	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
)

// Config is what the work is done by.
type Config struct {
	Settings settings.Settings
}

// axis is the axis with an index.
func (c *Config) axis(i int) *settings.Axis {
	return [...]*settings.Axis{&c.Settings.Axes.Azimuth, &c.Settings.Axes.Elevation}[i]
}

// stepDeg is the angle of a count by the settings, signed by the encoder's direction.
func (c *Config) stepDeg(i int) float64 {
	a := c.axis(i)
	return float64(a.Direction) * 360 / (4 * a.Pulses * a.GearRatio)
}

// Now is what is known of the moment.
type Now struct {
	// At is the time of the sky, Mono a time that never jumps.
	At   time.Time
	Mono time.Duration
	// Good says that the line is not lost, be it that a reply is missing; Fresh that a reply came since the last look.
	Good, Fresh bool
	Identity    enclosure.Identity
	PerSecond   float64
	Errors      uint64
	Powered     bool
	StopOpen    bool
	Hand        bool
	Axes        [2]Axis
	// Peak is when the newest good peak was taken, zero for none; PeakFound what it gave.
	Peak      time.Time
	PeakFound message.Message
}

// Axis is what is known of an axis.
type Axis struct {
	Fitted bool
	// Millis is the enclosure's clock when the counts were taken.
	Millis uint32
	Counts int32
	// Applied is the drive as the register shows it, -1 to 1: not turned round by the settings.
	Applied  float64
	CurrentA float64 // NaN when not fitted
	EndLow   bool
	EndHigh  bool
	Trusted  bool
	IsDeg    float64
	Origin   string
	// LearnedBacklashDeg is the backlash that the drive has learned, degrees; 0 for none.
	LearnedBacklashDeg float64
	// Moving: its counts change. Pushed is -1 or +1 while it is pushed to falling or rising angles.
	Moving bool
	Pushed int
}

// Watch takes in what the enclosure shows.
func (s *State) Watch(c *Config, now *Now) {
	if s.Begun.IsZero() || !now.Fresh {
		return
	}
	s.watchLink(now)
	s.watchStop(now)
	for i := range now.Axes {
		a := &now.Axes[i]
		if !a.Fitted {
			continue
		}
		s.zero[i] = zero{a.Counts, a.IsDeg, a.Trusted}
		s.watchEnds(i, a, now)
		s.watchSoft(c, i, a, now.At)
		if p, ok := s.meters[i].take(a); ok {
			p.Axis, p.At = i, now.At
			// What was published is not changed.
			s.Pushes = append(append([]Push(nil), s.Pushes[max(0, len(s.Pushes)+1-maxPushes):]...), p)
		}
	}
}

func (s *State) watchLink(now *Now) {
	if !now.Good {
		s.goodFor = 0
	} else if s.last != 0 && now.Mono > s.last {
		if s.goodFor == 0 {
			s.errors = now.Errors
		}
		s.goodFor += min(now.Mono-s.last, time.Second)
	}
	s.last = now.Mono
}

func (s *State) watchStop(now *Now) {
	if now.StopOpen && !s.stopOpen {
		s.StopOpened = now.At
		if s.powered {
			s.StopCut = time.Time{} // until power is seen gone
		}
	}
	if now.StopOpen && s.powered && !now.Powered {
		s.StopCut = now.At
	}
	if !now.StopOpen && s.stopOpen {
		s.StopClosed = now.At
	}
	if now.Hand && !s.hand {
		s.HandTaken = now.At
	}
	if !now.Hand && s.hand {
		s.HandGiven = now.At
	}
	s.stopOpen, s.hand, s.powered = now.StopOpen, now.Hand, now.Powered
}

func (s *State) watchEnds(i int, a *Axis, now *Now) {
	for side, open := range [2]bool{a.EndLow, a.EndHigh} {
		e := &s.Ends[i][side]
		switch {
		case open && !e.open && a.Applied != 0:
			e.Counts, e.HasCounts = a.Counts, true
		case open && !e.open:
			e.Opened = now.At
		case !open && e.open && !e.Opened.IsZero():
			e.Closed = now.At
		}
		e.open = open
	}
}

// watchSoft sees a trusted axis stand although it is pushed, where its soft
// limit holds it: a stop's way before it, at most.
func (s *State) watchSoft(c *Config, i int, a *Axis, now time.Time) {
	if !a.Trusted || a.Moving || a.Applied != 0 {
		return
	}
	x := c.axis(i)
	room := x.StoppingDeg() + 0.3
	switch {
	case a.Pushed < 0 && a.IsDeg < x.LowerSoftDeg+room:
		s.Soft[i][0] = now
	case a.Pushed > 0 && a.IsDeg > x.UpperSoftDeg-room:
		s.Soft[i][1] = now
	}
}
