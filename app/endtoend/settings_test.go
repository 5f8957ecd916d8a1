//go:build window

package endtoend

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/settings"
)

// writeSettings returns a function that writes the settings of a dish like the
// practice one, but at this station and this port, and returns the file.
func writeSettings(t *testing.T, home string, s station) func(port string) string {
	t.Helper()
	return func(port string) string {
		chosen := settings.Practice()
		chosen.Station = settings.Station{Name: "End to end", LatitudeDeg: s.lat, LongitudeDeg: s.lon, HeightM: 100}
		chosen.Air = settings.Air{PressureHPa: 1010, TemperatureC: 10, HumidityPercent: 50}
		chosen.Structures = nil
		chosen.Link.Port = port
		file := filepath.Join(home, "settings.toml")
		if err := settings.Write(file, chosen); err != nil {
			t.Fatal(err)
		}
		return file
	}
}

// trust gives the panel the angles at which the dish stands, as an operator
// would who has read them at the dish.
func (p *panel) trust(e *enclosure) {
	p.t.Helper()
	line := e.now()
	p.click("reference-button")
	for name, angle := range map[string]float64{"reference-az-entry": line.axes[0], "reference-el-entry": line.axes[1]} {
		p.fill(name, fmt.Sprintf("%.3f", angle))
	}
	p.click("reference-confirm")
	p.click("position-set")
	p.await(5*time.Second, "a referenced position", func(l layout) bool {
		words := strings.ToLower(l.Controls["reference-state"].Words)
		return strings.Contains(words, "referenced") && !strings.Contains(words, "not referenced")
	})
	p.clickUntil("reference-close", "no sheet", func(l layout) bool { return !visible("reference-dialog")(l) })
}
