package plant

import (
	"fmt"
	"math"

	"github.com/soniakeys/unit"
)

// Axis is one axis: motor, worm, backlash, bearing, structure and encoder.
// Inertias and torques are as felt at the axis.
type Axis struct {
	// Place at the start.
	Place unit.Angle
	// EndLow and EndHigh are where the end switches open. HardStop beyond them
	// the axis meets its buffers.
	EndLow, EndHigh, HardStop unit.Angle
	// Mark is the angle at which the index mark is entered with rising counts,
	// in every turn, and MarkWidth how far it reaches.
	Mark, MarkWidth unit.Angle

	// DriveDirection is +1 where a positive drive raises the angle, else -1.
	DriveDirection int
	// TopSpeed is the steady speed at full drive, a second, without wind, in
	// air of 10 degrees C. The motor's voltage constant follows from it.
	TopSpeed unit.Angle
	// Acceleration, a second squared, is how fast the drive stage lets the speed change.
	Acceleration unit.Angle
	// LagS is the time constant of the drive stage's input.
	LagS float64

	// ArmatureOhm at 20 degrees C, CurrentLimitA of the drive stage, and
	// BrakeOhm, the resistor across the motor while it has no power.
	ArmatureOhm, CurrentLimitA, BrakeOhm float64
	// TurnA is the current that the motor takes to turn motor and worm without
	// load at next to no speed, ViscousA what top speed adds; both at 10 degrees C.
	TurnA, ViscousA float64
	// WormLoss is the friction torque in the teeth over the load torque. The
	// efficiency of driving a load is 1/(1+WormLoss); above 1 the worm holds by itself.
	WormLoss float64
	// Backlash is the backlash, GearNmPerRad the stiffness of teeth in touch.
	Backlash     unit.Angle
	GearNmPerRad float64
	// MotorKgM2 is the inertia of motor and worm, HubKgM2 of what turns with the
	// wheel, DishKgM2 of the reflector, which sits on the hub like on a spring of
	// StructureHz with StructureDamping of the critical.
	MotorKgM2, HubKgM2, DishKgM2  float64
	StructureHz, StructureDamping float64
	// BearingNm is the sliding friction of the axis bearing at 10 degrees C.
	BearingNm float64
	// Sticking is friction at rest over friction sliding, for motor and bearing;
	// StribeckSpeed, a second, is where the change lies.
	Sticking      float64
	StribeckSpeed unit.Angle
	// ImbalanceNm pulls the axis down, as the cosine of its angle.
	ImbalanceNm float64
	// WindMoment is the greatest coefficient of the wind's torque about the axis.
	WindMoment float64

	// ThermalJPerK and CoolingWPerK of the motor.
	ThermalJPerK, CoolingWPerK float64

	Encoder Encoder
}

// DefaultAxis is one axis of a 5 to 6 m dish: worm drive, 24 V class motor,
// encoder on the dish axis. The figures are believable, not those of a dish
// that was measured; friction at rest 1.3 times that of sliding, structure
// 5 Hz, backlash 0.15 degrees.
func DefaultAxis() Axis {
	return Axis{
		HardStop: unit.AngleFromDeg(1.5), MarkWidth: unit.AngleFromDeg(0.6), DriveDirection: 1,
		TopSpeed: unit.AngleFromDeg(1.5), Acceleration: unit.AngleFromDeg(0.52), LagS: 0.12,
		ArmatureOhm: 0.4, CurrentLimitA: 15, BrakeOhm: 1, TurnA: 1, ViscousA: 0.4,
		WormLoss: 1.9, Backlash: unit.AngleFromDeg(0.15), GearNmPerRad: 5e6,
		MotorKgM2: 4e4, HubKgM2: 200, DishKgM2: 1300, StructureHz: 5, StructureDamping: 0.03,
		BearingNm: 40, Sticking: 1.3, StribeckSpeed: unit.AngleFromDeg(0.02), WindMoment: 0.12,
		ThermalJPerK: 1500, CoolingWPerK: 0.7,
		Encoder: Encoder{Pulses: 1024, Ratio: 1, Direction: 1, Uneven: 0.15},
	}
}

func (a *Axis) validate(name string) error {
	e := &a.Encoder
	err := examine([]check{
		{name + " place", a.Place.Deg(), a.EndLow.Deg(), a.EndHigh.Deg(), " degrees"},
		{name + " lower end", a.EndLow.Deg(), -3600, a.EndHigh.Deg(), " degrees"},
		{name + " upper end", a.EndHigh.Deg(), a.EndLow.Deg(), 3600, " degrees"},
		{name + " hard stop", a.HardStop.Deg(), 0.01, 90, " degrees beyond the ends"},
		{name + " mark", a.Mark.Deg(), -3600, 3600, " degrees"},
		{name + " width of the mark", a.MarkWidth.Deg(), 0.01, 90, " degrees"},
		{name + " top speed", a.TopSpeed.Deg(), 0.01, 20, " degrees a second"},
		{name + " acceleration", a.Acceleration.Deg(), 0.01, 50, " degrees a second squared"},
		{name + " lag", a.LagS, 0.005, 5, " s"},
		{name + " armature", a.ArmatureOhm, 0.01, 100, " ohm"},
		{name + " current limit", a.CurrentLimitA, 0.1, 500, " A"},
		{name + " brake resistor", a.BrakeOhm, 0, 1e6, " ohm"},
		{name + " current to turn", a.TurnA, 0, a.CurrentLimitA / 2, " A"},
		{name + " viscous current", a.ViscousA, 0, a.CurrentLimitA / 2, " A"},
		{name + " worm loss", a.WormLoss, 0, 20, ""},
		{name + " backlash", a.Backlash.Deg(), 0, 5, " degrees"},
		{name + " inertia of the motor", a.MotorKgM2, 1, 1e9, " kg m2"},
		{name + " inertia of the hub", a.HubKgM2, 1, 1e9, " kg m2"},
		{name + " inertia of the dish", a.DishKgM2, 1, 1e9, " kg m2"},
		{name + " stiffness of the gear teeth", a.GearNmPerRad, 1, 0.1 * a.HubKgM2 / (step * step),
			" Nm/rad (the limit of a step of 1 ms)"},
		{name + " structure", a.StructureHz, 0.5, 20, " Hz"},
		{name + " damping of the structure", a.StructureDamping, 0, 0.5, " of the critical"},
		{name + " bearing friction", a.BearingNm, 0, 1e5, " Nm"},
		{name + " sticking", a.Sticking, 1, 3, " times sliding friction"},
		{name + " Stribeck speed", a.StribeckSpeed.Deg(), 1e-4, 1, " degrees a second"},
		{name + " imbalance", a.ImbalanceNm, -1e5, 1e5, " Nm"},
		{name + " wind moment", a.WindMoment, 0, 1, ""},
		{name + " heat capacity", a.ThermalJPerK, 1, 1e6, " J/K"},
		{name + " cooling", a.CoolingWPerK, 0.01, 1000, " W/K"},
		{name + " encoder pulses", e.Pulses, 0.25, 1e8, ""},
		{name + " encoder gearing", e.Ratio, 1e-4, 1e5, " turns of the encoder for one of the axis"},
		{name + " unevenness of the edges", e.Uneven, 0, 0.4, " counts"},
	})
	if err != nil {
		return err
	}
	if abs := a.DriveDirection * e.Direction; abs != 1 && abs != -1 {
		return fmt.Errorf("simulated dish: %s directions %d and %d: must be 1 or -1", name, a.DriveDirection,
			e.Direction)
	}
	if stiff := e.step(); a.TopSpeed.Rad()*step/stiff > 1000 {
		return fmt.Errorf("simulated dish: %s encoder: %.0f counts in a millisecond at top speed: at most 1000", name,
			a.TopSpeed.Rad()*step/stiff)
	}
	return nil
}

// voltsPerSpeed is the motor's voltage constant, V s/rad, which in SI units is
// its torque constant too, Nm/A: such that the steady speed at full drive is
// the top speed, with sag of the supply and friction.
func (a *Axis) voltsPerSpeed(s *Supplies) float64 {
	volts := s.DriveV
	for range 20 {
		constant := volts / a.TopSpeed.Rad()
		current := a.TurnA + a.ViscousA + a.BearingNm*(1+a.WormLoss)/constant
		// At full drive the supply gives the motor's current.
		volts = s.DriveV - current*(a.ArmatureOhm+s.DriveOhm)
	}
	return volts / a.TopSpeed.Rad()
}

// coldFriction is how much more friction there is than in air of 10 degrees C:
// grease stiffens by a quarter for 9 degrees (believable, no source).
func coldFriction(temperatureC float64) float64 {
	return math.Exp(0.025 * (10 - max(-50, min(60, temperatureC))))
}
