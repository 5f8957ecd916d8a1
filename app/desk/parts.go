package desk

import (
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/event"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/drive/step"
	"beamhelm/ephem/sked"
	"beamhelm/ephem/skydip"
)

// What the parts of the desk tell, by the names under which it is published: who reads the status needs the desk alone.
type (
	Config      = station.Config
	BodyKind    = station.BodyKind
	BodyChoice  = station.BodyChoice
	Event       = event.Event
	Radio       = radio.Path
	RadioPass   = radio.Pass
	RadioPoint  = radio.PassPoint
	Signal      = radio.Signal
	NoiseParts  = radio.NoiseParts
	Partner     = radio.Partner
	EchoBudget  = radio.EchoBudget
	Counterpart = radio.Counterpart
	Period      = radio.Period
	Plan        = radio.Plan
	PlanPoint   = radio.PlanPoint
	PlanPass    = radio.PlanPass
	PlanMark    = radio.PlanMark
	Shading     = radio.Shading
	Date        = radio.Date
	Skeds       = radio.Skeds
	Sked        = sked.Sked
	DipValue    = skydip.Value
	Line        = watching.Line
	Reading     = watching.Reading
	Switch      = watching.Switch
	Alarm       = watching.Alarm
	CableCount  = watching.CableCount
	CheckLine   = watching.CheckLine
	Unusual     = watching.Unusual
	// Grade of a reading, event or alarm.
	Grade = alarm.Grade
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

// The states of a stop.
const (
	StopNone     = step.StopNone
	StopAsked    = step.StopAsked
	StopStanding = step.StopStanding
)

// ReadingCount is the number of readings of the link.
const ReadingCount = watching.ReadingCount

// MuteTime is for how long Mute mutes an alarm.
const MuteTime = watching.MuteTime

// PlanPointsADay is the number of points of a day of the plan.
const PlanPointsADay = radio.PlanPointsADay

// SkedLengths are the least lengths of a window that are offered for skeds.
func SkedLengths() []time.Duration { return radio.SkedLengths() }

// SkedSpanDB is the loss at which the chart of skeds is darkest.
const SkedSpanDB = radio.SkedSpanDB
