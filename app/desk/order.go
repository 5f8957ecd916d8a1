package desk

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/commission"
	"beamhelm/app/desk/measuring"
	"beamhelm/drive/mount"
)

// Order is one thing the operator asks of the desk: a type each, in the lists
// below. Orders are values; the desk takes them in the order they were given,
// except Stop, which goes to the loop at once.
type Order interface {
	// obey does it, or says why not.
	obey(t *work)
}

// Given is an order with the number of Stops that had been asked when it was given.
type Given struct {
	Order Order
	Stops uint64
}

// The orders about the dish. On is the new state of what they switch.
type (
	// Stop ends every motion now. With nothing moving, tracking or armed it does not lock out.
	Stop struct{}
	// Release ends a lock-out whose cause is gone.
	Release struct{}
	// Choose makes Body the target.
	Choose struct{ Body BodyChoice }
	// Track starts (On) or ends (off: hold here) following the target.
	Track struct{ On bool }
	// Hold brings the axes to rest and holds them.
	Hold struct{}
	// SlewTo goes to axis angles. NaN leaves that axis where it is commanded to be.
	SlewTo struct{ To mount.AxisAngles }
	// Nudge moves the trim while tracking and the setpoint while holding, by an offset on the sky.
	Nudge struct{ By mount.Offset }
	// Jog drives the axes at -1 to 1 of the jog speed for 300 ms, + to rising angles.
	Jog struct{ Az, El float64 }
	// Push drives the axes openly at -1 to 1 of full drive for 300 ms, to find out
	// what they do; only in a commissioning.
	Push struct{ Az, El float64 }
	// TrimTo sets the trim.
	TrimTo struct{ Trim mount.Offset }
	// TrimBack returns to the trim before the last change.
	TrimBack struct{}
	// BandTo selects a band, and a feed of that band's list.
	BandTo struct{ Band, Feed int }
	// Power switches drive power.
	Power struct{ On bool }
	// Park goes to the resting place.
	Park struct{}
	// WindStow goes to the storm place for wind.
	WindStow struct{}
	// SnowStow goes to the storm place for snow.
	SnowStow struct{}
	// Working sets or ends 'working at the dish'.
	Working struct{ On bool }
	// Permit requests (On) or withdraws the transmit permit.
	Permit struct{ On bool }
	// BeamOnTarget says that the beam is on the target now, which makes both positions trusted.
	BeamOnTarget struct{}
	// ReferenceTo says that an axis (0 azimuth, 1 elevation) stands at Angle now, cable turn included.
	ReferenceTo struct {
		Axis  int
		Angle unit.Angle
	}
	// UndoReference takes the newest reference that the operator gave back.
	UndoReference struct{}
	// CancelWarning cancels a start that the motion warning announces.
	CancelWarning struct{}
	// Confirm does what was proposed: a change that would slew the dish. CancelWarning drops it.
	Confirm struct{}
	// Arm arms (On) the pass that At lies in or that comes next, or the one
	// asked about where At is zero; off gives it up.
	Arm struct {
		On bool
		At time.Time
	}
	// OffSource goes (On) some beamwidths beside the target, at the same elevation on the colder side, or back.
	OffSource struct{ On bool }
	// Commission is what the operator says of the commissioning.
	Commission struct{ Act commission.Act }
)

// The orders about alarms, the path, the plan and the time.
type (
	// Acknowledge acknowledges an alarm by its number; -1 all of them.
	Acknowledge struct{ Alarm int }
	// Shelve keeps an alarm from asking for attention for ShelveTime, unless it becomes worse.
	Shelve struct{ Alarm int }
	// PartnerTo takes the partner of that name; none where empty.
	PartnerTo struct{ Name string }
	// PartnersTo replaces the list of partners, CSV as package partner reads it.
	PartnersTo struct{ CSV string }
	// ContentTo takes the vertical electron content of the ionosphere; 0 goes back to what is expected.
	ContentTo struct{ TECU int }
	// ConventionTo takes one of Conventions.
	ConventionTo struct{ Index int }
	// AgreedTo takes the frequency agreed with partners on the band in use; empty goes back to the band's own.
	AgreedTo struct{ MHz string }
	// PeriodsTo sets the periods of a timed contact, 0 s for none.
	PeriodsTo struct {
		Seconds   int
		OursFirst bool
	}
	// ModeTo takes one of mode.All.
	ModeTo struct{ Index int }
	// PlanTo looks at the month so many months from now.
	PlanTo struct{ Months int }
	// PlanOf has the plan, and the passes that can be armed, be of Body, which need not be the target in use.
	PlanOf struct{ Body BodyChoice }
	// OtherPartnersTo adds (On) a partner to those that the plan's passes are shared with, or takes it away.
	OtherPartnersTo struct {
		Name string
		On   bool
	}
	// SkedsTo has the skeds worked out, or no longer, with a minimum length of a window; 0 as before.
	SkedsTo struct {
		On      bool
		Minutes int
	}
	// DatesTo marks or no longer marks a date, as ParseDate reads it.
	DatesTo struct {
		Date string
		On   bool
	}
	// SavePlace keeps a place under its name, in place of one of the same name.
	SavePlace struct{ Place BodyChoice }
	// DeletePlace forgets the place of that name.
	DeletePlace struct{ Name string }
	// TimeScaleTo has practice time run so many times as fast as real time.
	TimeScaleTo struct{ Scale int }
	// ShadingTo starts or ends computing the noise over the sky.
	ShadingTo struct{ On bool }
	// LookAt looks at a moment; zero ends it.
	LookAt struct{ At time.Time }
	// Slept says for how long the computer was asleep; the Stop that goes with it is asked for itself.
	Slept struct{ Seconds int }
	// ReplayEnded says why a replay of the records gave way to what is live.
	ReplayEnded struct{ By ReplayEnd }
)

// The orders about the receiver and the measurements. What package measuring
// obeys is described there.
type (
	// Preamplifier switches the preamplifier.
	Preamplifier struct{ On bool }
	// NoiseSource switches the noise source.
	NoiseSource struct{ On bool }
	// MeasureEchoes begins (On) a measurement of the station's own echoes of so many cycles, or only says how many
	// there are to be (off, Cycles above 0); off with none ends it.
	MeasureEchoes struct {
		On     bool
		Cycles int
	}
	// EchoPeakTo makes the next measurement of own echoes a peak on the echo, or no longer.
	EchoPeakTo struct{ On bool }
	// UseEchoPeak makes the trim that the newest peak on the echo found the one in use (On), or discards it.
	UseEchoPeak struct{ On bool }
	// NowUsual takes what is now of the thing with that key as usual.
	NowUsual struct{ Key string }
	// EndJob ends the measurement that is under way, or that of own echoes.
	EndJob       struct{}
	TakeColdSky  measuring.TakeColdSky
	AverageTo    measuring.AverageTo
	TakePeak     measuring.TakePeak
	UsePeak      measuring.UsePeak
	MeasureY     measuring.MeasureY
	Compare      measuring.Compare
	SkyDip       measuring.SkyDip
	FluxTo       measuring.FluxTo
	SurveyTo     measuring.SurveyTo
	Exclude      measuring.Exclude
	UseModel     measuring.UseModel
	ModelBack    measuring.ModelBack
	ForgetSurvey measuring.ForgetSurvey
	CheckDish    measuring.CheckDish
)

// starts reports whether an order starts something, or prepares a start: what a Stop makes void.
func starts(o Order) bool {
	switch o := o.(type) {
	case Track:
		return o.On
	case Power:
		return o.On
	case Permit:
		return o.On
	case Arm:
		return o.On
	case OffSource:
		return o.On
	case SurveyTo:
		return o.On
	case SkyDip:
		return o.Begin
	case MeasureEchoes:
		return o.On
	case UseEchoPeak:
		return o.On
	case SlewTo, Nudge, Jog, Push, Park, WindStow, SnowStow, Release, TakePeak, UsePeak, MeasureY, Compare,
		CheckDish, Commission, Confirm:
		return true
	}
	return false
}
