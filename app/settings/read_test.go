package settings

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

// change replaces a whole line of the practice file that begins with the key,
// in the named section; an empty key appends at the section's head.
type change struct{ section, key, line string }

// changed returns the practice file with changes, and the line of the last one.
func changed(t *testing.T, changes ...change) (text string, at int) {
	t.Helper()
	all := strings.Split(string(Practice().Text()), "\n")
	for _, c := range changes {
		at = 0
		inside := c.section == ""
		for i := 0; i < len(all) && at == 0; i++ {
			if strings.HasPrefix(all[i], "[") {
				inside = strings.Trim(all[i], "[]") == c.section
			}
			key, _, isKey := strings.Cut(all[i], " = ")
			switch {
			case inside && c.key == "" && strings.HasPrefix(all[i], "["):
				all = append(all[:i+1], append([]string{c.line}, all[i+1:]...)...)
				at = i + 2
			case inside && isKey && key == c.key:
				all[i], at = c.line, i+1
			}
		}
		if at == 0 {
			t.Fatalf("the practice file has no %s in [%s]", c.key, c.section)
		}
	}
	return strings.Join(all, "\n"), at
}

const horizonWords = "a list of [azimuth, elevation], azimuth rising from 0 to below 360 degrees, " +
	"elevation -10 to 90 degrees"

func TestOneFaultOneLine(t *testing.T) {
	rows := []struct {
		name string
		change
		key, words string
	}{
		{"unknown key, near", change{"station", "height_m", "hight_m = 190"}, "station.hight_m",
			"unknown key; is height_m meant?"},
		{"unknown key, far", change{"sun", "", "moonshine = true"}, "sun.moonshine",
			"unknown key; allowed here: min_separation_deg"},
		{"unknown section", change{"", "version", "version = 1\n[rotor]"}, "rotor", "unknown key; allowed here: " +
			"version, station, dish, bands, link, axes, motion, tracking, structures, horizon, closed_sectors, " +
			"permit, park, wind_stow, snow_stow, wind, sun, air, clock, periods, meter, radio, keying, audio, sound, " +
			"camera, publish, readings"},
		{"quoted key with a point", change{"sun", "", `"a.b" = 1`}, `sun."a\u002Eb"`,
			"unknown key; allowed here: min_separation_deg"},
		{"too high", change{"station", "latitude_deg", "latitude_deg = 95"}, "station.latitude_deg",
			"95 is out of range; must be -90 to 90 degrees"},
		{"not a number", change{"station", "latitude_deg", "latitude_deg = nan"}, "station.latitude_deg",
			"NaN is out of range; must be -90 to 90 degrees"},
		{"infinite", change{"axes.azimuth", "upper_end_deg", "upper_end_deg = inf"}, "axes.azimuth.upper_end_deg",
			"+Inf is out of range; must be -3600 to 3600 degrees"},
		{"minus infinity", change{"axes.azimuth", "backlash_deg", "backlash_deg = -inf"}, "axes.azimuth.backlash_deg",
			"-Inf is out of range; must be 0 to 5 degrees"},
		{"text for a number", change{"dish", "diameter_m", `diameter_m = "5.6"`}, "dish.diameter_m",
			`"5.6" is not a number; must be 0.3 to 100 m`},
		{"number for a text", change{"link", "port", `port = 1`}, "link.port",
			`1 is not text; must be text, at most 250 characters`},
		{"date for a number", change{"dish", "diameter_m", `diameter_m = 2027-04-14`}, "dish.diameter_m",
			`a date or time is not a number; must be 0.3 to 100 m`},
		{"broken whole number", change{"link", "unit", `unit = 1.5`}, "link.unit",
			`1.5 is not a whole number in this range; must be whole, 1 to 247`},
		{"huge whole number", change{"link", "unit", `unit = 4294967297`}, "link.unit",
			`4294967297 is not a whole number in this range; must be whole, 1 to 247`},
		{"unit 0", change{"link", "unit", `unit = 0`}, "link.unit", `0 is out of range; must be whole, 1 to 247`},
		{"number for yes or no", change{"wind", "stow", `stow = 1`}, "wind.stow",
			`1 is neither true nor false; must be true or false`},
		{"no such choice", change{"link", "parity", `parity = "space"`}, "link.parity",
			`"space" is not one of them; must be "even", "odd" or "none"`},
		{"choice of another case", change{"dish", "finish", `finish = "Mesh"`}, "dish.finish",
			`"Mesh" is not one of them; must be "mesh", "matte" or "bare"`},
		{"choice of numbers", change{"link", "baud", `baud = 4800`}, "link.baud",
			`4800 is not one of them; must be 9600, 19200, 38400, 57600 or 115200 baud`},
		{"direction 0", change{"axes.elevation", "direction", `direction = 0`}, "axes.elevation.direction",
			`0 is not one of them; must be 1 or -1`},
		{"long choice", change{"link", "parity", `parity = "` + strings.Repeat("x", 99) + `"`}, "link.parity",
			`"` + strings.Repeat("x", 59) + `... is not one of them; must be "even", "odd" or "none"`},
		{"empty name", change{"station", "name", `name = ""`}, "station.name",
			"is empty; must be text, 1 to 60 characters"},
		{"two lines in a name", change{"station", "name", `name = "a\nb"`}, "station.name",
			"holds characters that can't be shown; must be text, 1 to 60 characters"},
		{"hidden writing direction", change{"station", "name", `name = "a\u202Eb"`}, "station.name",
			"holds characters that can't be shown; must be text, 1 to 60 characters"},
		{"space at the end", change{"link", "port", `port = "COM3 "`}, "link.port",
			"begins or ends with a space; must be text, at most 250 characters"},
		{"long name", change{"bands", "name", `name = "` + strings.Repeat("é", 21) + `"`}, "bands.name",
			"is 21 characters long; must be text, 1 to 20 characters"},
		{"list for a number", change{"air", "pressure_hpa", `pressure_hpa = [1, 2]`}, "air.pressure_hpa",
			"a list of 2 is not a number; must be 300 to 1100 hPa"},
		{"number for a list", change{"axes.azimuth", "switch_over_deg", `switch_over_deg = 5`},
			"axes.azimuth.switch_over_deg", "5 is not a list; must be a list of numbers, each 0.001 to 90 degrees"},
		{"text in a list", change{"axes.azimuth", "switch_over_deg", `switch_over_deg = [1, "2"]`},
			"axes.azimuth.switch_over_deg",
			`member 2: "2" is not a number; must be a list of numbers, each 0.001 to 90 degrees`},
		{"list for a section", change{"meter", "average_s", "average_s = { a = 1 }"}, "meter.average_s",
			"a section is not a number; must be 0.1 to 30 s"},
		{"needed key missing", change{"station", "height_m", ""}, "station.height_m",
			"is missing; must be -450 to 9000 m"},

		{"fixed speeds fall", change{"axes.azimuth", "fixed_speeds_deg_per_s",
			"fixed_speeds_deg_per_s = [1, 0.5, 1.5]"}, "axes.azimuth.fixed_speeds_deg_per_s",
			"must rise from the lowest to the highest"},
		{"fixed speeds end elsewhere", change{"axes.azimuth", "fixed_speeds_deg_per_s",
			"fixed_speeds_deg_per_s = [0.5, 1]"}, "axes.azimuth.fixed_speeds_deg_per_s",
			"the last is 1; must be the top speed, 1.5 degrees/s"},
		{"ladder without speeds", change{"axes.azimuth", "switch_over_deg", "switch_over_deg = [1]"},
			"axes.azimuth.switch_over_deg", "is given without fixed speeds to step down; must be empty"},
		{"blocked below rated", change{"axes.azimuth", "stall_current_a", "stall_current_a = 5"},
			"axes.azimuth.stall_current_a", "5 is below rated_current_a; must be 6 A or more, or 0"},
		{"soft limits crossed", change{"axes.elevation", "upper_soft_deg", "upper_soft_deg = -1"},
			"axes.elevation.upper_soft_deg", "-1 is not above lower_soft_deg; must be above 0 degrees"},
		// 1.5 degrees/s x 1 s + 1.5^2 / (2 x 0.5) + 1.5 x 0.15 s + 0.15 = 4.125 degrees, and a little for rounding
		{"lower soft limit too near", change{"axes.azimuth", "lower_soft_deg", "lower_soft_deg = -45.9"},
			"axes.azimuth.lower_soft_deg", "-45.9 is too near to the end at -50: the axis travels up to 4.126 " +
				"degrees before it stands if the line is cut at top speed; must be -45.874 degrees or more"},
		{"upper soft limit too near", change{"axes.azimuth", "upper_soft_deg", "upper_soft_deg = 407"},
			"axes.azimuth.upper_soft_deg", "407 is too near to the end at 410: the axis travels up to 4.126 degrees " +
				"before it stands if the line is cut at top speed; must be 405.874 degrees or less"},
		{"soft limit beyond its end", change{"axes.azimuth", "upper_soft_deg", "upper_soft_deg = 411"},
			"axes.azimuth.upper_soft_deg", "411 is too near to the end at 410: the axis travels up to 4.126 degrees " +
				"before it stands if the line is cut at top speed; must be 405.874 degrees or less"},
		{"elevation of 300", change{"axes.elevation", "upper_end_deg", "upper_end_deg = 300"},
			"axes.elevation.upper_end_deg", "300 is not an elevation; must be -90 to 270 degrees"},
		{"two stop bits with parity", change{"link", "stop_bits", "stop_bits = 2"}, "link.stop_bits",
			`2 with parity "even"; must be 1, or parity "none"`},
		{"more ticks than the line carries", change{"link", "ticks_per_s", "ticks_per_s = 20"}, "link.ticks_per_s",
			"20 is more than the line carries; must be at most 10 at 19200 baud"},
		{"watchdog below three ticks", change{"link", "watchdog_ms", "watchdog_ms = 250"}, "link.watchdog_ms",
			"250 is less than three ticks; must be 300 to 2000 ms at 10 ticks a second"},
		{"park beyond a soft limit", change{"park", "azimuth_deg", "azimuth_deg = 406"}, "park.azimuth_deg",
			"406 is beyond the soft limits; must be -45 to 405 degrees"},
		{"horizon not rising", change{"horizon", "points", "points = [[10, 1], [5, 1],"}, "horizon.points",
			"point 2 has azimuth 5 after 10; must be " + horizonWords},
		{"horizon around twice", change{"horizon", "points", "points = [[360, 1],"}, "horizon.points",
			"point 1 has azimuth 360; must be " + horizonWords},
		{"horizon point of three", change{"horizon", "points", "points = [[1, 2, 3],"}, "horizon.points",
			"member 1 is a list of 3; must be " + horizonWords},
		{"second limit below tolerance",
			change{"tracking", "outer_tolerance_beamwidths",
				"outer_tolerance_beamwidths = 0.03"}, "tracking.outer_tolerance_beamwidths",
			"0.03 is below tolerance_beamwidths; must be 0.04 to 1 beamwidths"},
		{"stow before the warning", change{"wind", "stow_mean_mps", "stow_mean_mps = 9"}, "wind.stow_mean_mps",
			"9 is below warning_mps; must be 10 to 60 m/s"},
		{"gust below mean", change{"wind", "stow_gust_mps", "stow_gust_mps = 13"}, "wind.stow_gust_mps",
			"13 is below stow_mean_mps; must be 14 to 80 m/s"},
		{"wide hysteresis of the wind", change{"wind", "hysteresis_mps", "hysteresis_mps = 12"}, "wind.hysteresis_mps",
			"12 would never let the warning end; must be below warning_mps, 10 m/s"},
		{"detector without a slope", change{"bands.feeds", "detector_slope_mv_per_db", "detector_slope_mv_per_db = 0"},
			"bands.feeds.detector_slope_mv_per_db", "0 says nothing of power; must be -1000 to 1000 mV/dB, but not 0"},
		{"unknown reading", change{"readings", "", "drive_suply_v = {}"}, "readings.drive_suply_v",
			"unknown reading; is drive_supply_v meant?"},
		{"unknown limit", change{"readings", "battery_v", "battery_v = { warn_low = 11 }"},
			"readings.battery_v.warn_low", "unknown key; is warning_low meant?"},
		{"limit out of range", change{"readings", "battery_v", "battery_v = { warning_low = -1 }"},
			"readings.battery_v.warning_low", "-1 is out of range; must be 0 to 200 V"},
		{"limits out of order", change{"readings", "battery_v", "battery_v = { alarm_low = 12, warning_high = 12 }"},
			"readings.battery_v.warning_high", "12 is not above alarm_low; must be above 12 V"},
		{"wide hysteresis", change{"readings", "battery_v",
			"battery_v = { warning_low = 12, warning_high = 14, hysteresis = 2 }"}, "readings.battery_v.hysteresis",
			"2 would never let a warning end; must be below 2 V"},
		{"reading that is no section", change{"readings", "battery_v", "battery_v = 12"}, "readings.battery_v",
			"is 12; must be a section, [readings.battery_v]"},
		{"version 0", change{"", "version", "version = 0"}, "version", "0 is out of range; must be whole, 1"},
		{"newer version", change{"", "version", "version = 2\nnew_key = 1"}, "version",
			"2 is newer than this program, which reads 1; use the program that wrote it"},
		{"no version", change{"", "version", ""}, "version", "is missing; must be whole, 1"},

		{"no TOML", change{"sun", "", "keep away = 4"}, "not TOML", "expected '=' after key"},
		{"a key twice", change{"station", "height_m", "height_m = 190\nheight_m = 200"}, "height_m",
			"not TOML: key height_m is already defined"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			text, line := changed(t, row.change)
			s, err := Parse("dish.toml", []byte(text))
			if s.Version != 0 || s.Bands != nil {
				t.Error("something usable came with the error")
			}
			if err == nil {
				t.Fatal("it passes")
			}
			lines := strings.Split(err.Error(), "\n")
			if len(lines) != 1 {
				t.Errorf("more than one line:\n%s", err)
			}
			got := lines[0]
			want := fmt.Sprintf("%s: %s", row.key, row.words)
			_, rest, _ := strings.Cut(got, ": ")
			if rest != want {
				t.Errorf("got  %s\nwant dish.toml:%d: %s", got, line, want)
			}
			at := cmp.Or(map[string]int{
				"needed key missing": sectionLine(t, "station"),
				"no version":         1,
				"unknown section":    line + 1,
				"a key twice":        line + 1,
			}[row.name], line)
			if place := fmt.Sprintf("dish.toml:%d: ", at); !strings.HasPrefix(got, place) {
				t.Errorf("got %s, want it to begin with %s", got, place)
			}
		})
	}
}

func sectionLine(t *testing.T, section string) int {
	t.Helper()
	return lineOf(t, Practice().Text(), "["+section+"]")
}

// TestFaultsElsewhere: rules between two keys tell of the one that can be mended.
func TestFaultsElsewhere(t *testing.T) {
	rows := []struct {
		name    string
		changes []change
		want    string
	}{
		{"park behind the mast", []change{{"park", "elevation_deg", "elevation_deg = 20"},
			{"park", "azimuth_deg", "azimuth_deg = 200"}},
			`park.elevation_deg: 20 is below the structure "mast"; must be 24 degrees or more at this azimuth`},
		{"the same a turn on", []change{{"park", "elevation_deg", "elevation_deg = 20"},
			{"structures", "from_deg", "from_deg = -5"}, {"structures", "to_deg", "to_deg = 20"},
			{"park", "azimuth_deg", "azimuth_deg = 370"}},
			`park.elevation_deg: 20 is below the structure "mast"; must be 24 degrees or more at this azimuth`},
		{"bare dish without a rule", []change{{"dish", "finish", `finish = "bare"`}},
			"sun.min_separation_deg: 0 with a bare dish; must be above 0, at most 60 degrees"},
		{"a meter from nowhere", []change{{"meter", "source", `source = "lines"`}},
			`meter.port: is empty; must be what source "lines" is read from`},
		{"an instrument that is asked nothing", []change{{"meter", "source", `source = "instrument"`},
			{"meter", "port", `port = "10.0.0.7:5025"`}},
			"meter.query: is empty; must be what the instrument is asked"},
		{"audio without an input", []change{{"meter", "source", `source = "audio"`}, {"audio", "input", `input = ""`}},
			`audio.input: is empty; must be the input that the noise meter hears, as meter.source is "audio"`},
		{"audio beyond half of its rate", []change{{"audio", "input", `input = ""`},
			{"meter", "source", `source = "audio"`}, {"meter", "port", `port = "arecord"`},
			{"meter", "sample_hz", "sample_hz = 5000"}},
			"meter.high_hz: 2700; must be above low_hz, 300 Hz, and at most half of sample_hz, 2500 Hz"},
		{"a table without levels", []change{{"bands.feeds", "detector_table_mv", "detector_table_mv = [1, 2]"}},
			"bands.feeds.detector_table_mv: has 2 readings and detector_table_db 0 levels; must be as many, two or " +
				"more, or none"},
		{"two bands of a name", []change{{"bands", "name", `name = "5760 MHz"`}},
			`bands.name: "5760 MHz" is there already; each must have its own`},
		{"slow ticks, short watchdog", []change{{"link", "baud", "baud = 9600"},
			{"link", "watchdog_ms", "watchdog_ms = 599"}},
			"link.watchdog_ms: 599 is less than three ticks; must be 600 to 2000 ms at 5 ticks a second"},
		{"faster dish", []change{{"axes.elevation", "top_speed_deg_per_s", "top_speed_deg_per_s = 1.8"}},
			// 1.8 + 3.24 + 0.27 + 0.15 = 5.46
			"axes.elevation.lower_soft_deg: 0 is too near to the end at -5: the axis travels up to 5.461 degrees " +
				"before it stands if the line is cut at top speed; must be 0.461 degrees or more\n" +
				"axes.elevation.upper_soft_deg: 86 is too near to the end at 91: the axis travels up to 5.461 " +
				"degrees before it stands if the line is cut at top speed; must be 85.539 degrees or less"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			text, _ := changed(t, row.changes...)
			_, err := Parse("dish.toml", []byte(text))
			var wrong *Error
			if !errors.As(err, &wrong) {
				t.Fatalf("got %v", err)
			}
			all := strings.Split(text, "\n")
			var got []string
			for i, line := range strings.Split(err.Error(), "\n") {
				_, rest, _ := strings.Cut(line, ": ")
				got = append(got, rest)
				key := wrong.Faults[i].Key
				if name := key[strings.LastIndex(key, ".")+1:]; !strings.HasPrefix(all[wrong.Faults[i].Line-1],
					name+" = ") {
					t.Errorf("%s: that line is %q", line, all[wrong.Faults[i].Line-1])
				}
			}
			if strings.Join(got, "\n") != row.want {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), row.want)
			}
		})
	}
}

// TestAllFaults: every fault of a file at once, in its order.
func TestAllFaults(t *testing.T) {
	text, err := os.ReadFile("testdata/many.toml")
	if err != nil {
		t.Fatal(err)
	}
	want, err := os.ReadFile("testdata/many.txt")
	if err != nil {
		t.Fatal(err)
	}
	_, err = Parse("many.toml", text)
	if err == nil || err.Error()+"\n" != string(want) {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

func FuzzParse(f *testing.F) {
	for _, file := range []string{"testdata/many.toml", "testdata/smallest.toml"} {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	for _, text := range []string{
		"", "\xEF\xBB\xBF", "version = 9", "[[bands]]\n[bands.feeds]", "bands = [1]", "[axes]\nazimuth = []",
		"a.b.c = 1\n[a]", "\"\" = 1",
		"[[a]]\n[[a.b]]\n[a.b.c]\nd = [{e = 1}, {e = [[[{f = 2}]]]}]", "readings = 5", "[readings]\nx.y = nan",
		"version = 1\x00", "=", "\xff",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := Parse("f", text)
		if err == nil {
			if faults := s.Check(); len(faults) > 0 {
				t.Fatalf("accepted, but: %v", faults)
			}
			again, err := Parse("f", s.Text())
			if err != nil {
				t.Fatalf("accepted, but can't be read again: %v", err)
			}
			if string(again.Text()) != string(s.Text()) {
				t.Fatal("comes back changed")
			}
			return
		}
		var wrong *Error
		if !errors.As(err, &wrong) || len(wrong.Faults) == 0 {
			t.Fatalf("error without faults: %v", err)
		}
		previous := 0
		maximum := 1 + strings.Count(string(text), "\n")
		for _, fault := range wrong.Faults {
			if fault.Line < max(1, previous) || fault.Line > maximum ||
				strings.ContainsAny(fault.Key+fault.Words, "\n\r") || fault.Words == "" {
				t.Fatalf("fault %+v in a file of %d lines, after line %d", fault, maximum, previous)
			}
			previous = fault.Line
		}
	})
}

func TestStoppingDistance(t *testing.T) {
	// v^2 / (2 a) + v x lag + play, by hand.
	a := Axis{TopSpeedDegPerS: 2, AccelerationDegPerS2: 0.5, LagMS: 100, BacklashDeg: 0.3}
	if got := a.StoppingDeg(); math.Abs(got-4.5) > 1e-12 {
		t.Errorf("stopping distance %v, want 4.5", got)
	}
	if got := a.MarginDeg(500); math.Abs(got-5.5) > 1e-12 {
		t.Errorf("margin %v, want 5.5", got)
	}
}
