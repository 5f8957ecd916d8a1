// Package enclosure is the register map of the box at the dish, as plain values.
//
// A value is decoded from the registers as they came and encoded into
// registers as they go; nothing is scaled, so that nothing is lost. Axis 0 is
// azimuth, positive clockwise seen from above; axis 1 elevation, positive up.
// The map in words, with what the enclosure must do, is the handbook's page
// of registers.
package enclosure

import "fmt"

// MapVersion is the version of the map that this package knows.
const MapVersion = 1

// Addresses of the blocks, and how many registers each has.
const (
	AddressIdentity = 0x0000
	AddressDemand   = 0x0010
	AddressSlow     = 0x0018
	AddressMotion   = 0x0020
	AddressLatches  = 0x0036
	AddressReadings = 0x0040

	IdentityCount = 16
	DemandCount   = 6
	// WrittenCount is the number of registers that may be written, from AddressDemand on.
	WrittenCount = 16
	// SlowWriteCount is the length of a write of demand and slow orders together.
	SlowWriteCount = 11
	MotionCount    = 22
	LatchCount     = 10
	// RegisterCount is the number of registers of the map.
	RegisterCount = 0x60
)

// Limits of what may be written.
const (
	FullDrive         = 10000 // demand for full drive, hundredths of a percent
	MinWatchdog       = 200   // ms
	MaxWatchdog       = 2000
	WatchdogAtStart   = 1000
	MaxBand           = 15
	SinceUnknown      = 65535 // of a time since something: longer ago, or never
	DetectorNotFitted = -1 << 31
)

// Identity is what the enclosure is. Registers 0000 to 000F.
type Identity struct {
	MapVersion uint16
	Fitted     Fitted
	// UptimeSeconds since start; StartCounter counts starts and survives power loss.
	UptimeSeconds uint32
	StartCounter  uint16
	// Firmware revision, major*256 + minor.
	Firmware uint16
	// FixedSpeeds of each axis; 0 is continuous.
	FixedSpeeds [2]uint8
	// RampMillis from zero to full drive.
	RampMillis [2]uint16
	// CountsPerTurn of each encoder where it is absolute, else 0.
	CountsPerTurn [2]uint32
	// Highest address answered, 005F or more.
	Highest uint16
}

// Absolute says whether the counts of axis i are absolute.
func (d Identity) Absolute(i int) bool { return d.Fitted.Has(FittedAzAbsolute << i) }

// DecodeIdentity reads registers 0000 to 000F.
func DecodeIdentity(registers []uint16) (d Identity, err error) {
	if len(registers) != IdentityCount {
		return d, lengthError("identity", IdentityCount, len(registers))
	}
	r := registers
	d = Identity{
		MapVersion: r[0], Fitted: Fitted(r[1]), UptimeSeconds: join(r[2], r[3]), StartCounter: r[4], Firmware: r[5],
		FixedSpeeds: [2]uint8{uint8(r[6] >> 8), uint8(r[6])}, RampMillis: [2]uint16{r[7], r[8]},
		CountsPerTurn: [2]uint32{join(r[9], r[10]), join(r[11], r[12])}, Highest: r[15],
	}
	return d, nil
}

// Encode writes registers 0000 to 000F.
func (d Identity) Encode(r *[IdentityCount]uint16) {
	*r = [IdentityCount]uint16{
		0: d.MapVersion, 1: uint16(d.Fitted), 4: d.StartCounter, 5: d.Firmware,
		6: uint16(d.FixedSpeeds[0])<<8 | uint16(d.FixedSpeeds[1]), 7: d.RampMillis[0], 8: d.RampMillis[1],
		15: d.Highest,
	}
	r[2], r[3] = split(d.UptimeSeconds)
	r[9], r[10] = split(d.CountsPerTurn[0])
	r[11], r[12] = split(d.CountsPerTurn[1])
}

// Demand is what the panel asks of the drives. Registers 0010 to 0015.
type Demand struct {
	// Sequence other than the last one feeds the watchdog. Whoever speaks on the line sets it.
	Sequence uint16
	Orders   Orders
	// Az and El drive, -FullDrive to +FullDrive.
	Az, El int16
	// WatchdogMillis, MinWatchdog to MaxWatchdog.
	WatchdogMillis uint16
	// Clear are the trips to clear.
	Clear Trips
}

// Axis is the demand of axis i.
func (d Demand) Axis(i int) int16 { return [2]int16{d.Az, d.El}[i] }

// DecodeDemand reads registers 0010 to 0015.
func DecodeDemand(registers []uint16) (d Demand, err error) {
	if len(registers) != DemandCount {
		return d, lengthError("demand", DemandCount, len(registers))
	}
	r := registers
	return Demand{r[0], Orders(r[1]), int16(r[2]), int16(r[3]), r[4], Trips(r[5])}, nil
}

// Encode writes registers 0010 to 0015.
func (d Demand) Encode(r *[DemandCount]uint16) {
	*r = [DemandCount]uint16{d.Sequence, uint16(d.Orders), uint16(d.Az), uint16(d.El), d.WatchdogMillis,
		uint16(d.Clear)}
}

// SlowOrders are orders that seldom change and outlast a trip, except the
// noise source. Registers 0018 to 001A.
type SlowOrders struct {
	Outputs Outputs
	Band    uint16 // 0 to MaxBand
	// FeedTenths is the feed turn wanted, 0.1 degree.
	FeedTenths int16
}

// DecodeSlowOrders reads registers 0018 to 001A.
func DecodeSlowOrders(registers []uint16) (s SlowOrders, err error) {
	if len(registers) != 3 {
		return s, lengthError("slow orders", 3, len(registers))
	}
	return SlowOrders{Outputs(registers[0]), registers[1], int16(registers[2])}, nil
}

// Encode writes registers 0018 to 001A.
func (s SlowOrders) Encode(r *[3]uint16) {
	*r = [3]uint16{uint16(s.Outputs), s.Band, uint16(s.FeedTenths)}
}

func join(high, low uint16) uint32      { return uint32(high)<<16 | uint32(low) }
func split(v uint32) (high, low uint16) { return uint16(v >> 16), uint16(v) }

func lengthError(what string, want, got int) error {
	return fmt.Errorf("decoding the %s: %d registers, expected %d", what, got, want)
}

func rangeError(what string, address uint16, count int) error {
	return fmt.Errorf("decoding the %s: %d registers from %04X are not among them", what, count, address)
}
