package settings

import "beamhelm/drive/motion"

// Axes are the two axes.
type Axes struct {
	Azimuth   Axis `toml:"azimuth"`
	Elevation Axis `toml:"elevation"`
}

// EncoderPlace says what the encoder sits on.
type EncoderPlace string

// The places of an encoder. On the motor shaft it doesn't see the backlash.
const (
	OnDishAxis   EncoderPlace = "dish axis"
	OnMotorShaft EncoderPlace = "motor shaft"
)

// Approach is the side from which an axis must come to its place.
type Approach string

// The approaches; upward is to rising angles.
const (
	Either   Approach = "either"
	Upward   Approach = "upward"
	Downward Approach = "downward"
)

// Axis is one axis: encoder, limits, drive, mark and motor. Angles are axis angles.
type Axis struct {
	Fitted         bool         `toml:"fitted"`
	Pulses         float64      `toml:"pulses"`
	GearRatio      float64      `toml:"gear_ratio"`
	Direction      int          `toml:"direction"`       // +1: counts rise with the angle, -1: they fall
	DriveDirection int          `toml:"drive_direction"` // +1: a positive drive raises the angle, -1: it lowers it
	Encoder        EncoderPlace `toml:"encoder"`

	LowerEndDeg  float64 `toml:"lower_end_deg"`
	LowerSoftDeg float64 `toml:"lower_soft_deg"`
	UpperSoftDeg float64 `toml:"upper_soft_deg"`
	UpperEndDeg  float64 `toml:"upper_end_deg"`

	TopSpeedDegPerS      float64   `toml:"top_speed_deg_per_s"`
	AccelerationDegPerS2 float64   `toml:"acceleration_deg_per_s2"`
	JerkDegPerS3         float64   `toml:"jerk_deg_per_s3"`
	LagMS                int       `toml:"lag_ms"`
	MinDrivePercent      float64   `toml:"min_drive_percent"`      // of full drive
	FixedSpeedsDegPerS   []float64 `toml:"fixed_speeds_deg_per_s"` // rising; empty: continuous
	SwitchOverDeg        []float64 `toml:"switch_over_deg"`        // one fewer than the fixed speeds; empty: worked out
	CoastDeg             float64   `toml:"coast_deg"`
	BacklashDeg          float64   `toml:"backlash_deg"`
	Approach             Approach  `toml:"approach"`
	JogPercent           float64   `toml:"jog_percent"`      // of top speed
	SlowJogPercent       float64   `toml:"slow_jog_percent"` // of top speed, while the position isn't trusted

	Mark         bool    `toml:"mark"`
	MarkAngleDeg float64 `toml:"mark_angle_deg"`

	IdleCurrentA  float64 `toml:"idle_current_a"`
	RatedCurrentA float64 `toml:"rated_current_a"`
	StallCurrentA float64 `toml:"stall_current_a"`
	MaxStallTimeS float64 `toml:"max_stall_time_s"`
}

// StoppingDeg is how far the axis travels at most after zero drive at top
// speed: down its own slope, through its lag and the backlash.
func (a Axis) StoppingDeg() float64 {
	return motion.StoppingFrom(a.TopSpeedDegPerS, a.AccelerationDegPerS2, float64(a.LagMS)/1000, a.BacklashDeg)
}

// MarginDeg is the room needed between a soft limit and its end switch: top
// speed through the watchdog period, then the stopping distance.
func (a Axis) MarginDeg(watchdogMS int) float64 {
	return a.TopSpeedDegPerS*float64(watchdogMS)/1000 + a.StoppingDeg()
}
