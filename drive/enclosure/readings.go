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
	// Low and High bound what a working sensor can say, with room for its error. Both 0: anything.
	Low, High float64
}

// Describe returns the description of reading i, empty where there is none.
func Describe(i int) Description {
	if i < 0 || i >= ReadingCount {
		return Description{}
	}
	return descriptions[i]
}

// descriptions is read only. The bounds are common practice, no source; the highest gust ever recorded is 113 m/s
// (World Meteorological Organization, Barrow Island 1996, from memory).
var descriptions = [ReadingCount]Description{
	DriveSupply:               {"Drive supply", "V", 0.01, 1, "Drives", -1, 300},
	LogicSupply:               {"Logic supply", "V", 0.001, 2, "Enclosure", -1, 30},
	BatterySupply:             {"Battery", "V", 0.01, 1, "Enclosure", -1, 300},
	PreamplifierSupply:        {"Preamp supply", "V", 0.01, 2, "Receive path", -1, 300},
	RelaySupply:               {"Preamp relay supply", "V", 0.01, 1, "Receive path", -1, 300},
	FeedHeaterCurrent:         {"Feed heater", "A", 0.001, 2, "Receive path", -1, 32},
	AirInside:                 {"Air inside", "°C", 0.1, 1, "Enclosure", -60, 120},
	AirOutside:                {"Air outside", "°C", 0.1, 1, "Weather", -90, 70},
	AzimuthMotorTemperature:   {"Azimuth motor", "°C", 0.1, 0, "Drives", -60, 300},
	ElevationMotorTemperature: {"Elevation motor", "°C", 0.1, 0, "Drives", -60, 300},
	DriveStageTemperature:     {"Drive stage", "°C", 0.1, 0, "Drives", -60, 300},
	HumidityInside:            {"Humidity inside", "%", 0.1, 0, "Enclosure", -2, 110},
	WindMean:                  {"Wind, mean", "m/s", 0.1, 1, "Weather", -0.5, 120},
	WindGust:                  {"Wind gust", "m/s", 0.1, 1, "Weather", -0.5, 120},
	DetectorSupply:            {"Detector supply", "V", 0.01, 2, "Receive path", -1, 300},
	ForwardPower:              {"Forward power", "W", 1, 0, "Amplifier", -20, 32766},
	ReflectedPower:            {"Reflected power", "W", 1, 0, "Amplifier", -20, 32766},
	HeatSinkTemperature:       {"Heat sink", "°C", 0.1, 0, "Amplifier", -60, 300},
	CoolantIn:                 {"Coolant in", "°C", 0.1, 1, "Amplifier", -60, 150},
	CoolantOut:                {"Coolant out", "°C", 0.1, 1, "Amplifier", -60, 150},
	CoolantFlow:               {"Coolant flow", "L/min", 0.01, 1, "Amplifier", -1, 300},
	AmplifierSupply:           {"Amplifier supply", "V", 0.01, 1, "Amplifier", -1, 320},
	AmplifierCurrent:          {"Amplifier current", "A", 0.01, 1, "Amplifier", -5, 320},
	Sequencer:                 {"Sequencer", "", 1, 0, "Amplifier", 0, 4},
	WindDirection:             {"Wind direction", "°", 0.1, 0, "Weather", -1, 361},
	HighVoltage:               {"High voltage", "V", 1, 0, "Amplifier", -100, 32766},
	AzimuthPeakCurrent:        {"Azimuth peak current", "A", 0.01, 1, "Drives", -0.5, 320},
	ElevationPeakCurrent:      {"Elevation peak current", "A", 0.01, 1, "Drives", -0.5, 320},
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
// fitted, was never read, or is implausible.
func (r *Readings) Value(i int) float64 {
	if v, implausible := r.Implausible(i); !implausible {
		return v
	}
	return math.NaN()
}

// Implausible returns what reading i says, NaN where it is not fitted or was never read, and whether that can't be: a
// sensor or its wiring is broken.
func (r *Readings) Implausible(i int) (value float64, implausible bool) {
	if i < 0 || i >= ReadingCount || r.Read>>i&1 == 0 || r.Raw[i] == NotFitted {
		return math.NaN(), false
	}
	d := &descriptions[i]
	value = float64(r.Raw[i]) * d.Scale
	return value, d.Low < d.High && !(value >= d.Low && value <= d.High)
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
