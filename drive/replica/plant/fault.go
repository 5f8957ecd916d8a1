package plant

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Kind is a kind of fault.
type Kind uint8

// The kinds: those up to EndSwitchStuck belong to one axis, the others to the whole.
const (
	NoFault Kind = iota
	Jammed
	Ice
	CouplingBroken
	RunsFree
	MotorUnpowered
	MotorReversed
	MotorHot
	DriveStageFault
	EncoderLoose
	EncoderDead
	EncoderAlarm
	EncoderGlitches
	EncoderLinesMissing
	EncoderPhase
	EndWireBroken
	EndSwitchStuck
	StopCircuitOpen
	HandPanelTaken
	PowerFails
	SupplyGone
	DriveSupplyLow
	LogicSupplyLow
	BatteryLow
	DriveStageHot
	HumidityHigh
	DoorOpen
	Restart
	ClockStands
	DrivesNothing
	SensorsGone
	Storm
	WindSensorFrozen
	WindSensorGone
	Frost
	PreamplifierDead
	RelaySupplyLow
	FeedHeaterDead
	DetectorSilent
	DetectorOverloaded
	Interference
	SequencerStuck
	ReflectedHigh
	CoolantStopped
)

// MaxFaults is the number of faults that a plant holds at a time.
const MaxFaults = 32

// Fault is something wrong, for a time.
type Fault struct {
	Kind Kind
	// Axis of a kind that belongs to one.
	Axis int
	// From and Until in the plant's own time; Until 0: until it is mended. A
	// Restart lasts as long as its value says.
	From, Until time.Duration
	// Values as in Describe.
	Values [2]float64
}

// Parameter is one value of a fault.
type Parameter struct {
	// Name is empty where there is none.
	Name, Unit      string
	Usual, Min, Max float64
}

// Description is what a kind is called and what it does.
type Description struct {
	Kind Kind
	// Name, without the axis.
	Name string
	// OfAxis: the full name begins with az- or el-.
	OfAxis     bool
	Words      string
	Parameters [2]Parameter
}

// Descriptions are all kinds, those of an axis first.
//
//beamhelm:table
func Descriptions() []Description {
	none := [2]Parameter{}
	one := func(name, unit string, usual, minimum, maximum float64) [2]Parameter {
		return [2]Parameter{{name, unit, usual, minimum, maximum}}
	}
	return []Description{
		{Jammed, "jammed", true, "the axis turns only within the backlash", none},
		{Ice, "ice", true, "ice or a dry bearing: more friction, more current, less speed",
			one("torque", "Nm", 2500, 0, 1e5)},
		{CouplingBroken, "coupling-broken", true, "motor and worm are disconnected: the motor turns, the dish does not",
			none},
		{RunsFree, "runs-free", true, "worn gear, nothing holds: the dish turns without drive, pushed by a torque",
			one("torque", "Nm", 2500, -1e5, 1e5)},
		{MotorUnpowered, "motor-unpowered", true, "no current reaches the motor: fuse or cable", none},
		{MotorReversed, "motor-reversed", true, "the motor turns the wrong way: wires changed over", none},
		{MotorHot, "motor-hot", true, "the motor heats up", one("temperature", "C", 105, -50, 250)},
		{DriveStageFault, "drive-fault", true, "the drive stage reports a fault and gives no current", none},
		{EncoderLoose, "encoder-loose", true, "the encoder's coupling slips: the axis turns, the encoder does not",
			none},
		{EncoderDead, "encoder-dead", true, "the encoder's cable is off: no count", none},
		{EncoderAlarm, "encoder-alarm", true, "the encoder reports a fault of its own", none},
		{EncoderGlitches, "encoder-glitches", true,
			"spikes on the encoder's cable: impossible transitions, some counts lost or gained",
			one("rate", "a second", 5, 0, 1000)},
		{EncoderLinesMissing, "encoder-lines-missing", true, "dirt on the disc: counts are lost in places, unnoticed",
			one("part", "", 0.05, 0, 1)},
		{EncoderPhase, "encoder-phase", true,
			"the tracks are out of phase: pairs of counts become impossible transitions", one("part", "", 0.3, 0, 1)},
		{EndWireBroken, "end-wire-broken", true, "a wire to the end switches is broken: it reads open",
			one("end", "+1 upper, -1 lower, 0 both", 0, -1, 1)},
		{EndSwitchStuck, "end-switch-stuck", true, "the end switches don't open: the axis runs into its buffers", none},
		{StopCircuitOpen, "stop-circuit-open", false, "somebody has opened the stop circuit", none},
		{HandPanelTaken, "hand-panel", false, "somebody has taken control at the dish, and drives it", [2]Parameter{
			{"az", "% of full drive", 30, -100, 100}, {"el", "% of full drive", 0, -100, 100}}},
		{PowerFails, "power-fails", false, "drive power does not come on, or goes", none},
		{SupplyGone, "supply-gone", false, "the drive supply is gone: fuse or mains", none},
		{DriveSupplyLow, "drive-supply-low", false, "the drive supply is low", one("voltage", "V", 19, 0, 200)},
		{LogicSupplyLow, "logic-supply-low", false, "the enclosure's own supply is low",
			one("voltage", "V", 4.65, 0, 30)},
		{BatteryLow, "battery-low", false, "the battery runs down", one("voltage", "V", 11.2, 0, 200)},
		{DriveStageHot, "drive-stage-hot", false, "the drive stage heats up", one("temperature", "C", 92, -50, 250)},
		{HumidityHigh, "humidity-high", false, "water in the enclosure", one("humidity", "%", 97, 0, 100)},
		{DoorOpen, "door-open", false, "the enclosure's door is open", none},
		{Restart, "restart", false, "the enclosure loses its supply for a moment and restarts",
			one("dark", "s", 1.5, 0.1, 60)},
		{ClockStands, "clock-stands", false, "the enclosure's clock stands, as of a program that hangs in part", none},
		{DrivesNothing, "drives-nothing", false, "the enclosure answers and drives nothing", none},
		{SensorsGone, "sensors-gone", false,
			"the sensors of drive and relay supply and of the motors' currents and temperatures give nothing", none},
		{Storm, "storm", false, "the wind rises", [2]Parameter{{"mean", "m/s", 18, 0, 60},
			{"turbulence", "", 0.22, 0, 0.5}}},
		{WindSensorFrozen, "wind-sensor-frozen", false, "the wind sensor reads a constant value in the wind", none},
		{WindSensorGone, "wind-sensor-gone", false, "the wind sensor gives nothing", none},
		{Frost, "frost", false, "the air grows cold and grease stiffens", one("temperature", "C", -15, -50, 40)},
		{PreamplifierDead, "preamplifier-dead", false, "the preamplifier has lost its supply", none},
		{RelaySupplyLow, "relay-supply-low", false,
			"the supply of the preamplifier's relay is low: the relay may not switch",
			one("voltage", "V", 19.4, 0, 60)},
		{FeedHeaterDead, "feed-heater-dead", false, "the feed heater takes no current", none},
		{DetectorSilent, "detector-silent", false, "the noise detector gives nothing", none},
		{DetectorOverloaded, "detector-overloaded", false, "a strong signal near by: the detector is at its limit",
			none},
		{Interference, "interference", false, "bursts of noise from near by", one("noise", "K", 40, 0, 1e5)},
		{SequencerStuck, "sequencer-fault", false, "the sequencer reports a fault and stays in receive", none},
		{ReflectedHigh, "reflected-power", false, "feed or cable send power back", one("part", "", 0.3, 0, 1)},
		{CoolantStopped, "coolant-stopped", false, "the coolant hardly flows", one("flow", "L/min", 0.4, 0, 300)},
	}
}

// Names are the full names of all faults: a kind of an axis has two.
func Names() []string {
	var names []string
	for _, d := range Descriptions() {
		if d.OfAxis {
			names = append(names, "az-"+d.Name, "el-"+d.Name)
		} else {
			names = append(names, d.Name)
		}
	}
	return names
}

// Named is the fault of a full name, with its usual values.
func Named(name string) (Fault, Description, error) {
	for _, d := range Descriptions() {
		f := Fault{Kind: d.Kind, Values: [2]float64{d.Parameters[0].Usual, d.Parameters[1].Usual}}
		switch {
		case !d.OfAxis && name == d.Name, d.OfAxis && name == "az-"+d.Name:
			return f, d, nil
		case d.OfAxis && name == "el-"+d.Name:
			f.Axis = 1
			return f, d, nil
		}
	}
	return Fault{}, Description{}, fmt.Errorf("there is no fault %q: they are %s", name, strings.Join(Names(), ", "))
}

// With returns the fault with the named parameter set, in its unit.
func (f Fault) With(parameter string, value float64) (Fault, error) {
	d, known := describe(f.Kind)
	if !known {
		return f, fmt.Errorf("setting %q: there is no fault of kind %d", parameter, f.Kind)
	}
	for i, p := range d.Parameters {
		if p.Name == "" || p.Name != parameter {
			continue
		}
		if !(value >= p.Min && value <= p.Max) {
			return f, fmt.Errorf("fault %s: %s %v: must be %v to %v %s", d.Name, p.Name, value, p.Min, p.Max, p.Unit)
		}
		f.Values[i] = value
		return f, nil
	}
	return f, fmt.Errorf("fault %s has no parameter %q", d.Name, parameter)
}

func describe(k Kind) (Description, bool) {
	for _, d := range Descriptions() {
		if d.Kind == k {
			return d, true
		}
	}
	return Description{}, false
}

// Validate names what can't be used.
func (f Fault) Validate() error {
	d, known := describe(f.Kind)
	if !known {
		return fmt.Errorf("there is no fault of kind %d", f.Kind)
	}
	if f.Axis < 0 || f.Axis > 1 || f.Axis == 1 && !d.OfAxis {
		return fmt.Errorf("fault %s: axis %d: must be 0 or, of an axis, 1", d.Name, f.Axis)
	}
	if f.Until != 0 && f.Until <= f.From {
		return fmt.Errorf("fault %s: until %v: must be after %v", d.Name, f.Until, f.From)
	}
	for i, p := range d.Parameters {
		if math.IsNaN(f.Values[i]) {
			return fmt.Errorf("fault %s: %s is not a number", d.Name, p.Name)
		}
		if p.Name != "" && !(f.Values[i] >= p.Min && f.Values[i] <= p.Max) {
			return fmt.Errorf("fault %s: %s %v: must be %v to %v %s", d.Name, p.Name, f.Values[i], p.Min, p.Max,
				p.Unit)
		}
	}
	return nil
}

// during says whether the fault is there at a moment.
func (f *Fault) during(now time.Duration) bool {
	until := f.Until
	if f.Kind == Restart {
		until = f.From + time.Duration(f.Values[0]*float64(time.Second))
	}
	return now >= f.From && (until == 0 || now < until)
}

// Put adds a fault, or replaces one of the same kind and axis. One whose From
// is in the past begins now.
func (p *Plant) Put(f Fault) error {
	if err := f.Validate(); err != nil {
		return err
	}
	f.From = max(f.From, p.Elapsed())
	p.Remove(f.Kind, f.Axis)
	if p.faulty == MaxFaults {
		return fmt.Errorf("adding a fault: there are %d already, the most", MaxFaults)
	}
	p.faults[p.faulty] = f
	p.faulty++
	return nil
}

// Remove mends what is of that kind and axis.
func (p *Plant) Remove(k Kind, axis int) {
	kept := 0
	for _, f := range p.faults[:p.faulty] {
		if f.Kind != k || f.Axis != axis {
			p.faults[kept] = f
			kept++
		}
	}
	p.faulty = kept
}

// Mend removes all faults.
func (p *Plant) Mend() { p.faulty = 0 }

// Faults are those that are there or will be.
func (p *Plant) Faults() (faults [MaxFaults]Fault, count int) { return p.faults, p.faulty }
