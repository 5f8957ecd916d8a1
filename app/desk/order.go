package desk

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/commission"
)

// Order is one thing the operator asks of the desk. Orders are values; the
// desk takes them in the order they were given, except Stop, which goes to
// the loop at once.
type Order struct {
	Kind OrderKind

	// Az and El are the axis angles of SlewTo, the azimuth over the cable
	// wrap (not folded to a circle). NaN leaves that axis where it wants to be.
	// For Nudge they are steps of true angle on the sky: Az across the
	// elevation circle (positive clockwise), El upwards. For TrimTo they are the trim.
	// For Jog they are -1, 0 or +1. For ReferenceTo, the angle of the axis now.
	Az, El unit.Angle
	// Body is the target of Choose.
	Body BodyChoice
	// On is the new state for the orders that switch something.
	On bool
	// Index is the band of BandTo, the axis of ReferenceTo (0 azimuth,
	// 1 elevation), or the alarm number of Seen.
	Index int
	// Feed is the feed of BandTo, an index in that band's list.
	Feed int
	// Words is free text, or a name.
	Words string
	// At is the moment of LookAt and Arm.
	At time.Time
	// Commission is the act of that order.
	Commission commission.Act
	// Stops is how many Stops had been asked when it was given; the Runner's own affair.
	Stops uint64
}

// starts reports whether an order starts something, or prepares a start: what a Stop makes void.
func (o *Order) starts() bool {
	switch o.Kind {
	case Track, Power, Permit, Arm, OffSource, RoundsTo, SkyDip, MeasureEchoes, UseEchoPeak:
		return o.On
	case SlewTo, Nudge, Jog, Push, Park, WindStow, SnowStow, Release, TakePeak, UsePeak, MeasureY, Compare,
		CheckDish, Commission, Confirm:
		return true
	}
	return false
}

//go:generate go run golang.org/x/tools/cmd/stringer -type OrderKind,Activity -output string.go

// OrderKind says what an Order asks.
type OrderKind uint8

// The orders. Each comment names the fields used.
const (
	// Stop ends every motion now. With nothing moving, tracking or armed it does not lock out.
	Stop OrderKind = iota + 1
	// Release ends a lock-out whose cause is gone.
	Release
	// Choose makes Body the target.
	Choose
	// Track starts (On) or ends (off: hold here) following the target.
	Track
	// Hold brings the axes to rest and holds them.
	Hold
	// SlewTo goes to the axis angles Az, El.
	SlewTo
	// Nudge moves the trim while tracking and the setpoint while holding, by Az, El.
	Nudge
	// Jog drives the axes slowly in the directions Az, El for 300 ms.
	Jog
	// TrimTo sets the trim to Az (cross-elevation) and El.
	TrimTo
	// TrimBack returns to the trim before the last change.
	TrimBack
	// BandTo selects band Index and its feed Feed.
	BandTo
	// Power switches drive power.
	Power
	// Park goes to the resting place.
	Park
	// WindStow goes to the storm place for wind.
	WindStow
	// SnowStow goes to the storm place for snow.
	SnowStow
	// Working sets or ends 'working at the dish'.
	Working
	// Permit wants (On) or withdraws the leave to transmit.
	Permit
	// BeamOnTarget says that the beam is on the target now, which makes both positions trusted.
	BeamOnTarget
	// ReferenceTo says that axis Index stands at Az now, cable turn included.
	ReferenceTo
	// UndoReference takes the newest reference that the operator gave back.
	UndoReference
	// Acknowledge acknowledges alarm Index; -1 all of them.
	Acknowledge
	// Shelve keeps alarm Index from asking for attention for ShelveTime, unless it becomes worse.
	Shelve
	// TakeColdSky takes the noise level now as cold sky.
	TakeColdSky
	// AverageTo averages the noise level over Index milliseconds.
	AverageTo
	// Preamplifier switches the preamplifier.
	Preamplifier
	// NoiseSource switches the noise source.
	NoiseSource
	// CancelWarning cancels a start that the motion warning announces.
	CancelWarning
	// Confirm does what was proposed: a change that would slew the dish. CancelWarning drops it.
	Confirm
	// PartnerTo takes the partner named Words; none where empty.
	PartnerTo
	// PartnersTo replaces the list of partners by Words, CSV as package partner reads it.
	PartnersTo
	// ContentTo takes Index TECU as the vertical electron content of the ionosphere; 0 goes back to what is expected.
	ContentTo
	// ConventionTo takes the convention Index of Conventions.
	ConventionTo
	// AgreedTo takes the frequency in Words, MHz, as that agreed with partners on the band in use; empty goes
	// back to the band's own.
	AgreedTo
	// PeriodsTo sets the periods of a timed contact: Index seconds each, 0 for none, the first ours (On).
	PeriodsTo
	// ModeTo takes the mode Index of mode.All.
	ModeTo
	// PlanTo looks at the month Index months from now.
	PlanTo
	// OtherPartnersTo adds (On) the partner named Words to those that the plan's passes are shared with, or takes it
	// away.
	OtherPartnersTo
	// SkedsTo has the skeds worked out (On), or no longer; Index is the least length of a window in minutes, 0 as
	// before.
	SkedsTo
	// DatesTo marks (On) or no longer marks the date in Words, as ParseDate reads it.
	DatesTo
	// TimeScaleTo has practice time run Index times as fast as real time.
	TimeScaleTo
	// ShadingTo starts (On) or ends computing the noise over the sky.
	ShadingTo
	// LookAt looks at the moment At; zero ends it.
	LookAt
	// Arm arms (On) the pass that At lies in or that comes next, or the one
	// asked about where At is zero; off gives it up.
	Arm
	// OffSource goes (On) some beamwidths beside the target, at the same elevation on the colder side, or back.
	OffSource
	// TakePeak takes a peak: by sweeps across the target (On) or by five stops (off).
	TakePeak
	// Compare measures the Y factor of the noise source (On), or of the ground at which the dish holds.
	Compare
	// SkyDip works out what a sky dip at the azimuth Az would do, NaN for the best one, and begins it (On).
	SkyDip
	// MeasureEchoes begins (On) a measurement of the station's own echoes of Index cycles, or only says how many there
	// are to be (off, Index above 0); off with Index 0 ends it.
	MeasureEchoes
	// EchoPeakTo makes the next measurement of own echoes a peak on the echo (On), or no longer.
	EchoPeakTo
	// UseEchoPeak makes the trim that the newest peak on the echo found the one in use (On), or discards it.
	UseEchoPeak
	// RoundsTo begins (On) a survey that goes by itself from one of the targets in Words, with
	// commas between them, to the next for Index hours, or ends it.
	RoundsTo
	// MeasureY measures the Y factor of the target over the sky beside it.
	MeasureY
	// FluxTo enters a day's solar flux in Words, as package receiver reads it; empty with On confirms the newest,
	// without forgets all.
	FluxTo
	// Slept says that the computer was asleep for Index seconds; the Stop that goes with it is asked for itself.
	Slept
	// CheckDish begins the check at the start of a night; its longer form where On.
	CheckDish
	// NowUsual takes what is now of the thing with the key in Words as usual.
	NowUsual
	// EndJob ends the peak, Y factor or check that is being taken.
	EndJob
	// UsePeak makes what the newest peak found the trim.
	UsePeak
	// Exclude leaves observation Index of the survey out of the fit (On) or takes it in again.
	Exclude
	// UseModel takes the mount model fitted to the observations into use; ModelBack the one before.
	UseModel
	ModelBack
	// ForgetSurvey forgets the observations.
	ForgetSurvey
	// Commission is what the operator says of the commissioning, in Commission.
	Commission
	// Push drives the axes openly at Az, El (as numbers, -1 to 1 of full drive) for
	// 300 ms, to find out what they do; only in a commissioning.
	Push
)
