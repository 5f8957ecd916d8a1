package desk

import "beamhelm/app/message"

// ReplayEnd is what ends a replay of the records by itself.
type ReplayEnd uint8

const (
	ReplayByMotion  ReplayEnd = iota // the dish moves, or the motion warning runs
	ReplayByAlarm                    // a new alarm, or one that became worse
	ReplayByTrip                     // the drive is locked out
	ReplayByPass                     // the armed pass has begun
	ReplayByCommand                  // a command was given while it was shown, and was not sent
)

// code words it.
func (e ReplayEnd) code() message.Code {
	switch e {
	case ReplayByAlarm:
		return "replay.alarm"
	case ReplayByTrip:
		return "replay.trip"
	case ReplayByPass:
		return "replay.pass"
	case ReplayByCommand:
		return "replay.command"
	}
	return "replay.motion"
}

func (o ReplayEnded) obey(t *work) { t.say(Notice, o.By.code()) }

// NeedsLive reports whether an order acts on what its giver sees of the dish: one that starts something, or changes
// where the beam is, what it follows or what is taken for its position or level. It is not to be given from a window
// that shows another time. What ends, withdraws or acknowledges something always may be.
func NeedsLive(o Order) bool {
	switch o.(type) {
	case Choose, TrimTo, TrimBack, BandTo, BeamOnTarget, ReferenceTo, UndoReference, Preamplifier, NoiseSource,
		TakeColdSky, UseModel, ModelBack, NowUsual:
		return true
	case OffSource:
		return true // back on the source moves the dish too
	case WindStow, SnowStow:
		return false // it goes where it always goes, and the weather doesn't wait
	}
	return starts(o)
}
