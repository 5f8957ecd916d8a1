package settings

import "strings"

// units are the ends of keys that their unit says again.
func units() []string {
	return []string{"_deg_per_s3", "_deg_per_s2", "_deg_per_s", "_mv_per_db", "_beamwidths", "_percent", "_per_s", "_deg", "_mps", "_min", "_hpa", "_ms", "_mv", "_db", "_mm", "_hz", "_k", "_w", "_m", "_c", "_a", "_s"}
}

// fuller are the names of keys whose own last word says too little.
func fuller() map[string]string {
	return map[string]string{
		"bands[].mhz":                       "frequency",
		"bands[].feeds[].turn_deg":          "feed turner at",
		"bands[].feeds[].noise_source_k":    "noise source adds",
		"bands[].feeds[].detector_table_mv": "detector table, readings",
		"bands[].feeds[].detector_table_db": "detector table, levels",
		"link.unit":                         "unit number",
		"link.ticks_per_s":                  "exchanges",
		"link.lost_idle_ms":                 "lost after, at rest",
		"link.lost_powered_ms":              "lost after, powered",
		"axes.*.lower_end_deg":              "lower end switch",
		"axes.*.lower_soft_deg":             "lower soft limit",
		"axes.*.upper_soft_deg":             "upper soft limit",
		"axes.*.upper_end_deg":              "upper end switch",
		"axes.*.least_steady_percent":       "least steady drive",
		"axes.*.approach":                   "approach side",
		"axes.*.jog_percent":                "jog speed",
		"axes.*.slow_jog_percent":           "slow jog speed",
		"axes.*.mark":                       "reference mark",
		"axes.*.mark_angle_deg":             "angle of the mark",
		"motion.window_silent_s":            "window silent after",
		"motion.loop_late_ms":               "loop late after",
		"structures[].from_deg":             "azimuth from",
		"structures[].to_deg":               "azimuth to",
		"permit.off_target_beamwidths":      "off target by",
		"wind.stow":                         "stow by itself",
		"wind.warning_mps":                  "warning at",
		"wind.stow_mean_mps":                "stow at a mean of",
		"wind.stow_gust_mps":                "stow at gusts of",
		"sun.keep_away_deg":                 "keep away by",
		"clock.warn_off_s":                  "warning at a step of",
		"clock.time_source_every_min":       "asked every",
		"periods.length_s":                  "length of a turn",
		"periods.ours":                      "our turn",
		"meter.limit_mv":                    "overloaded at",
		"meter.every_ms":                    "asked every",
		"meter.low_hz":                      "audio from",
		"meter.high_hz":                     "audio to",
		"meter.sample_hz":                   "sample rate",
		"camera.url":                        "address of the picture",
		"camera.every_s":                    "fetched every",
	}
}

// Name is the name of a key in words, without its section and unit.
func Name(key string) string {
	if name, there := fuller()[patternOf(key)]; there {
		return name
	}
	parts := strings.Split(key, ".")
	name := parts[len(parts)-1]
	if parts[0] == "readings" && len(parts) == 3 {
		return strings.ReplaceAll(name, "_", " ")
	}
	name = strings.Replace(name, "ut1_minus_utc", "UT1_minus_UTC", 1)
	for _, u := range units() {
		if strings.HasSuffix(name, u) && len(name) > len(u) {
			name = strings.TrimSuffix(name, u)
			break
		}
	}
	return strings.ReplaceAll(name, "_", " ")
}
