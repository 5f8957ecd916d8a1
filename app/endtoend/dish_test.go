//go:build window || planted

package endtoend

import (
	"path/filepath"
	"testing"

	"beamhelm/app/settings"
)

// station is a place on Earth, degrees.
type station struct{ lat, lon float64 }

// writeSettings returns a function that writes the settings of a dish like the
// practice one, but at this station and this port, and returns the file.
func writeSettings(t *testing.T, home string, s station, changes ...func(*settings.Settings)) func(port string) string {
	t.Helper()
	return func(port string) string {
		chosen := settings.Practice()
		chosen.Station = settings.Station{Name: "End to end", LatitudeDeg: s.lat, LongitudeDeg: s.lon, HeightM: 100}
		chosen.Air = settings.Air{PressureHPa: 1010, TemperatureC: 10, HumidityPercent: 50}
		chosen.Structures = nil
		chosen.Link.Port = port
		for _, change := range changes {
			change(&chosen)
		}
		file := filepath.Join(home, "settings.toml")
		if err := settings.Write(file, chosen); err != nil {
			t.Fatal(err)
		}
		return file
	}
}
