package journal

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/drive/enclosure"
)

// Series is a figure that is kept every second.
type Series struct {
	// Key names it, with its unit: the column of the file.
	Key  string
	Name string
	// Unit as it is shown; empty for plain numbers.
	Unit string
	// Decimals that are worth showing.
	Decimals int
	// Circle marks a direction from 0 to 360 degrees, whose mean is that of its unit vectors.
	Circle bool

	of func(*desk.Status) float64 // NaN where there is none
}

// AllSeries are all series that this program keeps, in the order of their columns.
// Axis angles run over the cable wrap, so that they have an ordinary mean.
//
//beamhelm:table
func AllSeries() []Series {
	return []Series{
		{
			"azimuth_position_deg",
			"Azimuth",
			"°",
			3,
			false,
			axis(0, func(a *desk.Axis) float64 { return trusted(a, a.Position) }),
		},
		{"azimuth_commanded_deg", "Azimuth commanded", "°", 3, false, axis(0, setpoint)},
		{"azimuth_current_a", "Azimuth current", "A", 2, false,
			axis(0, func(a *desk.Axis) float64 { return a.CurrentA })},
		{"azimuth_drive_percent", "Azimuth drive", "%", 0, false,
			axis(0, func(a *desk.Axis) float64 { return 100 * a.Applied })},
		{"azimuth_starts_per_h", "Azimuth motor starts", "/h", 0, false,
			func(s *desk.Status) float64 { return s.MotorStartsPerHour[0] }},
		{"elevation_position_deg", "Elevation", "°", 3, false,
			axis(1, func(a *desk.Axis) float64 { return trusted(a, a.Position) })},
		{"elevation_commanded_deg", "Elevation commanded", "°", 3, false, axis(1, setpoint)},
		{"elevation_current_a", "Elevation current", "A", 2, false,
			axis(1, func(a *desk.Axis) float64 { return a.CurrentA })},
		{"elevation_drive_percent", "Elevation drive", "%", 0, false,
			axis(1, func(a *desk.Axis) float64 { return 100 * a.Applied })},
		{"elevation_starts_per_h", "Elevation motor starts", "/h", 0, false,
			func(s *desk.Status) float64 { return s.MotorStartsPerHour[1] }},
		{"pointing_error_deg", "Pointing error", "°", 3, false,
			func(s *desk.Status) float64 { return moving(s, s.Off.Deg()) }},
		{"two_way_pointing_loss_db", "Two-way pointing loss", "dB", 2, false,
			func(s *desk.Status) float64 { return tracking(s, s.EchoLossDB) }},
		{"trim_cross_elevation_deg", "Trim, cross-elevation", "°", 3, false,
			func(s *desk.Status) float64 { return s.Trim.CrossEl.Deg() }},
		{"trim_elevation_deg", "Trim, elevation", "°", 3, false,
			func(s *desk.Status) float64 { return s.Trim.El.Deg() }},
		{"noise_db", "Noise", "dB", 2, false, noise},
		{"noise_over_cold_db", "Noise above cold sky", "dB", 2, false, noiseOverCold},
		{"keyed", "Transmitting", "", 2, false, keyed},
		{"link_replies_per_s", "Link replies", "/s", 1, false,
			func(s *desk.Status) float64 { return s.Link.PerSecond }},
		{"link_errors", "Link errors", "", 0, false, func(s *desk.Status) float64 { return float64(s.Link.Errors) }},
		{"azimuth_impossible", "Azimuth impossible transitions", "", 0, false,
			func(s *desk.Status) float64 { return float64(s.Link.Impossible[0]) }},
		{"elevation_impossible", "Elevation impossible transitions", "", 0, false,
			func(s *desk.Status) float64 { return float64(s.Link.Impossible[1]) }},
		{"drive_supply_v", "Drive supply", "V", 1, false, reading(enclosure.DriveSupply)},
		{"logic_supply_v", "Logic supply", "V", 2, false, reading(enclosure.LogicSupply)},
		{"battery_v", "Battery", "V", 1, false, reading(enclosure.BatterySupply)},
		{"preamplifier_supply_v", "Preamplifier supply", "V", 2, false, reading(enclosure.PreamplifierSupply)},
		{"preamplifier_relay_supply_v", "Preamplifier relay supply", "V", 1, false, reading(enclosure.RelaySupply)},
		{"feed_heater_a", "Feed heater", "A", 2, false, reading(enclosure.FeedHeaterCurrent)},
		{"air_inside_c", "Air inside", "°C", 1, false, reading(enclosure.AirInside)},
		{"air_outside_c", "Air outside", "°C", 1, false, reading(enclosure.AirOutside)},
		{"azimuth_motor_c", "Azimuth motor temperature", "°C", 0, false, reading(enclosure.AzimuthMotorTemperature)},
		{"elevation_motor_c", "Elevation motor temperature", "°C", 0, false,
			reading(enclosure.ElevationMotorTemperature)},
		{"drive_stage_c", "Drive stage", "°C", 0, false, reading(enclosure.DriveStageTemperature)},
		{"humidity_inside_percent", "Humidity inside", "%", 0, false, reading(enclosure.HumidityInside)},
		{"wind_mps", "Wind, mean", "m/s", 1, false, reading(enclosure.WindMean)},
		{"wind_gust_mps", "Wind gust", "m/s", 1, false, reading(enclosure.WindGust)},
		{"detector_supply_v", "Detector supply", "V", 2, false, reading(enclosure.DetectorSupply)},
		{"forward_power_w", "Forward power", "W", 0, false, reading(enclosure.ForwardPower)},
		{"reflected_power_w", "Reflected power", "W", 0, false, reading(enclosure.ReflectedPower)},
		{"amplifier_heat_sink_c", "Heat sink", "°C", 0, false, reading(enclosure.HeatSinkTemperature)},
		{"coolant_in_c", "Coolant in", "°C", 1, false, reading(enclosure.CoolantIn)},
		{"coolant_out_c", "Coolant out", "°C", 1, false, reading(enclosure.CoolantOut)},
		{"coolant_flow_l_per_min", "Coolant flow", "L/min", 1, false, reading(enclosure.CoolantFlow)},
		{"amplifier_supply_v", "Amplifier supply", "V", 1, false, reading(enclosure.AmplifierSupply)},
		{"amplifier_current_a", "Amplifier current", "A", 1, false, reading(enclosure.AmplifierCurrent)},
		{"sequencer", "Sequencer", "", 0, false, reading(enclosure.Sequencer)},
		{"wind_direction_deg", "Wind direction", "°", 0, true, reading(enclosure.WindDirection)},
		{"amplifier_high_voltage_v", "Amplifier high voltage", "V", 0, false, reading(enclosure.HighVoltage)},
		{"azimuth_peak_current_a", "Azimuth peak current", "A", 1, false, reading(enclosure.AzimuthPeakCurrent)},
		{"elevation_peak_current_a", "Elevation peak current", "A", 1, false, reading(enclosure.ElevationPeakCurrent)},
	}
}

// Value is the series' figure in a status, NaN where there is none.
func (s Series) Value(status *desk.Status) float64 { return s.of(status) }

// SeriesOf is the series of a key.
func SeriesOf(key string) (Series, bool) {
	for _, s := range AllSeries() {
		if s.Key == key {
			return s, true
		}
	}
	return Series{}, false
}

// valuesOf are the figures of all series in a status.
func valuesOf(s *desk.Status) []float64 {
	all := AllSeries()
	values := make([]float64, len(all))
	for i := range all {
		values[i] = all[i].of(s)
	}
	return values
}

// current says that what the enclosure tells is of now.
func current(s *desk.Status) bool {
	return s.Link.State.Live()
}

// reading is a reading of the link, by its number.
func reading(i int) func(*desk.Status) float64 {
	return func(s *desk.Status) float64 {
		if r := &s.Readings[i]; r.Fitted && current(s) {
			return r.Value
		}
		return math.NaN()
	}
}

func axis(i int, of func(*desk.Axis) float64) func(*desk.Status) float64 {
	return func(s *desk.Status) float64 {
		if a := &s.Axes[i]; a.Fitted && current(s) {
			return of(a)
		}
		return math.NaN()
	}
}

func trusted(a *desk.Axis, angle unit.Angle) float64 {
	if a.Trusted {
		return angle.Deg()
	}
	return math.NaN()
}

func setpoint(a *desk.Axis) float64 {
	if a.HasSetpoint {
		return trusted(a, a.Setpoint)
	}
	return math.NaN()
}

// moving is a figure that means something only while the axes have a setpoint.
func moving(s *desk.Status, v float64) float64 {
	if s.Axes[0].HasSetpoint || s.Axes[1].HasSetpoint {
		return v
	}
	return math.NaN()
}

func tracking(s *desk.Status, v float64) float64 {
	if s.Activity == desk.Tracking {
		return v
	}
	return math.NaN()
}

func noise(s *desk.Status) float64 {
	if s.Noise.Fitted && s.Noise.Clean && current(s) {
		return s.Noise.LevelDB
	}
	return math.NaN()
}

func noiseOverCold(s *desk.Status) float64 {
	if s.Noise.HasCold {
		return noise(s) - s.Noise.ColdDB
	}
	return math.NaN()
}

// keyed is 1 while transmitting, so that its mean is the share of the time.
func keyed(s *desk.Status) float64 {
	switch {
	case !current(s):
		return math.NaN()
	case s.Transmit.Keyed:
		return 1
	}
	return 0
}
