package settings

import "testing"

func TestNames(t *testing.T) {
	for key, want := range map[string]string{
		"station.latitude_deg":          "latitude",
		"axes.azimuth.lower_soft_deg":   "lower soft limit",
		"bands[2].mhz":                  "frequency",
		"clock.ut1_minus_utc_s":         "UT1 minus UTC",
		"camera.interval_s":             "fetched every",
		"readings.battery_v.alarm_low":  "alarm low",
		"readings.battery_v.hysteresis": "hysteresis",
	} {
		if f, known := FieldOf(key); !known || f.Name != want {
			t.Errorf("%s is named %q, want %q", key, f.Name, want)
		}
	}
}
