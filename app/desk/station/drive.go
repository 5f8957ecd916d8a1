package station

import (
	"fmt"
	"time"

	"beamhelm/app/settings"
	"beamhelm/drive/guard"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// PermitLife is after how long without a renewal the loop's transmit permit lapses.
const PermitLife = 2 * time.Second

// DriveConfig is what the drive must know of the settings.
func DriveConfig(s settings.Settings) (step.Config, error) {
	c := step.Default()
	c.Tick = time.Second / time.Duration(s.Link.Ticks())
	c.Watchdog = millis(s.Link.WatchdogMS)
	c.IdlePowerOff = Seconds(60 * s.Motion.PowerOffAfterMin)
	c.MotionWarning = Seconds(s.Motion.MotionWarningS)
	c.StowCountdown = Seconds(s.Wind.CountdownS)
	c.JogLife = max(c.JogLife, 2*c.Tick)
	c.PermitLife = PermitLife
	for i, a := range [2]settings.Axis{s.Axes.Azimuth, s.Axes.Elevation} {
		axis, err := axisConfig(a, c.Axes[i])
		if err != nil {
			return step.Config{}, fmt.Errorf("%s: %w", mount.AxisName(i), err)
		}
		c.Axes[i] = axis
	}
	for i, o := range s.Structures {
		if i < mount.MaxStructures {
			c.Structures.Structures[i] = mount.Structure{
				From: degrees(o.FromDeg),
				To:   degrees(o.ToDeg),
				Min:  degrees(o.MinElevationDeg),
			}
			c.Structures.Count = i + 1
		}
	}
	c.Guard = guardLimits(s, c.Guard)
	if err := c.Validate(); err != nil {
		return step.Config{}, fmt.Errorf("the settings do not suit the drive: %w", err)
	}
	return c, nil
}

func axisConfig(a settings.Axis, c step.AxisConfig) (step.AxisConfig, error) {
	if c.Fitted = a.Fitted; !a.Fitted {
		return c, nil
	}
	scale, err := mount.ScaleOf(a.Pulses, a.GearRatio, a.Direction)
	if err != nil {
		return c, err
	}
	c.Scale = scale
	c.Limits = mount.Limits{
		EndLow:   degrees(a.LowerEndDeg),
		SoftLow:  degrees(a.LowerSoftDeg),
		SoftHigh: degrees(a.UpperSoftDeg),
		EndHigh:  degrees(a.UpperEndDeg),
	}
	c.HasMark, c.MarkAngle = a.Mark, degrees(a.MarkAngleDeg)
	c.JogSpeed = a.JogPercent / 100
	c.IdleA, c.RatedA, c.StallA, c.MaxStallTime = a.IdleCurrentA, a.RatedCurrentA, a.StallCurrentA, Seconds(
		a.MaxStallTimeS,
	)
	d := &c.Drive
	*d = motion.Drive{
		Reversed: a.DriveDirection < 0,
		TopSpeed: degrees(
			a.TopSpeedDegPerS,
		), Acceleration: degrees(a.AccelerationDegPerS2), Jerk: degrees(a.JerkDegPerS3),
		Lag: millis(a.LagMS), Ramp: d.Ramp, MinDrive: a.MinDrivePercent / 100,
		Backlash: degrees(a.BacklashDeg), Coast: degrees(a.CoastDeg), Slow: a.SlowJogPercent / 100,
		Speeds: len(a.FixedSpeedsDegPerS),
	}
	for i, v := range a.FixedSpeedsDegPerS {
		if i < motion.MaxSpeeds {
			d.SpeedOf[i] = degrees(v)
		}
	}
	for i, v := range a.SwitchOverDeg {
		if i+1 < motion.MaxSpeeds {
			d.SpeedSteps[i+1] = degrees(v)
		}
	}
	switch a.Approach {
	case settings.Upward:
		d.Approach = 1
	case settings.Downward:
		d.Approach = -1
	}
	return c, nil
}

func guardLimits(s settings.Settings, l guard.Limits) guard.Limits {
	l.LinkIdle, l.LinkPowered = millis(s.Link.LostIdleMS), millis(s.Link.LostPoweredMS)
	l.LoopLate, l.WindowSilence = millis(s.Motion.LoopLateMS), Seconds(s.Motion.WindowSilentS)
	l.ClockOff = Seconds(s.Clock.WarnOffS)
	l.WindWarn, l.WindMean, l.WindGust = s.Wind.WarningMPS, s.Wind.StowMeanMPS, s.Wind.StowGustMPS
	l.WindHysteresis, l.WindClear = s.Wind.HysteresisMPS, Seconds(60*s.Wind.ClearAfterMin)
	if !s.Wind.Stow {
		l.WindMean, l.WindGust = 0, 0
	}
	l.PermitElevation = degrees(s.Permit.MinElevationDeg)
	if s.Dish.Finish == settings.Bare {
		l.SunAway = degrees(s.Sun.KeepAwayDeg)
	}
	r := s.Readings
	l.SupplyLow = r["drive_supply_v"].AlarmLow.Or(0)
	l.MotorHot = min(r["azimuth_motor_c"].AlarmHigh.Or(200), r["elevation_motor_c"].AlarmHigh.Or(200))
	l.StageHot = r["drive_stage_c"].AlarmHigh.Or(0)
	if s.Permit.PreamplifierRelay {
		l.RelayLow, l.RelayHigh = r["preamplifier_relay_supply_v"].AlarmLow.Or(
			0,
		), r["preamplifier_relay_supply_v"].AlarmHigh.Or(
			0,
		)
	}
	l.ReflectedHigh, l.SWRHigh = r["reflected_power_w"].AlarmHigh.Or(0), s.Permit.MaxSWR
	if s.Permit.Coolant {
		l.CoolantHigh = r["coolant_out_c"].AlarmHigh.Or(0)
		l.FlowLow = r["coolant_flow_l_per_min"].AlarmLow.Or(0)
	}
	l.ClosedCount = 0
	for _, sector := range s.ClosedSectors {
		// A sector that is closed on some bands only is the desk's affair.
		if len(sector.Bands) == 0 && l.ClosedCount < guard.MaxSectors {
			l.Closed[l.ClosedCount] = guard.Sector{
				From: degrees(sector.FromDeg),
				To:   degrees(sector.ToDeg),
				Low:  degrees(sector.FromElevationDeg),
				High: degrees(sector.ToElevationDeg),
			}
			l.ClosedCount++
		}
	}
	return l
}
