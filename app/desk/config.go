package desk

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/motion"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
	"beamhelm/ephem/noise"
)

// Config is what the desk works with. It is not changed while it runs.
type Config struct {
	Settings settings.Settings
	// Drive is DriveConfig of the settings.
	Drive   step.Config
	Sky     *ephem.Sky
	Sources catalogue.Catalogue
	// Galaxy is the sky's brightness; nil leaves the radio path and the plan out.
	Galaxy *noise.Sky
	// Practice marks the simulated dish.
	Practice bool
}

// NewConfig checks the settings once more by the drive's own rules and puts a
// configuration together.
func NewConfig(s settings.Settings, sky *ephem.Sky, sources catalogue.Catalogue, practice bool) (Config, error) {
	drive, err := DriveConfig(s)
	if err != nil {
		return Config{}, err
	}
	return Config{Settings: s, Drive: drive, Sky: sky, Sources: sources, Practice: practice}, nil
}

// site is the station as the sky wants it.
func (c *Config) site() ephem.Site {
	s := c.Settings.Station
	return ephem.Site{Lat: degrees(s.LatitudeDeg), Lon: degrees(s.LongitudeDeg), HeightM: s.HeightM}
}

func (c *Config) air() ephem.Air {
	a := c.Settings.Air
	return ephem.Air{PressureHPa: a.PressureHPa, TemperatureC: a.TemperatureC, HumidityPercent: a.HumidityPercent}
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

func millis(ms int) time.Duration { return time.Duration(ms) * time.Millisecond }

// DriveConfig is what the drive must know of the settings.
func DriveConfig(s settings.Settings) (step.Config, error) {
	c := step.Default()
	c.Tick = time.Second / time.Duration(s.Link.Ticks())
	c.Watchdog = millis(s.Link.WatchdogMS)
	c.IdlePowerOff = seconds(60 * s.Motion.PowerOffAfterMin)
	c.MotionWarning = seconds(s.Motion.MotionWarningS)
	c.StowCountdown = seconds(s.Wind.CountdownS)
	c.JogLife = max(c.JogLife, 2*c.Tick)
	c.PermitLife = permitLife
	for i, a := range [2]settings.Axis{s.Axes.Azimuth, s.Axes.Elevation} {
		axis, err := axisConfig(a, c.Axes[i])
		if err != nil {
			return step.Config{}, fmt.Errorf("%s: %w", mount.AxisName(i), err)
		}
		c.Axes[i] = axis
	}
	for i, o := range s.Structures {
		if i < mount.MaxStructures {
			c.Structures.Structures[i] = mount.Structure{From: degrees(o.FromDeg), To: degrees(o.ToDeg), Least: degrees(o.LeastElevationDeg)}
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
	c.Limits = mount.Limits{EndLow: degrees(a.LowerEndDeg), SoftLow: degrees(a.LowerSoftDeg), SoftHigh: degrees(a.UpperSoftDeg), EndHigh: degrees(a.UpperEndDeg)}
	c.HasMark, c.MarkAngle = a.Mark, degrees(a.MarkAngleDeg)
	c.JogSpeed = a.JogPercent / 100
	c.IdleA, c.RatedA, c.BlockedA, c.Bears = a.IdleCurrentA, a.RatedCurrentA, a.BlockedCurrentA, seconds(a.BearsBlockedS)
	d := &c.Drive
	*d = motion.Drive{
		Reversed: a.DriveDirection < 0,
		TopSpeed: degrees(a.TopSpeedDegPerS), Acceleration: degrees(a.AccelerationDegPerS2), Jerk: degrees(a.JerkDegPerS3),
		Lag: millis(a.LagMS), Ramp: d.Ramp, LeastDrive: a.LeastSteadyPercent / 100,
		Play: degrees(a.ToothPlayDeg), Coast: degrees(a.CoastDeg), Slow: a.SlowJogPercent / 100,
		Speeds: len(a.FixedSpeedsDegPerS),
	}
	for i, v := range a.FixedSpeedsDegPerS {
		if i < motion.MaxSpeeds {
			d.SpeedOf[i] = degrees(v)
		}
	}
	for i, v := range a.LadderDeg {
		if i+1 < motion.MaxSpeeds {
			d.Ladder[i+1] = degrees(v)
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
	l.LoopLate, l.WindowSilence = millis(s.Motion.LoopLateMS), seconds(s.Motion.WindowSilentS)
	l.ClockOff = seconds(s.Clock.WarnOffS)
	l.WindWarn, l.WindMean, l.WindGust = s.Wind.WarningMPS, s.Wind.StowMeanMPS, s.Wind.StowGustMPS
	l.WindHysteresis, l.WindClear = s.Wind.HysteresisMPS, seconds(60*s.Wind.ClearAfterMin)
	if !s.Wind.Stow {
		l.WindMean, l.WindGust = 0, 0
	}
	l.PermitElevation = degrees(s.Permit.LeastElevationDeg)
	if s.Dish.Finish == settings.Bare {
		l.SunAway = degrees(s.Sun.KeepAwayDeg)
	}
	r := s.Readings
	l.SupplyLow = r["drive_supply_v"].AlarmLow.Or(0)
	l.MotorHot = min(r["azimuth_motor_c"].AlarmHigh.Or(200), r["elevation_motor_c"].AlarmHigh.Or(200))
	l.StageHot = r["drive_stage_c"].AlarmHigh.Or(0)
	if s.Permit.PreamplifierRelay {
		l.RelayLow, l.RelayHigh = r["preamplifier_relay_supply_v"].AlarmLow.Or(0), r["preamplifier_relay_supply_v"].AlarmHigh.Or(0)
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
			l.Closed[l.ClosedCount] = guard.Sector{From: degrees(sector.FromDeg), To: degrees(sector.ToDeg), Low: degrees(sector.FromElevationDeg), High: degrees(sector.ToElevationDeg)}
			l.ClosedCount++
		}
	}
	return l
}

// HalfPower is the half-power beamwidth of a feed: as set, or worked out from
// the dish, the frequency and the edge taper. Closed for everything shorter
// than the dish is wide.
func HalfPower(dish settings.Dish, mhz float64, feed settings.Feed) unit.Angle {
	if feed.BeamwidthDeg > 0 {
		return degrees(feed.BeamwidthDeg)
	}
	const metresMHz = 299.792458
	return degrees(taperFactor(dish.EdgeTaperDB) * metresMHz / mhz / dish.DiameterM)
}

// taperFactor is K in half-power beamwidth = K wavelength / diameter, degrees,
// for illumination as a parabola on a pedestal whose edge lies taperDB below
// the middle. Worked out by numerical integration; 58.96 for an even
// illumination agrees with the textbooks' 58.9.
func taperFactor(taperDB float64) float64 {
	table := [...]struct{ db, k float64 }{{0, 58.96}, {6, 62.7}, {10, 65.2}, {12, 66.3}, {15, 67.7}, {40, 72.7}}
	t := math.Abs(taperDB)
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1], table[i]; t <= b.db {
			return a.k + (b.k-a.k)*(t-a.db)/(b.db-a.db)
		}
	}
	return table[len(table)-1].k
}

// readingKeys names, for each reading of the link, the key of its limits.
func readingKeys() map[int]string {
	keys := map[int]string{}
	for _, r := range settings.Readings() {
		if place := int(r.Register) - enclosure.AddressReadings; place >= 0 {
			keys[place] = r.Key
		}
	}
	return keys
}
