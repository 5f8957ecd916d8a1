package plant

import (
	"math"
	"time"
)

// conditions are what the faults of a moment amount to.
type conditions struct {
	axes [2]axisConditions
	// NaN in a figure: nothing is wrong with it.
	driveV, logicV, batteryV, relayV, stageC, humidity, flow, airC float64
	stopOpen, hand, powerFails, supplyGone, door, dark             bool
	handDrive                                                      [2]float64
	clockStands, drivesNothing, sensorsGone                        bool
	storm                                                          bool
	stormMPS, stormTurbulence                                      float64
	windFrozen, windGone                                           bool
	preamplifierDead, heaterDead, detectorSilent, overloaded       bool
	interferenceK, reflected                                       float64
	sequencerStuck                                                 bool
}

// axisConditions are those of one axis.
type axisConditions struct {
	held          float64 // torque that holds the hub, Nm
	apart         bool
	free          bool
	pushNm        float64
	unpowered     bool
	reversed      bool
	motorC        float64
	stageFault    bool
	encoderAlarm  bool
	encoder       encoderFaults
	lowWire       bool
	highWire      bool
	switchesStuck bool
}

// heldFast is a torque that no motor overcomes, Nm.
const heldFast = 1e9

// gather is what the faults amount to at a moment.
func gather(faults []Fault, now time.Duration) conditions {
	nan := math.NaN()
	c := conditions{driveV: nan, logicV: nan, batteryV: nan, relayV: nan, stageC: nan, humidity: nan, flow: nan,
		airC: nan, reflected: nan}
	c.axes[0].motorC, c.axes[1].motorC = nan, nan
	for i := range faults {
		f := &faults[i]
		if !f.during(now) {
			continue
		}
		if f.Kind <= EndSwitchStuck {
			c.axes[f.Axis].take(f)
		} else if f.Kind < PreamplifierDead {
			c.takeEnclosure(f)
		} else {
			c.takeRadio(f)
		}
	}
	return c
}

func (a *axisConditions) take(f *Fault) {
	v := f.Values[0]
	switch f.Kind {
	case Jammed:
		a.held += heldFast
	case Ice:
		a.held += v
	case CouplingBroken:
		a.apart = true
	case RunsFree:
		a.free, a.pushNm = true, v
	case MotorUnpowered:
		a.unpowered = true
	case MotorReversed:
		a.reversed = true
	case MotorHot:
		a.motorC = v
	case DriveStageFault:
		a.stageFault = true
	case EncoderLoose:
		a.encoder.loose = true
	case EncoderDead:
		a.encoder.dead = true
	case EncoderAlarm:
		a.encoderAlarm = true
	case EncoderGlitches:
		a.encoder.glitches = v
	case EncoderLinesMissing:
		a.encoder.damaged = v
	case EncoderPhase:
		a.encoder.phase = v
	case EndWireBroken:
		a.lowWire, a.highWire = a.lowWire || v <= 0, a.highWire || v >= 0
	case EndSwitchStuck:
		a.switchesStuck = true
	}
}

func (c *conditions) takeEnclosure(f *Fault) {
	v := f.Values[0]
	switch f.Kind {
	case StopCircuitOpen:
		c.stopOpen = true
	case HandPanelTaken:
		c.hand, c.handDrive = true, [2]float64{v / 100, f.Values[1] / 100}
	case PowerFails:
		c.powerFails = true
	case SupplyGone:
		c.supplyGone = true
	case DriveSupplyLow:
		c.driveV = v
	case LogicSupplyLow:
		c.logicV = v
	case BatteryLow:
		c.batteryV = v
	case DriveStageHot:
		c.stageC = v
	case HumidityHigh:
		c.humidity = v
	case DoorOpen:
		c.door = true
	case Restart:
		c.dark = true
	case ClockStands:
		c.clockStands = true
	case DrivesNothing:
		c.drivesNothing = true
	case SensorsGone:
		c.sensorsGone = true
	case Storm:
		c.storm, c.stormMPS, c.stormTurbulence = true, v, f.Values[1]
	case WindSensorFrozen:
		c.windFrozen = true
	case WindSensorGone:
		c.windGone = true
	case Frost:
		c.airC = v
	}
}

func (c *conditions) takeRadio(f *Fault) {
	v := f.Values[0]
	switch f.Kind {
	case PreamplifierDead:
		c.preamplifierDead = true
	case RelaySupplyLow:
		c.relayV = v
	case FeedHeaterDead:
		c.heaterDead = true
	case DetectorSilent:
		c.detectorSilent = true
	case DetectorOverloaded:
		c.overloaded = true
	case Interference:
		c.interferenceK = v
	case SequencerStuck:
		c.sequencerStuck = true
	case ReflectedHigh:
		c.reflected = v
	case CoolantStopped:
		c.flow = v
	}
}
