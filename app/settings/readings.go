package settings

// Reading is a reading of the enclosure whose limits can be set.
type Reading struct {
	// Key names it in the file, with its unit: readings.drive_supply_v.
	Key string
	// Register is its address on the link.
	Register uint16
	Name     string
	Unit     string
	// Least and Most are what a limit may be.
	Min, Max float64
	// Usual are the limits of a dish with a 24 V drive supply.
	Usual Limits
	// Why says what the reading is for, and what an alarm of it does beside being shown.
	Why string
}

// Readings are the readings whose limits can be set, in the order of their
// registers. The usual limits are common practice, no source.
//
//beamhelm:table
func Readings() []Reading {
	return []Reading{
		{"azimuth_current_a", 0x0026, "Azimuth motor", "A", 0, 500, high(8, 12, 0.5, 1),
			"size of the motor current; it rises with ice, wind and worn bearings"},
		{"elevation_current_a", 0x0027, "Elevation motor", "A", 0, 500, high(8, 12, 0.5, 1),
			"size of the motor current; it rises with ice, imbalance and worn bearings"},
		{"drive_supply_v", 0x0040, "Drive supply", "V", 0, 200, both(20, 22, 29, 31, 0.3, 2),
			"the motors' supply; below alarm_low motion ends"},
		{"logic_supply_v", 0x0041, "Logic supply", "V", 0, 30, both(4.7, 4.8, 5.2, 5.3, 0.02, 2),
			"what the enclosure's own circuits live on"},
		{"battery_v", 0x0042, "Battery", "V", 0, 200, both(11.5, 12, 14.8, 15.2, 0.1, 10),
			"kept for when the mains fail"},
		{"preamplifier_supply_v", 0x0043, "Preamplifier supply", "V", 0, 60, both(11, 11.5, 13.8, 14.5, 0.1, 2),
			"at the mast-head preamplifier"},
		{"preamplifier_relay_supply_v", 0x0044, "Preamplifier relay supply", "V", 0, 60, both(21, 22, 29, 31, 0.2, 1),
			"what the relay that protects the preamplifier is held with; the permit falls outside the alarm limits"},
		{"feed_heater_a", 0x0045, "Feed heater", "A", 0, 30, high(2, 3, 0.1, 5),
			"keeps water and ice off the feed's window"},
		{"air_inside_c", 0x0046, "Air inside", "°C", -60, 100, both(-20, -10, 50, 60, 1, 10), "in the enclosure"},
		{"air_outside_c", 0x0047, "Air outside", "°C", -60, 70, none(1, 10),
			"near freezing, ice and a frozen wind sensor become likely"},
		{"azimuth_motor_c", 0x0048, "Azimuth motor", "°C", -60, 200, high(70, 90, 2, 5),
			"above alarm_high motion ends"},
		{"elevation_motor_c", 0x0049, "Elevation motor", "°C", -60, 200, high(70, 90, 2, 5),
			"above alarm_high motion ends"},
		{"drive_stage_c", 0x004A, "Drive stage", "°C", -60, 200, high(65, 80, 2, 5), "above alarm_high motion ends"},
		{"humidity_inside_percent", 0x004B, "Humidity inside", "%", 0, 100, high(80, 95, 2, 60),
			"water in the enclosure"},
		{"wind_mps", 0x004C, "Wind", "m/s", 0, 80, none(1, 10),
			"mean of 1 s; the wind rule has its own limits under [wind]"},
		{"wind_gust_mps", 0x004D, "Wind gust", "m/s", 0, 100, none(1, 0),
			"maximum of 10 s; the wind rule has its own limits under [wind]"},
		{"detector_supply_v", 0x004E, "Detector supply", "V", 0, 60, none(0.05, 2),
			"a noise detector's level follows its supply"},
		{"forward_power_w", 0x004F, "Forward power", "W", 0, 30000, none(10, 0), "at the amplifier's output"},
		{"reflected_power_w", 0x0050, "Reflected power", "W", 0, 10000, none(5, 0),
			"the permit falls by permit.max_swr, relative to forward power; limits here are in watts; at two " +
				"readings a second the sequencer, not the panel, protects the amplifier"},
		{"amplifier_heat_sink_c", 0x0051, "Heat sink", "°C", -60, 200, high(60, 75, 2, 2), "of the amplifier"},
		{"coolant_in_c", 0x0052, "Coolant in", "°C", -60, 150, both(-15, -10, 45, 55, 1, 5),
			"to the amplifier; outside the alarm limits the permit falls"},
		{"coolant_out_c", 0x0053, "Coolant out", "°C", -60, 150, both(-15, -10, 55, 65, 1, 5),
			"from the amplifier; outside the alarm limits the permit falls"},
		{"coolant_flow_l_per_min", 0x0054, "Coolant flow", "L/min", 0, 300, low(2, 3, 0.1, 2),
			"below alarm_low the permit falls"},
		{"amplifier_supply_v", 0x0055, "Amplifier supply", "V", 0, 300, none(0.2, 2),
			"set these limits to your amplifier"},
		{"amplifier_current_a", 0x0056, "Amplifier current", "A", 0, 300, none(0.5, 0),
			"set these limits to your amplifier"},
		{"amplifier_high_voltage_v", 0x005A, "Amplifier high voltage", "V", 0, 30000, none(20, 1),
			"of a valve amplifier"},
	}
}

func none(hysteresis, holdS float64) Limits { return Limits{Hysteresis: hysteresis, HoldS: holdS} }

func high(warning, alarm, hysteresis, holdS float64) Limits {
	return Limits{WarningHigh: Some(warning), AlarmHigh: Some(alarm), Hysteresis: hysteresis, HoldS: holdS}
}

func low(alarm, warning, hysteresis, holdS float64) Limits {
	return Limits{AlarmLow: Some(alarm), WarningLow: Some(warning), Hysteresis: hysteresis, HoldS: holdS}
}

func both(alarmLow, warningLow, warningHigh, alarmHigh, hysteresis, holdS float64) Limits {
	return Limits{Some(alarmLow), Some(warningLow), Some(warningHigh), Some(alarmHigh), hysteresis, holdS}
}

// UsualReadings are the usual limits of all readings, by key.
func UsualReadings() map[string]Limits {
	limits := map[string]Limits{}
	for _, r := range Readings() {
		limits[r.Key] = r.Usual
	}
	return limits
}
