package stage

import (
	"math"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/message"
)

// Readings returns invented readings, every one of the link fitted.
func Readings(at time.Time) [desk.ReadingCount]desk.Reading {
	none := math.NaN()
	var all [desk.ReadingCount]desk.Reading
	rows := []struct {
		group, name, unit string
		decimals          int
		value, low, high  float64
		warnLow, warnHigh float64
		words             string
	}{
		{"Drives", "Azimuth motor temperature", "°C", 0, 31, -20, 90, none, 70, ""},
		{"Drives", "Elevation motor temperature", "°C", 0, 27, -20, 90, none, 70, ""},
		{"Drives", "Azimuth peak current", "A", 1, 2.1, 0, 12, none, 8, ""},
		{"Drives", "Elevation peak current", "A", 1, 0.4, 0, 12, none, 8, ""},
		{"Drives", "Drive supply", "V", 1, 27.4, 20, 32, 24, 30, ""},
		{"Drives", "Drive stage", "°C", 0, 31, -20, 90, none, 65, ""},
		{"Receive path", "Preamp supply", "V", 2, 12.1, 8, 16, 11, 14, ""},
		{"Receive path", "Preamp relay supply", "V", 1, 21.8, 16, 32, 22, 30, ""},
		{"Receive path", "Feed heater", "A", 2, 0.41, 0, 2, none, 1.5, ""},
		{"Receive path", "Detector supply", "V", 2, 12.02, 8, 16, 11, 14, ""},
		{"Amplifier", "Forward power", "W", 0, 0, 0, 300, none, none, ""},
		{"Amplifier", "Reflected power", "W", 0, 0, 0, 50, none, 20, ""},
		{"Amplifier", "Heat sink", "°C", 0, 38, 0, 100, none, 70, ""},
		{"Amplifier", "Coolant in", "°C", 1, 21.4, 0, 60, none, 45, ""},
		{"Amplifier", "Coolant out", "°C", 1, 24.9, 0, 60, none, 50, ""},
		{"Amplifier", "Coolant flow", "L/min", 1, 4.1, 0, 8, 2.5, none, ""},
		{"Amplifier", "Amplifier supply", "V", 1, 49.6, 40, 56, 46, 52, ""},
		{"Amplifier", "Amplifier current", "A", 1, 0.8, 0, 30, none, 25, ""},
		{"Amplifier", "High voltage", "V", 0, 0, 0, 3000, none, none, ""},
		{"Amplifier", "Sequencer", "", 0, 0, 0, 4, none, none, "receive"},
		{"Enclosure", "Logic supply", "V", 2, 5.02, 4, 6, 4.8, 5.3, ""},
		{"Enclosure", "Battery", "V", 1, 13.6, 10, 16, 11.8, 14.8, ""},
		{"Enclosure", "Air inside", "°C", 1, 14.2, -30, 60, -10, 45, ""},
		{"Enclosure", "Humidity inside", "%", 0, 41, 0, 100, none, 80, ""},
		{"Weather", "Air outside", "°C", 1, -3.1, -30, 50, none, none, ""},
		{"Weather", "Wind, mean", "m/s", 1, 4.8, 0, 30, none, 14, ""},
		{"Weather", "Wind gust", "m/s", 1, 7.1, 0, 40, none, 18, ""},
		{"Weather", "Wind direction", "°", 0, 231, 0, 360, none, none, ""},
	}
	for i, row := range rows {
		all[i] = desk.Reading{
			Name: row.name, Unit: row.unit, Group: row.group, Decimals: row.decimals, Fitted: true, Value: row.value,
			Low: row.low, High: row.high, AlarmLow: none, AlarmHigh: none, WarnLow: row.warnLow, WarnHigh: row.warnHigh,
			Words: message.Text(row.words), At: at,
		}
		if row.name == "Preamp relay supply" {
			all[i].Grade, all[i].Crossed = desk.Warning, message.Text("limit 22.0")
		}
	}
	return all
}
