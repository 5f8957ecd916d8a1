package enclosure

import "math"

// NotFitted is what a signed 16-bit register reads where nothing is fitted.
const NotFitted = math.MinInt16

// The readings, by their place in the block: reading i is register 0040 + i.
const (
	DriveSupply = iota
	LogicSupply
	BatterySupply
	PreamplifierSupply
	RelaySupply // of the preamplifier's relay
	FeedHeaterCurrent
	AirInside
	AirOutside
	AzimuthMotorTemperature
	ElevationMotorTemperature
	DriveStageTemperature
	HumidityInside
	WindMean // of 1 s
	WindGust // greatest of 10 s
	DetectorSupply
	ForwardPower
	ReflectedPower
	HeatSinkTemperature
	CoolantIn
	CoolantOut
	CoolantFlow
	AmplifierSupply
	AmplifierCurrent
	Sequencer
	SequenceCopy // not a reading: the sequence, so that every reply carries it
	WindDirection
	HighVoltage
	AzimuthPeakCurrent   // greatest of 10 s
	ElevationPeakCurrent // greatest of 10 s

	// ReadingCount is the number of registers in the block, unused ones included.
	ReadingCount = 32
)

// What the reading Sequencer says.
const (
	SequencerReceive = iota
	SequencerGoingToTransmit
	SequencerTransmit
	SequencerGoingToReceive
	SequencerFault
)

// Description says how a reading is shown.
type Description struct {
	// Name and Unit; Name is empty for a place that holds no reading.
	Name, Unit string
	// Scale is the value of one step of the register in Unit.
	Scale float64
	// Decimals to show.
	Decimals int
	// Group under which it stands on a screen.
	Group string
}

// Describe returns the description of reading i, empty where there is none.
func Describe(i int) Description {
	if i < 0 || i >= ReadingCount {
		return Description{}
	}
	return descriptions[i]
}

// descriptions is read only.
var descriptions = [ReadingCount]Description{
	DriveSupply:               {"Drive supply", "V", 0.01, 1, "Drives"},
	LogicSupply:               {"Logic supply", "V", 0.001, 2, "Enclosure"},
	BatterySupply:             {"Battery", "V", 0.01, 1, "Enclosure"},
	PreamplifierSupply:        {"Preamp supply", "V", 0.01, 2, "Receive path"},
	RelaySupply:               {"Preamp relay supply", "V", 0.01, 1, "Receive path"},
	FeedHeaterCurrent:         {"Feed heater", "A", 0.001, 2, "Receive path"},
	AirInside:                 {"Air inside", "°C", 0.1, 1, "Enclosure"},
	AirOutside:                {"Air outside", "°C", 0.1, 1, "Weather"},
	AzimuthMotorTemperature:   {"Azimuth motor", "°C", 0.1, 0, "Drives"},
	ElevationMotorTemperature: {"Elevation motor", "°C", 0.1, 0, "Drives"},
	DriveStageTemperature:     {"Drive stage", "°C", 0.1, 0, "Drives"},
	HumidityInside:            {"Humidity inside", "%", 0.1, 0, "Enclosure"},
	WindMean:                  {"Wind, mean", "m/s", 0.1, 1, "Weather"},
	WindGust:                  {"Wind gust", "m/s", 0.1, 1, "Weather"},
	DetectorSupply:            {"Detector supply", "V", 0.01, 2, "Receive path"},
	ForwardPower:              {"Forward power", "W", 1, 0, "Amplifier"},
	ReflectedPower:            {"Reflected power", "W", 1, 0, "Amplifier"},
	HeatSinkTemperature:       {"Heat sink", "°C", 0.1, 0, "Amplifier"},
	CoolantIn:                 {"Coolant in", "°C", 0.1, 1, "Amplifier"},
	CoolantOut:                {"Coolant out", "°C", 0.1, 1, "Amplifier"},
	CoolantFlow:               {"Coolant flow", "L/min", 0.01, 1, "Amplifier"},
	AmplifierSupply:           {"Amplifier supply", "V", 0.01, 1, "Amplifier"},
	AmplifierCurrent:          {"Amplifier current", "A", 0.01, 1, "Amplifier"},
	Sequencer:                 {"Sequencer", "", 1, 0, "Amplifier"},
	WindDirection:             {"Wind direction", "°", 0.1, 0, "Weather"},
	HighVoltage:               {"High voltage", "V", 1, 0, "Amplifier"},
	AzimuthPeakCurrent:        {"Azimuth peak current", "A", 0.01, 1, "Drives"},
	ElevationPeakCurrent:      {"Elevation peak current", "A", 0.01, 1, "Drives"},
}

// Readings are registers 0036 to 003F, the latches, and 0040 to 005F. They are
// read in parts; Read and HasLatches say which parts hold something, and Merge
// puts parts together.
type Readings struct {
	// Read has a bit for each reading that has been read, bit i for reading i.
	Read uint32
	// Raw are the registers as they came, in steps of Describe(i).Scale; NotFitted where there is nothing.
	Raw [ReadingCount]int16
	// HasLatches is true when Latches have been read.
	HasLatches bool
	Latches    Latches
}

// NoReadings returns readings of which none is fitted and nothing has been read.
func NoReadings() Readings {
	var r Readings
	for i := range r.Raw {
		r.Raw[i] = NotFitted
	}
	r.Latches.Band, r.Latches.FeedTenths = NotFitted, NotFitted
	return r
}

// Value returns reading i in the unit of its description, NaN where it is not
// fitted or was never read.
func (r *Readings) Value(i int) float64 {
	if i < 0 || i >= ReadingCount || r.Read>>i&1 == 0 || r.Raw[i] == NotFitted {
		return math.NaN()
	}
	return float64(r.Raw[i]) * descriptions[i].Scale
}

// Mark returns the counts at the moment the mark of axis i was last entered
// with rising counts, and the number of such entries; false until it was read.
func (r *Readings) Mark(i int) (counts int32, entries uint16, ok bool) {
	return r.Latches.MarkCounts[i], r.Latches.MarkEntries[i], r.HasLatches
}

// Merge takes over what newer holds and keeps the rest.
func (r *Readings) Merge(newer *Readings) {
	for i := range r.Raw {
		if newer.Read>>i&1 == 1 {
			r.Raw[i] = newer.Raw[i]
		}
	}
	r.Read |= newer.Read
	if newer.HasLatches {
		r.Latches, r.HasLatches = newer.Latches, true
	}
}

// Decode takes in registers that were read from address on, whichever part of
// 0036 to 005F they are. Latches count only when all of them are there.
func (r *Readings) Decode(address uint16, registers []uint16) error {
	if len(registers) == 0 || address < AddressLatches || int(address)+len(registers) > AddressReadings+ReadingCount {
		return rangeError("readings", address, len(registers))
	}
	if address == AddressLatches && len(registers) >= LatchCount {
		r.Latches.decode(registers)
		r.HasLatches = true
	}
	for k, v := range registers {
		if i := int(address) + k - AddressReadings; i >= 0 && i != SequenceCopy {
			r.Raw[i] = int16(v)
			r.Read |= 1 << i
		}
	}
	return nil
}

// Encode writes registers 0040 to 005F with the sequence in its place.
func (r *Readings) Encode(sequence uint16, registers *[ReadingCount]uint16) {
	for i, v := range r.Raw {
		registers[i] = uint16(v)
	}
	registers[SequenceCopy] = sequence
}

// Raw returns what the register of reading i holds for a value in the unit of
// its description: rounded, kept within the register, NotFitted for NaN.
func Raw(i int, value float64) int16 {
	scale := Describe(i).Scale
	if scale == 0 || math.IsNaN(value) {
		return NotFitted
	}
	return int16(math.Round(min(max(value/scale, -math.MaxInt16), math.MaxInt16)))
}
