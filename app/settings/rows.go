package settings

// rows is the table of all keys. Ranges are what the program can work with;
// what is usual stands in Default.
//
//beamhelm:table
func rows() []Field {
	const turns = 3600
	return []Field{
		{Key: "version", Least: 1, Most: Version, Needed: true, Why: "of this file's form"},

		{Key: "station.name", Least: 1, Most: 60, Needed: true, Why: "stands in the top line and on pictures"},
		{Key: "station.latitude_deg", Unit: "degrees", Least: -90, Most: 90, Needed: true, Why: "WGS 84, north positive; 0.01 degree is 1.1 km, which moves the Moon by up to 0.01 degree"},
		{Key: "station.longitude_deg", Unit: "degrees", Least: -180, Most: 180, Needed: true, Why: "WGS 84, east positive"},
		{Key: "station.height_m", Unit: "m", Least: -450, Most: 9000, Needed: true, Why: "above sea level; 100 m are enough"},

		{Key: "dish.diameter_m", Unit: "m", Least: 0.3, Most: 100, Needed: true, Why: "gives beamwidth and gain"},
		{Key: "dish.finish", Choices: []string{string(Mesh), string(Matte), string(Bare)}, Needed: true, Why: "a bare one brings the Sun to a focus"},
		{Key: "dish.edge_taper_db", Unit: "dB", Least: 0, Most: 30, Why: "how much weaker the feed lights the edge than the middle; gives the beamwidth"},
		{Key: "dish.efficiency", Least: 0.05, Most: 1, Why: "part of the aperture that works; gives the gain to be expected"},
		{Key: "dish.surface_error_mm", Unit: "mm", Least: 0, Most: 50, Why: "root mean square; costs gain at short waves"},

		{Key: "bands[].name", Least: 1, Most: 20, Needed: true, Why: "on the band selector"},
		{Key: "bands[].mhz", Name: "frequency", Unit: "MHz", Least: 10, Most: 300000, Needed: true, Why: "Doppler, loss and beamwidth are worked out at this frequency"},
		{Key: "bands[].link_band", Least: 0, Most: 15, Why: "number of the band on the link, for the band switch"},
		{Key: "bands[].receiver_temperature_k", Unit: "K", Least: 1, Most: 10000, Why: "of preamplifier and what follows, for the noise to be expected"},
		{Key: "bands[].transmit_power_w", Unit: "W", Least: 0, Most: 30000, Why: "at the feed, for the echo to be expected; 0: receive only"},

		{Key: "bands[].feeds[].name", Least: 1, Most: 20, Needed: true, Why: "on the feed selector"},
		{Key: "bands[].feeds[].squint_cross_elevation_deg", Unit: "degrees", Least: -10, Most: 10, Why: "where this feed's beam looks from the boresight, true angle on the sky; + clockwise"},
		{Key: "bands[].feeds[].squint_elevation_deg", Unit: "degrees", Least: -10, Most: 10, Why: "the same, + up"},
		{Key: "bands[].feeds[].beamwidth_deg", Unit: "degrees", Least: 0, Most: 60, Why: "half power, full angle, if measured; 0: worked out from dish and band"},
		{Key: "bands[].feeds[].polarisation", Choices: []string{string(Horizontal), string(Vertical), string(LeftCircular), string(RightCircular)}, Why: "receiving; decides what the sky's turning of it costs"},
		{Key: "bands[].feeds[].turn_deg", Name: "feed turner at", Unit: "degrees", Least: -360, Most: 360, Why: "what the feed turner is set to for this feed, where one is fitted"},
		{Key: "bands[].feeds[].detector_slope_mv_per_db", Unit: "mV/dB", Least: -1000, Most: 1000, Why: "of the noise detector; negative where its voltage falls with power"},
		{Key: "bands[].feeds[].detector_offset_db", Unit: "dB", Least: -300, Most: 300, Why: "added to the detector's level"},
		{Key: "bands[].feeds[].noise_source_k", Name: "noise source adds", Unit: "K", Least: 0, Most: 100000, Why: "noise that the noise source adds at the feed; 0: not known"},
		{Key: "bands[].feeds[].detector_table_mv", Name: "detector table, readings", Unit: "mV", Least: -100000, Most: 100000, Why: "a measured table in place of the slope: readings, rising; empty: there is none"},
		{Key: "bands[].feeds[].detector_table_db", Name: "detector table, levels", Unit: "dB", Least: -300, Most: 300, Why: "the level of each of these readings"},

		{Key: "link.port", Least: 0, Most: 250, Why: "such as /dev/ttyUSB0 or COM3; empty: none is opened"},
		{Key: "link.baud", Unit: "baud", Choices: []string{"9600", "19200", "38400", "57600", "115200"}, Why: "as the enclosure's"},
		{Key: "link.parity", Choices: []string{string(Even), string(Odd), string(NoParity)}, Why: "as the enclosure's"},
		{Key: "link.stop_bits", Choices: []string{"1", "2"}, Why: "2 only without parity"},
		{Key: "link.unit", Name: "unit number", Least: 1, Most: 247, Why: "the enclosure's MODBUS unit"},
		{Key: "link.ticks_per_s", Name: "exchanges", Unit: "a second", Choices: []string{"0", "5", "10", "20"}, Why: "exchanges; 0: by the baud rate, 5 below 19200, 10 below 57600, else 20, which are also the most"},
		{Key: "link.watchdog_ms", Unit: "ms", Least: 200, Most: 2000, Why: "the enclosure stops by itself after so long a silence; three ticks or more"},
		{Key: "link.lost_idle_ms", Name: "lost after, at rest", Unit: "ms", Least: 200, Most: 10000, Why: "the link counts as lost after so long without reply, at rest"},
		{Key: "link.lost_powered_ms", Name: "lost after, powered", Unit: "ms", Least: 200, Most: 10000, Why: "the same with drive power"},

		{Key: "axes.*.fitted", Why: "false: the enclosure doesn't drive this axis, and the rest of its section is ignored"},
		{Key: "axes.*.pulses", Unit: "a turn", Least: 0.25, Most: 1e8, Needed: true, Why: "of the encoder; every edge counts, so a turn of it is 4 times as many counts"},
		{Key: "axes.*.gear_ratio", Least: 0.0001, Most: 100000, Needed: true, Why: "turns of the encoder for one of the axis, any decimal"},
		{Key: "axes.*.direction", Choices: []string{"1", "-1"}, Needed: true, Why: "1: counts rise with the angle (clockwise seen from above, or up); -1: they fall"},
		{Key: "axes.*.drive_direction", Choices: []string{"1", "-1"}, Why: "1: a positive drive raises the angle; -1: it lowers it"},
		{Key: "axes.*.encoder", Choices: []string{string(OnDishAxis), string(OnMotorShaft)}, Why: "where it sits; on the motor shaft it doesn't see the tooth play"},
		{Key: "axes.*.lower_end_deg", Name: "lower end switch", Unit: "degrees", Least: -turns, Most: turns, Needed: true, Why: "angle at which the lower (counter-clockwise) end switch opens"},
		{Key: "axes.*.lower_soft_deg", Name: "lower soft limit", Unit: "degrees", Least: -turns, Most: turns, Needed: true, Why: "the panel goes no lower; far enough from the end to stop if the line is cut at top speed"},
		{Key: "axes.*.upper_soft_deg", Name: "upper soft limit", Unit: "degrees", Least: -turns, Most: turns, Needed: true, Why: "the panel goes no higher"},
		{Key: "axes.*.upper_end_deg", Name: "upper end switch", Unit: "degrees", Least: -turns, Most: turns, Needed: true, Why: "angle at which the upper (clockwise) end switch opens"},
		{Key: "axes.*.top_speed_deg_per_s", Unit: "degrees/s", Least: 0.01, Most: 20, Needed: true, Why: "of the axis at full drive"},
		{Key: "axes.*.acceleration_deg_per_s2", Unit: "degrees/s2", Least: 0.01, Most: 50, Why: "the most the panel asks for"},
		{Key: "axes.*.jerk_deg_per_s3", Unit: "degrees/s3", Least: 0.01, Most: 500, Why: "how suddenly the acceleration may change"},
		{Key: "axes.*.lag_ms", Unit: "ms", Least: 0, Most: 5000, Why: "time constant with which the axis follows its drive"},
		{Key: "axes.*.least_steady_percent", Name: "least steady drive", Unit: "%", Least: 0, Most: 50, Why: "of full drive: the least at which the axis turns steadily; below it the panel moves in short pushes"},
		{Key: "axes.*.fixed_speeds_deg_per_s", Unit: "degrees/s", Least: 0.001, Most: 20, Why: "rising, the last at full drive; empty: the drive is continuous"},
		{Key: "axes.*.ladder_deg", Unit: "degrees", Least: 0.001, Most: 90, Why: "distance left at which each fixed speed above the lowest is given up, rising; empty: worked out"},
		{Key: "axes.*.coast_deg", Unit: "degrees", Least: 0, Most: 5, Why: "travel after the lowest fixed speed is cut; learned from there on"},
		{Key: "axes.*.tooth_play_deg", Unit: "degrees", Least: 0, Most: 5, Why: "how far the axis moves with the motor standing"},
		{Key: "axes.*.approach", Name: "approach side", Choices: []string{string(Either), string(Upward), string(Downward)}, Why: "side from which the axis must come to its place, against tooth play"},
		{Key: "axes.*.jog_percent", Name: "jog speed", Unit: "%", Least: 1, Most: 100, Why: "of top speed, by hand"},
		{Key: "axes.*.slow_jog_percent", Name: "slow jog speed", Unit: "%", Least: 1, Most: 50, Why: "of top speed, by hand, while the position isn't trusted"},
		{Key: "axes.*.mark", Name: "reference mark", Why: "whether a mark (reference switch) is fitted"},
		{Key: "axes.*.mark_angle_deg", Name: "angle of the mark", Unit: "degrees", Least: -turns, Most: turns, Why: "axis angle at which the mark is entered with rising counts"},
		{Key: "axes.*.idle_current_a", Unit: "A", Least: 0, Most: 500, Why: "a driven motor that draws less has no power; 0: not judged"},
		{Key: "axes.*.rated_current_a", Unit: "A", Least: 0, Most: 500, Why: "what the motor bears for ever; 0: not judged"},
		{Key: "axes.*.blocked_current_a", Unit: "A", Least: 0, Most: 500, Why: "a motor that draws more is held fast; 0: not judged"},
		{Key: "axes.*.bears_blocked_s", Unit: "s", Least: 0, Most: 600, Why: "how long the motor bears that from cold"},

		{Key: "motion.power_off_after_min", Unit: "min", Least: 0, Most: 1440, Why: "at rest, drive power goes off by itself; 0: never"},
		{Key: "motion.motion_warning_s", Unit: "s", Least: 0, Most: 60, Why: "how long lamp or sounder warns before a start that nobody asked for just now"},
		{Key: "motion.window_silent_s", Name: "window silent after", Unit: "s", Least: 1, Most: 60, Why: "slews and jogs end when the window hangs for so long"},
		{Key: "motion.loop_late_ms", Name: "loop late after", Unit: "ms", Least: 1, Most: 1000, Why: "a tick that begins later is noticed"},

		{Key: "tracking.tolerance_beamwidths", Unit: "beamwidths", Least: 0, Most: 0.5, Why: "moves when off by more; 0.065 costs 0.1 dB of echo; never less than one count"},
		{Key: "tracking.only_in_our_periods", Why: "motors run only while we transmit, to keep their noise out of the receiver"},
		{Key: "tracking.second_limit_beamwidths", Unit: "beamwidths", Least: 0, Most: 1, Why: "passed, they run all the same"},
		{Key: "tracking.least_elevation_deg", Unit: "degrees", Least: -5, Most: 90, Why: "a target lower than this counts as set"},
		{Key: "tracking.aside_beamwidths", Unit: "beamwidths", Least: 2, Most: 20, Why: "how far Aside goes from the target, at the same elevation"},

		{Key: "structures[].name", Least: 1, Most: 40, Needed: true, Why: "is said when it is in the way"},
		{Key: "structures[].from_deg", Name: "azimuth from", Unit: "degrees", Least: -360, Most: 360, Needed: true, Why: "azimuth where it begins, going clockwise"},
		{Key: "structures[].to_deg", Name: "azimuth to", Unit: "degrees", Least: -360, Most: 360, Needed: true, Why: "azimuth where it ends"},
		{Key: "structures[].least_elevation_deg", Unit: "degrees", Least: -10, Most: 90, Needed: true, Why: "the dish goes no lower there"},

		{Key: "horizon.points", Unit: "degrees", Why: "joined by straight lines; empty: flat"},

		{Key: "closed_sectors[].name", Least: 1, Most: 40, Needed: true, Why: "is said when it takes the permit away"},
		{Key: "closed_sectors[].from_deg", Unit: "degrees", Least: -360, Most: 360, Needed: true, Why: "azimuth where it begins, going clockwise"},
		{Key: "closed_sectors[].to_deg", Unit: "degrees", Least: -360, Most: 360, Needed: true, Why: "azimuth where it ends"},
		{Key: "closed_sectors[].from_elevation_deg", Unit: "degrees", Least: -10, Most: 180, Needed: true, Why: "its lower edge"},
		{Key: "closed_sectors[].to_elevation_deg", Unit: "degrees", Least: -10, Most: 180, Needed: true, Why: "its upper edge"},
		{Key: "closed_sectors[].bands", Least: 1, Most: 20, Why: "names of the bands it holds for; empty: all"},

		{Key: "permit.least_elevation_deg", Unit: "degrees", Least: 0, Most: 90, Why: "nothing is transmitted below; people and houses stand there"},
		{Key: "permit.off_target_beamwidths", Name: "off target by", Unit: "beamwidths", Least: 0.1, Most: 10, Why: "off by more, the next over isn't begun"},

		{Key: "park.azimuth_deg", Unit: "degrees", Least: -turns, Most: turns, Needed: true, Why: "within the soft limits"},
		{Key: "park.elevation_deg", Unit: "degrees", Least: -10, Most: 180, Needed: true, Why: "within the soft limits, above structures"},
		{Key: "wind_stow.azimuth_deg", Unit: "degrees", Least: -turns, Most: turns, Needed: true, Why: "within the soft limits"},
		{Key: "wind_stow.elevation_deg", Unit: "degrees", Least: -10, Most: 180, Needed: true, Why: "within the soft limits, above structures"},
		{Key: "snow_stow.azimuth_deg", Unit: "degrees", Least: -turns, Most: turns, Needed: true, Why: "within the soft limits"},
		{Key: "snow_stow.elevation_deg", Unit: "degrees", Least: -10, Most: 180, Needed: true, Why: "within the soft limits, above structures"},

		{Key: "wind.stow", Name: "stow by itself", Why: "whether the wind sends the dish to its wind stow by itself"},
		{Key: "wind.warning_mps", Name: "warning at", Unit: "m/s", Least: 1, Most: 60, Why: "mean wind at which it warns"},
		{Key: "wind.stow_mean_mps", Name: "stow at a mean of", Unit: "m/s", Least: 1, Most: 60, Why: "mean wind at which it stows"},
		{Key: "wind.stow_gust_mps", Name: "stow at gusts of", Unit: "m/s", Least: 1, Most: 80, Why: "gust at which it stows"},
		{Key: "wind.hysteresis_mps", Unit: "m/s", Least: 0, Most: 20, Why: "the wind is over when it is lower by this"},
		{Key: "wind.clear_after_min", Unit: "min", Least: 0, Most: 240, Why: "for so long"},
		{Key: "wind.countdown_s", Unit: "s", Least: 0, Most: 600, Why: "time to cancel before it goes"},

		{Key: "sun.keep_away_deg", Name: "keep away by", Unit: "degrees", Least: 0, Most: 60, Why: "how far the dish keeps from the Sun; 0: no rule, which a bare dish may not have"},

		{Key: "air.pressure_hpa", Unit: "hPa", Least: 300, Most: 1100, Why: "at the station, not reduced to sea level"},
		{Key: "air.temperature_c", Unit: "C", Least: -60, Most: 60, Why: "outdoors"},
		{Key: "air.humidity_percent", Unit: "%", Least: 0, Most: 100, Why: "relative; water vapour matters more to radio than to light"},

		{Key: "clock.ut1_minus_utc_s", Unit: "s", Least: -1, Most: 1, Why: "how far the Earth is ahead of UTC, from IERS Bulletin A; 0.1 s moves the sky by 0.0004 degree"},
		{Key: "clock.warn_off_s", Name: "warning at a step of", Unit: "s", Least: 0.1, Most: 60, Why: "a clock that steps by more is warned of; 1 s moves the sky by 0.004 degree"},
		{Key: "clock.time_source", Why: "an NTP server that is asked how far the computer's clock is off, such as ntp.example.org; empty: none"},
		{Key: "clock.time_source_every_min", Name: "asked every", Unit: "min", Least: 1, Most: 1440, Why: "how often it is asked"},

		{Key: "periods.length_s", Name: "length of a turn", Unit: "s", Least: 15, Most: 150, Why: "of one turn"},
		{Key: "periods.ours", Name: "our turn", Choices: []string{string(First), string(Second)}, Why: "which turn we transmit in"},

		{Key: "meter.average_s", Unit: "s", Least: 0.1, Most: 30, Why: "over which the noise strip averages"},
		{Key: "meter.after_keyed_ms", Unit: "ms", Least: 0, Most: 10000, Why: "samples so soon after transmitting are dropped"},
		{Key: "meter.limit_mv", Name: "overloaded at", Unit: "mV", Least: 0, Most: 100000, Why: "the detector's reading from which it is overloaded and its level is dropped; 0: not known"},
		{Key: "meter.source", Choices: []string{string(FromEnclosure), string(FromLines), string(FromInstrument), string(FromAudio)}, Why: "what measures the noise: the enclosure's detector, a serial meter that sends a number on each line, an instrument that answers SCPI queries, or receiver audio"},
		{Key: "meter.port", Least: 0, Most: 250, Why: "a serial port, host:port of an instrument, or the program that records audio, as arecord -q -t raw -f S16_LE -c 1 -r 48000"},
		{Key: "meter.baud", Unit: "baud", Choices: []string{"9600", "19200", "38400", "57600", "115200"}, Why: "of a serial meter"},
		{Key: "meter.query", Least: 0, Most: 100, Why: "asked of an instrument; its answer is one number"},
		{Key: "meter.every_ms", Name: "asked every", Unit: "ms", Least: 20, Most: 60000, Why: "between two queries"},
		{Key: "meter.linear", Why: "the numbers are power, not dB"},
		{Key: "meter.low_hz", Name: "audio from", Unit: "Hz", Least: 0, Most: 96000, Why: "lower end of the audio that counts"},
		{Key: "meter.high_hz", Name: "audio to", Unit: "Hz", Least: 1, Most: 96000, Why: "upper end of the audio that counts"},
		{Key: "meter.sample_hz", Name: "sample rate", Unit: "samples/s", Least: 4000, Most: 192000, Why: "rate at which the program records"},

		{Key: "sound.alarms", Why: "whether an alarm sounds until it has been seen, where the computer can play"},
		{Key: "sound.player", Least: 0, Most: 200, Why: "a program with its arguments that plays a WAV file; empty: one that the system has"},

		{Key: "camera.url", Name: "address of the picture", Least: 0, Most: 400, Why: "where your camera gives a JPEG picture or a stream of them (MJPEG), http or https; empty: there is none"},
		{Key: "camera.every_s", Name: "fetched every", Unit: "s", Least: 0.2, Most: 600, Why: "how often a single picture is fetched; a stream comes as it comes"},
		{Key: "camera.user", Least: 0, Most: 60, Why: "what the camera knows you by; empty: nobody"},
		{Key: "camera.password_file", Least: 0, Most: 400, Why: "file whose first line is the password; it isn't written here, for settings are shown and sent about"},

		{Key: "publish.metrics_port", Least: 0, Most: 65535, Why: "where measures can be fetched by HTTP as OpenMetrics; 0: nowhere"},
		{Key: "publish.metrics_host", Least: 0, Most: 60, Why: "address of this machine at which they can; empty: only from this machine"},
		{Key: "publish.broker", Least: 0, Most: 200, Why: "where to publish by MQTT 5: mqtt://HOST:PORT, or by TLS mqtts://HOST:PORT; empty: nowhere"},
		{Key: "publish.authority", Least: 0, Most: 400, Why: "PEM file by which the broker's certificate is checked; empty: the system's"},
		{Key: "publish.user", Least: 0, Most: 60, Why: "what the broker knows this program by; empty: nobody"},
		{Key: "publish.password_file", Least: 0, Most: 400, Why: "file whose first line is the password; it isn't written here, for settings are shown and sent about"},
		{Key: "publish.topic", Least: 0, Most: 100, Why: "what all topics begin with; empty: beamhelm"},

		{Key: "readings.*.alarm_low", Why: "an alarm below"},
		{Key: "readings.*.warning_low", Why: "a warning below"},
		{Key: "readings.*.warning_high", Why: "a warning above"},
		{Key: "readings.*.alarm_high", Why: "an alarm above"},
		{Key: "readings.*.hysteresis", Why: "the limit counts as crossed until the reading is back by this"},
		{Key: "readings.*.hold_s", Unit: "s", Least: 0, Most: 3600, Why: "how long it must be crossed before it counts"},
	}
}
