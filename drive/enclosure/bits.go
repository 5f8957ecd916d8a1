package enclosure

// Trips are the causes for which the enclosure ended motion by itself, each
// latched until it is cleared. Register 002E, and 0015 for clearing.
type Trips uint16

const (
	TripWatchdog  Trips = 1 << iota // no changed sequence within the watchdog period
	TripAzDrive                     // azimuth drive fault
	TripElDrive                     // elevation drive fault
	TripStarted                     // stands after every start
	TripStop                        // stop circuit opened while powered
	TripHand                        // hand panel taken while powered
	TripPower                       // drive power did not come on, or went
	TripAzEncoder                   // azimuth encoder fault
	TripElEncoder                   // elevation encoder fault

	// AllTrips are all of them.
	AllTrips = TripElEncoder<<1 - 1
)

// Has says whether any of b stands.
func (t Trips) Has(b Trips) bool { return t&b != 0 }

// DriveTrip is the drive fault of axis i, EncoderTrip its encoder fault.
func DriveTrip(i int) Trips   { return TripAzDrive << i }
func EncoderTrip(i int) Trips { return TripAzEncoder << i }

// Orders are register 0011.
type Orders uint16

// The orders. Bits that are not among them must be 0.
const (
	OrderPower   Orders = 1 << 0 // drive power
	OrderPermit  Orders = 1 << 2 // leave to transmit
	OrderAzOff   Orders = 1 << 3 // the azimuth demand counts as 0
	OrderElOff   Orders = 1 << 4 // the elevation demand counts as 0
	OrderWarning Orders = 1 << 5 // motion warning: lamp or sounder

	// AllOrders are all of them.
	AllOrders = OrderPower | OrderPermit | OrderAzOff | OrderElOff | OrderWarning
)

// Has says whether any of b is ordered.
func (o Orders) Has(b Orders) bool { return o&b != 0 }

// With returns the orders with b on or off.
func (o Orders) With(b Orders, on bool) Orders {
	if on {
		return o | b
	}
	return o &^ b
}

// Fitted says what the enclosure has. Register 0001.
type Fitted uint16

// What may be fitted.
const (
	FittedAzimuth       Fitted = 1 << iota
	FittedElevation            // elevation axis
	FittedHandPanel            // local controls
	FittedWind                 // wind sensor
	FittedDetector             // noise detector
	FittedTransmitGate         // what the leave to transmit acts on
	FittedAmplifier            // amplifier shelf
	FittedCountsSurvive        // counts survive power loss
	FittedAzAbsolute           // azimuth counts absolute
	FittedElAbsolute           // elevation counts absolute
	FittedMarkLatch            // marks latch the counts
	FittedBandSwitch           // band switch
	FittedFeedTurner           // feed turner
	FittedBrakes               // brakes
	FittedWarning              // motion warning
)

// Has says whether any of b is fitted.
func (f Fitted) Has(b Fitted) bool { return f&b != 0 }

// Axis says whether axis i is fitted.
func (f Fitted) Axis(i int) bool { return f&(FittedAzimuth<<i) != 0 }

// Bits of register 0020, Motion.State. 1 means that the words are true now.
const (
	StatePower    uint16 = 1 << 0 // the panel's drive power is on
	StateHand     uint16 = 1 << 2 // the hand panel has control
	StateStopOpen uint16 = 1 << 3 // the stop circuit is open
	StateAzUpper  uint16 = 1 << 4 // azimuth clockwise end open
	StateAzLower  uint16 = 1 << 5 // azimuth counter-clockwise end open
	StateElUpper  uint16 = 1 << 6 // elevation upper end open
	StateElLower  uint16 = 1 << 7 // elevation lower end open
	StateAzFault  uint16 = 1 << 8 // azimuth drive fault
	StateElFault  uint16 = 1 << 9 // elevation drive fault
	StateKeyed    uint16 = 1 << 10
	StateDoor     uint16 = 1 << 11 // door open
	StateAzMark   uint16 = 1 << 12 // azimuth on its mark
	StateElMark   uint16 = 1 << 13
)

// EndUpper, EndLower, DriveFault and OnMark are the bits of State for axis i.
func EndUpper(i int) uint16   { return StateAzUpper << (2 * i) }
func EndLower(i int) uint16   { return StateAzLower << (2 * i) }
func DriveFault(i int) uint16 { return StateAzFault << i }
func OnMark(i int) uint16     { return StateAzMark << i }

// Bits of register 002F, Motion.More. Those of azimuth are followed by those of elevation.
const (
	MoreAzUpward  uint16 = 1 << 0 // the last count was upward
	MoreElUpward  uint16 = 1 << 1
	MoreAzLost    uint16 = 1 << 2 // counts not to be trusted
	MoreElLost    uint16 = 1 << 3
	MoreAzBrake   uint16 = 1 << 4 // brake set
	MoreElBrake   uint16 = 1 << 5
	MorePermitted uint16 = 1 << 6 // leave to transmit really given
	MoreClean     uint16 = 1 << 7 // noise mean without a keyed or switching moment
	MoreComingOn  uint16 = 1 << 8 // drive power coming on
)

// Outputs are register 0018. Bits 4 to 7 are free outputs, 8 to 15 must be 0.
type Outputs uint16

// The outputs with a meaning.
const (
	OutputNoiseSource Outputs = 1 << iota
	OutputPreamplifier
	OutputFeedHeater
	OutputLight

	// AllOutputs are all that may be ordered.
	AllOutputs Outputs = 0xff
)
