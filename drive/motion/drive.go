// Package motion moves one axis: where it is between two counts, how fast it
// may go to be on the target as soon as possible without passing it, and what
// drive to ask for. It is pure: state and inputs are plain values.
//
// Angles and rates are of the axis, in radians and radians a second, positive
// clockwise seen from above and upwards; drives run from -1 to 1, where 1 is
// full drive in the direction of rising angle.
package motion

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// MaxSpeeds is the largest number of fixed speeds of a stepped drive.
const MaxSpeeds = 8

// Drive is what is known of one axis and its drive.
type Drive struct {
	// Reversed says that a positive drive lowers the angle.
	Reversed bool
	// Speeds is 0 for a proportional drive, else the number of fixed speeds.
	Speeds int
	// SpeedOf is the steady speed of each fixed speed; 0 where not known: then
	// that part of TopSpeed.
	SpeedOf [MaxSpeeds]unit.Angle
	// SpeedSteps is, for each fixed speed above the lowest, the distance left at
	// which it is given up for the next lower one; 0: worked out from what it
	// takes to stop.
	SpeedSteps [MaxSpeeds]unit.Angle
	// Coast is the travel after the drive is cut that the guards allow beside what braking takes.
	Coast unit.Angle
	// TopSpeed is the steady speed at full drive, a second.
	TopSpeed unit.Angle
	// Acceleration, a second squared, is how fast the drive stage itself lets the
	// speed change; Jerk, a second cubed, is the most the profile asks for.
	Acceleration, Jerk unit.Angle
	// Lag is the time constant with which the drive stage follows the drive given to it.
	Lag time.Duration
	// Ramp is the enclosure's own time from zero to full drive.
	Ramp time.Duration
	// MinDrive is the least drive at which the axis turns steadily, 0 to 1.
	MinDrive float64
	// Backlash is the backlash: how far the axis can move with the motor standing.
	Backlash unit.Angle
	// Approach is +1 or -1 where the axis must come to its place upwards or
	// downwards, 0 where either side will do.
	Approach int
	// Slow is the part of TopSpeed allowed to an axis whose position is not trusted.
	Slow float64
}

// DefaultDrive is a worm drive of a dish of 5 to 7 m.
func DefaultDrive() Drive {
	return Drive{
		TopSpeed:     unit.AngleFromDeg(1.5),
		Acceleration: unit.AngleFromDeg(0.5),
		Jerk:         unit.AngleFromDeg(1.4),
		Lag:          150 * time.Millisecond,
		Ramp:         time.Second,
		MinDrive:     0.03,
		Backlash:     unit.AngleFromDeg(0.15),
		Coast:        unit.AngleFromDeg(0.1),
		Slow:         0.2,
	}
}

// Validate names field, value, limits and unit of what cannot be used.
func (d Drive) Validate() error {
	degrees := func(name string, a unit.Angle, low, high float64, per string) error {
		if v := a.Deg(); !(v >= low && v <= high) {
			return fmt.Errorf("%s %v: must be %v to %v degrees%s", name, v, low, high, per)
		}
		return nil
	}
	for _, err := range [...]error{
		degrees("top speed", d.TopSpeed, 0.01, 20, " a second"),
		degrees("acceleration", d.Acceleration, 0.01, 50, " a second squared"),
		degrees("jerk", d.Jerk, 0.01, 500, " a second cubed"),
		degrees("backlash", d.Backlash, 0, 5, ""),
		degrees("coast", d.Coast, 0, 5, ""),
	} {
		if err != nil {
			return err
		}
	}
	switch {
	case d.Speeds < 0 || d.Speeds > MaxSpeeds:
		return fmt.Errorf("fixed speeds %d: must be 0 to %d", d.Speeds, MaxSpeeds)
	case d.Approach < -1 || d.Approach > 1:
		return fmt.Errorf("approach side %d: must be -1, 0 or 1", d.Approach)
	case !(d.MinDrive >= 0 && d.MinDrive <= 0.5):
		return fmt.Errorf("minimum drive %v: must be 0 to 0.5 of full drive", d.MinDrive)
	case !(d.Slow > 0 && d.Slow <= 0.5):
		return fmt.Errorf("slow jog %v: must be above 0, at most 0.5 of top speed", d.Slow)
	case d.Lag < 0 || d.Lag > 5*time.Second:
		return fmt.Errorf("drive lag %v: must be 0 to 5 s", d.Lag)
	case d.Ramp < 0 || d.Ramp > 20*time.Second:
		return fmt.Errorf("drive ramp %v: must be 0 to 20 s", d.Ramp)
	}
	return nil
}

// StoppingDistance is the most the axis travels after zero drive at full
// speed: the slower of its own acceleration and the enclosure's ramp, the lag,
// and the backlash.
func (d Drive) StoppingDistance() unit.Angle {
	return unit.Angle(StoppingFrom(d.TopSpeed.Rad(), d.Acceleration.Rad(), d.Lag.Seconds(), d.Backlash.Rad()))
}

// StoppingFrom is the most an axis travels after zero drive at a speed, in the unit of angle of its
// arguments, all of them per second: down the slope of its deceleration, through the lag (seconds),
// and the backlash.
func StoppingFrom(speed, deceleration, lagS, backlash float64) float64 {
	return speed*speed/(2*deceleration) + speed*lagS + backlash
}

// braking is how long the axis takes from full speed to rest by the slope.
func (d Drive) braking() time.Duration {
	acceleration, jerk, speed := d.Acceleration.Rad(), d.Jerk.Rad(), d.TopSpeed.Rad()
	if d.Ramp > 0 {
		acceleration = min(acceleration, speed/d.Ramp.Seconds())
	}
	return time.Duration((speed/acceleration + acceleration/jerk) * float64(time.Second))
}

// Margin is the room needed between a soft limit and the end switch: top
// speed through the watchdog time, and the stopping distance.
func (d Drive) Margin(watchdog time.Duration) unit.Angle {
	return unit.Angle(d.TopSpeed.Rad()*watchdog.Seconds()) + d.StoppingDistance()
}

// Slowest is the lowest fixed speed, 0 for a proportional drive.
func (d Drive) Slowest() unit.Angle {
	switch {
	case d.Speeds == 0:
		return 0
	case d.SpeedOf[0] > 0:
		return d.SpeedOf[0]
	}
	return d.TopSpeed.Div(float64(d.Speeds))
}

// Learned is what the axis has shown of itself, to be kept between runs.
// A Gain of 0: nothing is known.
type Learned struct {
	// Gain is the steady speed at full drive over Drive.TopSpeed.
	Gain float64
	// Dead is the drive below which the axis does not turn, 0 to 1.
	Dead float64
	// Backlash is the backlash seen when the motor turned round, valid with HasBacklash:
	// less than the drive's where a load holds the dish to one side of the backlash.
	Backlash    unit.Angle `json:"Play"` // as it is kept
	HasBacklash bool       `json:"HasPlay"`
	// Edges are the errors of the four edges of an encoder cycle, by count modulo 4.
	// EdgesSeen is how often each was seen, up to 1000.
	Edges     [4]unit.Angle
	EdgesSeen [4]uint16
	// Loss is the drive lost in the motor's winding for an ampere, 0: not known;
	// LossSeen is how often it was put right, up to 1000.
	Loss     float64
	LossSeen uint16
}

// Fresh is what is believed of an axis that has not shown anything yet: that
// friction in motion takes half the drive at which it turns steadily.
func (d Drive) Fresh() Learned { return Learned{Gain: 1, Dead: 0.5 * d.MinDrive} }

// Valid reports whether every figure is finite and believable; what is not
// must be thrown away whole.
func (l Learned) Valid() bool {
	fine := func(v, low, high float64) bool { return v >= low && v <= high && !math.IsNaN(v) }
	ok := fine(l.Gain, 0, 4) && fine(l.Dead, 0, 0.5) && fine(l.Backlash.Rad(), 0, 0.1) && fine(l.Loss, 0, 1)
	for _, e := range l.Edges {
		ok = ok && fine(e.Rad(), -0.1, 0.1)
	}
	return ok
}
