package settings

import "testing"

func TestNames(t *testing.T) {
	for key, want := range map[string]string{
		"station.latitude_deg":        "latitude",
		"axes.azimuth.lower_soft_deg": "lower soft limit",
		"bands[2].mhz":                "frequency",
		"clock.ut1_minus_utc_s":       "UT1 minus UTC",
		"camera.every_s":              "fetched every",
	} {
		if got := Name(key); got != want {
			t.Errorf("%s is named %q, want %q", key, got, want)
		}
	}
	known := map[string]bool{}
	for _, f := range Fields() {
		known[f.Key] = true
	}
	for key := range fuller() {
		if !known[key] {
			t.Errorf("there is no %s to be named", key)
		}
	}
}
