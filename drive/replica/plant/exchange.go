package plant

import (
	"time"

	"beamhelm/drive/enclosure"
)

// Input is what the enclosure's circuits do to the dish during one step. It is
// a plain value. Axis 0 is azimuth, positive clockwise seen from above; axis 1
// elevation, positive up.
type Input struct {
	// Elapsed is the length of the step, 1 to 5 ms.
	Elapsed time.Duration
	// Applied is the drive of each axis as part of the full drive voltage, -1
	// to +1, after ramp, fixed speeds and end switches. It is 0 where nothing
	// drives, whatever Contactor says.
	Applied [2]float64
	// Contactor orders the panel's drive power on. The plant answers with Output.Powered.
	Contactor bool
	// ByHand is true while the hand panel drives, from its own power; Contactor is then false.
	ByHand bool
	// Brake is true where the brake of an axis is to be set.
	Brake [2]bool
	// Permit is the leave to transmit given to the sequencer.
	Permit bool
	// Warning drives the motion warning, lamp or sounder.
	Warning bool
	// Outputs as ordered: noise source, preamplifier, feed heater, light.
	Outputs enclosure.Outputs
	// Band as ordered, 0 to 15.
	Band int
	// FeedTurnDegrees as ordered.
	FeedTurnDegrees float64
}

// Output is what the enclosure's circuits see of the dish after the step.
type Output struct {
	Axes [2]AxisOutput
	// Powered is true while the drive supply is up and its contactor closed: it
	// follows Input.Contactor after the supply's own time, or never when it fails.
	Powered bool
	// SupplyBack is false while the drive supply could not come on: fuse, mains.
	SupplyBack bool
	// StopOpen: the stop circuit is open. HandPanel: the hand panel has control,
	// and asks for HandDrive, -1 to +1. DoorOpen: the enclosure's door.
	StopOpen, HandPanel, DoorOpen bool
	HandDrive                     [2]float64
	// LogicDown is true while the enclosure's own supply is gone: it is dead
	// then and restarts when it returns.
	LogicDown bool
	// ClockStands: the enclosure's clock does not go on. DrivesNothing: its drive
	// outputs are dead, and it shows that.
	ClockStands, DrivesNothing bool
	// Keyed: the transmitter is keyed. DetectorUV is the noise detector now, microvolts; NaN not fitted.
	Keyed      bool
	DetectorUV float64
	// Band as it is, -1 where no band switch is fitted; FeedTurnDegrees as it is, NaN where no turner is.
	Band            int
	FeedTurnDegrees float64
	// Readings by their place, in the unit of enclosure.Describe; NaN where not
	// fitted. SequenceCopy is left alone; the two peak currents are made by the
	// enclosure from CurrentA.
	Readings [enclosure.ReadingCount]float64
}

// AxisOutput is what the enclosure sees of one axis.
type AxisOutput struct {
	// Counts of the encoder as its counter holds them, wrapping; of an absolute
	// encoder, its position. Impossible counts transitions in which both tracks
	// changed at once.
	Counts     int32
	Impossible uint16
	// Upward: the last count went up. SinceCount is the time since it; a negative one: none since the start.
	Upward     bool
	SinceCount time.Duration
	// CurrentA of the motor now, with the sign of the drive; NaN while its sensor gives nothing.
	CurrentA float64
	// EndLow and EndHigh: the counter-clockwise or lower, and the clockwise or
	// upper end switch is open.
	EndLow, EndHigh bool
	// OnMark: the axis is on its index mark; MarkCounts are the counts at the
	// instant at which OnMark last became true.
	OnMark     bool
	MarkCounts int32
	// DriveFault of the drive stage, EncoderAlarm of the encoder itself.
	DriveFault, EncoderAlarm bool
}
