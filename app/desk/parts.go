package desk

import (
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/event"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ephem/sked"
	"beamhelm/ephem/skydip"
)

// What the parts of the desk tell, by the names under which it is published: who reads the status needs the desk alone.
type (
	Config         = station.Config
	BodyKind       = station.BodyKind
	BodyChoice     = station.BodyChoice
	Event          = event.Event
	Radio          = radio.Path
	RadioPass      = radio.Pass
	RadioPoint     = radio.PassPoint
	Signal         = radio.Signal
	NoiseParts     = radio.NoiseParts
	Partner        = radio.Partner
	EchoBudget     = radio.EchoBudget
	Counterpart    = radio.Counterpart
	Period         = radio.Period
	Plan           = radio.Plan
	PlanPoint      = radio.PlanPoint
	PlanPass       = radio.PlanPass
	PlanMark       = radio.PlanMark
	Shading        = radio.Shading
	Date           = radio.Date
	Skeds          = radio.Skeds
	Sked           = sked.Sked
	DipValue       = skydip.Value
	KeptTrim       = pointing.KeptTrim
	Measured       = level.Measured
	Flaw           = level.Flaw
	Noise          = measuring.Noise
	ColdSky        = measuring.ColdSky
	Peak           = measuring.Peak
	Progress       = measuring.Progress
	PeakResult     = measuring.PeakResult
	PeakCurve      = measuring.PeakCurve
	Survey         = measuring.Survey
	KeptSurvey     = measuring.KeptSurvey
	KeptModel      = measuring.KeptModel
	Rounds         = measuring.Rounds
	Receiving      = measuring.Receiving
	ReceiverResult = measuring.ReceiverResult
	KeptReceiver   = measuring.KeptReceiver
	Dip            = measuring.Dip
	DipPlan        = measuring.DipPlan
	DipResult      = measuring.DipResult
	DipPoint       = measuring.DipPoint
	Check          = measuring.Check
	CheckResult    = measuring.CheckResult
	Line           = watching.Line
	Reading        = watching.Reading
	Switch         = watching.Switch
	// SequencerState is what the sequencer says of itself.
	SequencerState = watching.SequencerState
	Alarm          = watching.Alarm
	CableCount     = watching.CableCount
	CheckLine      = watching.CheckLine
	Unusual        = watching.Unusual
	Baseline       = watching.Baseline
	// Grade of a reading, event or alarm.
	Grade = alarm.Grade
	// AxisAngles are where the axes stand or shall go.
	AxisAngles = mount.AxisAngles
	// Offset is a small way on the sky.
	Offset = mount.Offset
	// LinkState is the state of the serial line, StopState follows a stop until the counts stand.
	LinkState = step.LinkState
	StopState = step.StopState
)

const (
	NoBody = station.NoBody
	Moon   = station.Moon
	Sun    = station.Sun
	Source = station.Source
	Radec  = station.Radec
	Fixed  = station.Fixed
)

const (
	Normal     = alarm.Normal
	Notice     = alarm.Notice
	Warning    = alarm.Warning
	AlarmGrade = alarm.Alarm
)

// The states of the link. LinkRefused is an identity that is wrong, or a port that is not to be had; Words says why.
const (
	LinkOpening = step.LinkOpening
	LinkGood    = step.LinkGood
	LinkWaiting = step.LinkWaiting
	LinkLost    = step.LinkLost
	LinkRefused = step.LinkRefused
)

// The sequencer as the enclosure reports it.
const (
	NoSequencer     = watching.NoSequencer
	Receive         = watching.Receive
	GoingToTransmit = watching.GoingToTransmit
	GoingToReceive  = watching.GoingToReceive
	InTransmit      = watching.Transmit
	SequencerFault  = watching.SequencerFault
)

// How far the newest stop has got; the loop confirms it.
const (
	StopNone     = step.StopNone
	StopAsked    = step.StopAsked
	StopStanding = step.StopStanding
	StopDefied   = step.StopDefied
	StopUnseen   = step.StopUnseen
)

// ReadingCount is the number of readings of the link.
const ReadingCount = watching.ReadingCount

// ShelveTime is for how long an alarm is shelved.
const ShelveTime = watching.ShelveTime

// The flaws of a level, the first that holds.
const (
	Sound      = level.Sound
	Silent     = level.Silent
	Keyed      = level.Keyed
	NotClean   = level.NotClean
	Overloaded = level.Overloaded
	Nonsense   = level.Nonsense
	Regulated  = level.Regulated
)

// SurveyOf lays a model through observations; Why says why there is none.
func SurveyOf(observations []mount.Observation) Survey { return measuring.SurveyOf(observations) }

// PlanPointsADay is the number of points of a day of the plan.
const PlanPointsADay = radio.PlanPointsADay

// SkedLengths are the least lengths of a window that are offered for skeds.
func SkedLengths() []time.Duration { return radio.SkedLengths() }

// SkedSpanDB is the loss at which the chart of skeds is darkest.
const SkedSpanDB = radio.SkedSpanDB
