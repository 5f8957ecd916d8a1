package step

import (
	"fmt"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
)

// AxisConfig describes one axis.
type AxisConfig struct {
	Fitted bool
	Scale  mount.Scale
	Limits mount.Limits
	Drive  motion.Drive
	// HasMark: a mark stands at MarkAngle (passed with rising counts), one turn of the axis like another.
	HasMark   bool
	MarkAngle unit.Angle
	// JogSpeed is the part of top speed of a full jog.
	JogSpeed float64
	// Tolerance is how far the axis may be off before it moves, until the desk says otherwise.
	Tolerance unit.Angle
	// IdleA, StallA, RatedA (amperes) and MaxStallTime as in guard.AxisConfig.
	IdleA, StallA, RatedA float64
	MaxStallTime          time.Duration
}

// Config is what the operator has set. Default gives every field a sound value.
type Config struct {
	Axes [2]AxisConfig
	// Structures is how low the dish may go, by azimuth.
	Structures mount.Floor
	// Tick is the time between two ticks: 50, 100 or 200 ms.
	Tick time.Duration
	// Watchdog is the enclosure's watchdog period, three ticks or more, 200 ms to 2 s.
	Watchdog time.Duration
	// IdlePowerOff is the time at rest after which drive power goes off; 0: never.
	IdlePowerOff time.Duration
	// MotionWarning is how long the motion warning sounds before a start that nobody asked for.
	MotionWarning time.Duration
	// StowCountdown is how long the operator can cancel a wind stow.
	StowCountdown time.Duration
	// JogLife is how long a jog lives without being renewed.
	JogLife time.Duration
	// PermitLife is how long a request for the transmit permit lives without being renewed; 0: indefinitely.
	PermitLife time.Duration
	// Guard holds the limits of the guards that are not worked out from the axes.
	Guard guard.Limits
}

// Default returns the configuration of an invented worm-driven dish: 1024
// pulses on the dish axis, 1.5 degrees a second, azimuth -45 to 405 degrees.
func Default() Config {
	axis := AxisConfig{
		Fitted:       true,
		Scale:        mount.Scale{Step: unit.AngleFromDeg(360.0 / 4096), Direction: 1},
		Drive:        motion.DefaultDrive(),
		HasMark:      true,
		JogSpeed:     0.5,
		Tolerance:    unit.AngleFromDeg(0.09),
		IdleA:        0.3,
		StallA:       12,
		RatedA:       6,
		MaxStallTime: 4 * time.Second,
	}
	azimuth, elevation := axis, axis
	degrees := unit.AngleFromDeg
	azimuth.Limits = mount.Limits{EndLow: degrees(-50), SoftLow: degrees(-45), SoftHigh: degrees(405),
		EndHigh: degrees(410)}
	azimuth.MarkAngle = degrees(180)
	elevation.Limits = mount.Limits{EndLow: degrees(-5), SoftLow: degrees(0), SoftHigh: degrees(90),
		EndHigh: degrees(95)}
	elevation.MarkAngle = degrees(45)
	return Config{
		Axes:          [2]AxisConfig{azimuth, elevation},
		Tick:          100 * time.Millisecond,
		Watchdog:      time.Second,
		IdlePowerOff:  10 * time.Minute,
		MotionWarning: 5 * time.Second,
		StowCountdown: 30 * time.Second,
		JogLife:       300 * time.Millisecond,
		Guard:         guard.DefaultLimits(),
	}
}

// Validate names field, value and limits of the first thing that cannot be used.
func (c *Config) Validate() error {
	within := func(name string, v, low, high time.Duration) error {
		if v < low || v > high {
			return fmt.Errorf("%s %v: must be %v to %v", name, v, low, high)
		}
		return nil
	}
	for _, err := range [...]error{
		within("tick", c.Tick, 50*time.Millisecond, 200*time.Millisecond),
		within("watchdog", c.Watchdog, max(200*time.Millisecond, 3*c.Tick), 2*time.Second),
		within("motion warning", c.MotionWarning, 0, time.Minute),
		within("stow countdown", c.StowCountdown, 0, 10*time.Minute),
		within("jog life", c.JogLife, 2*c.Tick, time.Second),
		within("permit life", c.PermitLife, 0, time.Minute),
		within("power off after", c.IdlePowerOff, 0, 24*time.Hour),
	} {
		if err != nil {
			return err
		}
	}
	for i := range c.Axes {
		if err := c.Axes[i].validate(c.Watchdog); err != nil {
			return fmt.Errorf("%s: %w", mount.AxisName(i), err)
		}
	}
	if err := c.Structures.Validate(); err != nil {
		return err
	}
	return c.Guard.Validate()
}

func (a *AxisConfig) validate(watchdog time.Duration) error {
	if !a.Fitted {
		return nil
	}
	if err := a.Scale.Validate(); err != nil {
		return err
	}
	if err := a.Drive.Validate(); err != nil {
		return err
	}
	if !(a.JogSpeed > 0 && a.JogSpeed <= 1) {
		return fmt.Errorf("jog speed %v: must be above 0, at most 1 of top speed", a.JogSpeed)
	}
	if t := a.Tolerance.Deg(); !(t >= 0 && t <= 10) {
		return fmt.Errorf("tolerance %v: must be 0 to 10 degrees", t)
	}
	if !(a.IdleA >= 0 && a.RatedA >= 0 && a.StallA >= 0) || a.StallA > 0 && a.StallA < a.RatedA {
		return fmt.Errorf("motor currents idle %v, rated %v, stall %v A: none below 0, stall not below rated", a.IdleA,
			a.RatedA, a.StallA)
	}
	return a.Limits.Validate(a.Drive.Margin(watchdog))
}
