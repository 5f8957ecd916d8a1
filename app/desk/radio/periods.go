package radio

import (
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/mode"
	"beamhelm/app/settings"
)

// Period is the transmit or receive period of a timed contact that runs now.
type Period struct {
	// On is false where no periods are kept.
	On     bool
	Length time.Duration
	// OursFirst says that the first period of each pair is ours.
	OursFirst bool
	// Ours says that the period now is ours: we may transmit. Left is what is left of it.
	Ours bool
	Left time.Duration
	// Mode is an index of mode.All.
	Mode int
	// ClockOffset is how far the computer's clock is behind the time source, meant where HasClockOffset.
	ClockOffset    time.Duration
	HasClockOffset bool
}

// Periods are those of a timed contact.
type Periods struct {
	LengthS   float64
	OursFirst bool
	Off       bool
}

// The shortest and the longest period, seconds.
const (
	MinPeriodS = 2
	MaxPeriodS = 3600
)

func validPeriod(seconds int) bool { return seconds >= MinPeriodS && seconds <= MaxPeriodS }

func periodsOf(p settings.Periods) Periods {
	return Periods{LengthS: p.LengthS, OursFirst: p.Ours != settings.Second, Off: p.LengthS == 0}
}

// PeriodAt is the period at a moment. Pairs of periods are counted from 1970-01-01
// 00:00 UTC, so that both stations count the same: where a whole number of pairs
// fills an hour, as with 5, 6, 10, 15, 30, 60, 120, 150 and 300 s, they begin at the full hour.
func PeriodAt(length time.Duration, oursFirst bool, at time.Time) Period {
	p := Period{On: length > 0, Length: length, OursFirst: oursFirst}
	if !p.On {
		return p
	}
	inPair := time.Duration(at.UnixNano()) % (2 * length)
	if inPair < 0 {
		inPair += 2 * length
	}
	first := inPair < length
	p.Ours = first == oursFirst
	p.Left = length - inPair%length
	return p
}

// Period is the period at a moment.
func (s *State) Period(at time.Time) Period {
	p := s.Periods
	if p.Off {
		return Period{Length: station.Seconds(p.LengthS), OursFirst: p.OursFirst}
	}
	return PeriodAt(station.Seconds(p.LengthS), p.OursFirst, at)
}

// SetPeriods sets the periods, seconds each, the first of a pair ours or not; 0 ends them. Why says why not.
func (s *State) SetPeriods(length int, oursFirst bool) (why message.Message) {
	switch {
	case length == 0:
		s.Periods.Off = true
	case validPeriod(length):
		s.Periods = Periods{LengthS: float64(length), OursFirst: oursFirst}
	default:
		return message.Of("radio.period", MinPeriodS, MaxPeriodS)
	}
	return message.Message{}
}

// SetMode takes the mode of an index of mode.All.
func (s *State) SetMode(index int) {
	if index >= 0 && index < len(mode.All()) {
		s.Mode = index
	}
}
