// Package enclosure holds the registers of the enclosure as values.
package enclosure

import "math"

type Trips uint16

const (
	TripWatchdog Trips = 1 << iota
	TripAzDrive
	TripElDrive
	TripStarted
	TripStop
	TripHand
	TripPower
	TripAzEncoder
	TripElEncoder
)

func (t Trips) Has(b Trips) bool { return t&b != 0 }

type Orders uint16

const (
	OrderPower   Orders = 1
	OrderPermit  Orders = 4
	OrderWarning Orders = 32
)

func (o Orders) With(b Orders, on bool) Orders {
	if on {
		return o | b
	}
	return o &^ b
}

type Fitted uint16

const (
	FittedAzimuth       Fitted = 1
	FittedElevation     Fitted = 2
	FittedWind          Fitted = 8
	FittedCountsSurvive Fitted = 128
	FittedWarning       Fitted = 1 << 14
)

func (t Fitted) Has(b Fitted) bool { return t&b != 0 }

type Identity struct {
	MapVersion   uint16
	Fitted       Fitted
	StartCounter uint16
}

func (Identity) Absolute(int) bool { return false }

type Outputs uint16
type SlowOrders struct {
	Outputs    Outputs
	Band       uint16
	FeedTenths int16
}
type Demand struct {
	Orders         Orders
	Az, El         int16
	WatchdogMillis uint16
	Clear          Trips
}
type Motion struct {
	State, More  uint16
	Counts       [2]int32
	Current      [2]int16
	Applied      [2]int16
	Millis       uint32
	Since        [2]uint16
	Trips        Trips
	StartCounter uint16
	Impossible   [2]uint16
}
type Readings struct{ V [64]int16 }

const (
	DriveSupply = iota
	AzimuthMotorTemperature
	ElevationMotorTemperature
	DriveStageTemperature
	WindMean
	WindGust
	RelaySupply
	ReflectedPower
	CoolantOut
	CoolantFlow
	Sequencer
)
const SequencerFault = 4

func (r *Readings) Value(i int) float64              { return math.NaN() }
func (r *Readings) Mark(i int) (int32, uint16, bool) { return 0, 0, false }

// NoReadings returns readings of which none is fitted.
func NoReadings() Readings { return Readings{} }

// Merge takes over what was read later.
func (r *Readings) Merge(newer *Readings) {}
