package watching

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/wear"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// CheckLine is one thing that the station check looked at.
type CheckLine struct {
	What  string          `json:"what"`
	Words message.Message `json:"words"`
	Grade alarm.Grade     `json:"grade"`
}

// BeginCheck begins to record what the axes do.
func (s *State) BeginCheck() { s.seen = nil }

// LinkLine says how the link did during the check.
func LinkLine(replies, errors uint64) CheckLine {
	l := CheckLine{What: "Link", Words: message.Of("check.link", replies, errors)}
	if errors*100 > replies {
		l.Grade = alarm.Warning
	}
	return l
}

// ReadingLines say what is out of its limits, and what is not.
func (s *State) ReadingLines(c *station.Config, loop *step.Status) (lines []CheckLine) {
	fitted := 0
	for i := range s.Readings {
		if math.IsNaN(loop.Readings.Value(i)) || enclosure.Describe(i).Name == "" {
			continue
		}
		fitted++
		if g := s.Readings[i].Grade; g >= alarm.Warning {
			limits := ReadingLimits(c.Settings.Readings[station.ReadingKeys()[i]])
			lines = append(
				lines,
				CheckLine{ReadingName(i), Crossed(i, limits, loop.Readings.Value(i), g, true), g},
			)
		}
	}
	if len(lines) == 0 {
		lines = []CheckLine{{What: "Supplies and readings", Words: message.Of("check.readings", fitted)}}
	}
	return lines
}

// AxisLines say what motors took and how fast the axes went since BeginCheck, against what is usual.
func (s *State) AxisLines() (lines []CheckLine) {
	for _, s := range s.seen {
		k := wear.Of(s.Kind)
		if s.n < k.Samples {
			continue // too short to be a mean
		}
		value := s.sum / float64(s.n)
		figure := func(v float64) message.Figure { return message.Figure{Value: v, Decimals: k.Decimals, Unit: k.Unit} }
		l := CheckLine{What: s.Of, Words: message.Of("check.axis", s.In, figure(value), figure(s.usual.Mean))}
		switch {
		case !s.usual.Known():
			l.Words = message.Of("check.axis-alone", s.In, figure(value))
		case s.usual.Unusual(&k, value):
			l.Grade = alarm.Warning
		}
		lines = append(lines, l)
	}
	return lines
}

// ReferenceLine says where the position is from, and how far the mark was off when it was passed.
func ReferenceLine(loop *step.Status, halfPower unit.Angle) CheckLine {
	l := CheckLine{What: "Reference", Words: message.Of("check.no-mark")}
	for axis := range loop.Axes {
		a := &loop.Axes[axis]
		off := math.Abs(a.MarkOff.Deg())
		if !a.Fitted || off == 0 {
			continue
		}
		l.Words = message.Of("check.mark", mount.AxisName(axis), degrees(off))
		if off > max(3*math.Abs(a.Step.Deg()), halfPower.Deg()/10) {
			l.Grade = alarm.Warning
			return l
		}
	}
	return l
}

// Cold is a level of cold sky on a band and feed, at an elevation.
type Cold struct {
	Band, Feed string
	El         unit.Angle
	LevelDB    float64
}

func (k Cold) circumstances() wear.Circumstances {
	return wear.Circumstances{
		Kind: wear.ColdSky, Of: k.Band + " " + k.Feed,
		In: "elevation " + wear.ClassWords(wear.Class(k.El.Deg(), 15), 15, "°"),
	}
}

// TakeCold takes a level of cold sky in.
func (s *State) TakeCold(k Cold, at time.Time) {
	s.Past.Usual.Sample(k.circumstances(), k.LevelDB, at)
}

// ColdLine compares a level of cold sky with those of before.
func (s *State) ColdLine(k Cold) CheckLine {
	at := k.circumstances()
	usual, kind := s.Past.Usual.Past(at), wear.Of(wear.ColdSky)
	l := CheckLine{What: "Cold sky", Words: message.Of("check.cold", k.LevelDB, at.In, usual.Mean)}
	switch {
	case !usual.Known():
		l.Words = message.Of("check.cold-alone", k.LevelDB, at.In)
	case usual.Unusual(&kind, k.LevelDB):
		l.Grade = alarm.Warning
	}
	return l
}
