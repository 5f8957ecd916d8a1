package settings

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func parsed(t *testing.T, text []byte) Settings {
	t.Helper()
	s, err := Parse("settings.toml", text)
	if err != nil {
		t.Fatalf("the file can't be read:\n%v", err)
	}
	return s
}

func TestPracticeIsFine(t *testing.T) {
	for _, fault := range Practice().Check() {
		t.Errorf("%s: %s", fault.Key, fault.Words)
	}
}

// full has a member in every list and a value unlike the usual one everywhere it can.
func full() Settings {
	s := Practice()
	s.ClosedSectors = []ClosedSector{
		{"houses", 300, 20, 0, 12, []string{"5760 MHz"}},
		{`the "old" road \ lane`, -10, 10, 0, 5, nil},
	}
	s.Bands[1].Feeds = append(s.Bands[1].Feeds, Feed{"zweites Horn", -0.1, 0.2, 0.66, Vertical, 90, -22.5, -4, 120.5,
		[]float64{0, 510.5, 1800}, []float64{-3, 17.25, 70}})
	s.Link.Port, s.Link.Parity, s.Link.StopBits = "/dev/serial/by-id/enclosure", NoParity, 2
	s.Meter.Source, s.Meter.Port, s.Meter.Query, s.Meter.Linear = FromInstrument, "10.0.0.7:5025", "MEAS:POW?", true
	a := &s.Axes.Azimuth
	a.GearRatio, a.Direction, a.DriveDirection = 1.133, -1, -1
	a.FixedSpeedsDegPerS, a.SwitchOverDeg = []float64{0.2, 0.7, 1.5}, []float64{1, 4}
	s.Readings["wind_mps"] = Limits{WarningHigh: Some(9.25), HoldS: 5}
	s.Readings["battery_v"] = Limits{AlarmLow: Some(0)}
	return s
}

func TestWhatIsWrittenIsRead(t *testing.T) {
	for name, s := range map[string]Settings{"practice": Practice(), "full": full()} {
		for _, fault := range s.Check() {
			t.Errorf("%s: %s: %s", name, fault.Key, fault.Words)
		}
		again := parsed(t, s.Text())
		if d := cmp.Diff(s, again, cmpopts.EquateEmpty()); d != "" {
			t.Errorf("%s comes back changed:\n%s", name, d)
		}
		if !bytes.Equal(s.Text(), again.Text()) {
			t.Errorf("%s: written again, the text is another", name)
		}
	}
}

func TestFileOfAnotherEditor(t *testing.T) {
	text := Practice().Text()
	crlf := bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))
	marked := append([]byte("\xEF\xBB\xBF"), text...)
	for name, text := range map[string][]byte{"CRLF": crlf, "byte-order mark": marked,
		"both": append([]byte("\xEF\xBB\xBF"), crlf...)} {
		if d := cmp.Diff(Practice(), parsed(t, text), cmpopts.EquateEmpty()); d != "" {
			t.Errorf("%s: comes back changed:\n%s", name, d)
		}
	}
	_, err := Parse("f", append([]byte("\xEF\xBB\xBF"),
		bytes.Replace(crlf, []byte("height_m = 190"), []byte("height_m = 19000"), 1)...))
	want := fmt.Sprintf("f:%d: station.height_m: 19000 is out of range; must be -450 to 9000 m",
		lineOf(t, text, "height_m"))
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// lineOf is the line of the first key of that name.
func lineOf(t *testing.T, text []byte, key string) int {
	t.Helper()
	for i, line := range strings.Split(string(text), "\n") {
		if strings.HasPrefix(line, key) {
			return i + 1
		}
	}
	t.Fatalf("no line begins with %s", key)
	return 0
}

func TestSmallestFile(t *testing.T) {
	text, err := os.ReadFile("testdata/smallest.toml")
	if err != nil {
		t.Fatal(err)
	}
	s := parsed(t, text)
	if s.Station.Name != "Small" || s.Axes.Elevation.Fitted || s.Structures != nil || s.Link.WatchdogMS != 1000 {
		t.Errorf("read as %+v", s)
	}
	if d := cmp.Diff(UsualReadings(), s.Readings); d != "" {
		t.Errorf("readings left out haven't their usual limits:\n%s", d)
	}
}

// TestTableAndTypesAgree: each key has one row, in the order of the types, and
// each row and section belongs to a key.
func TestTableAndTypesAgree(t *testing.T) {
	kinds := kindsByKey()
	var previous string
	seen := map[string]bool{}
	for _, f := range Fields() {
		if _, known := kinds[f.Key]; !known {
			t.Errorf("row %s belongs to no key", f.Key)
		}
		if seen[f.Key] {
			t.Errorf("two rows for %s", f.Key)
		}
		seen[f.Key] = true
		if f.Why == "" || strings.HasSuffix(f.Why, ".") {
			t.Errorf("%s: says %q of its purpose", f.Key, f.Why)
		}
		if !strings.HasPrefix(f.Key, "readings.") && f.Needed == (f.Usual != "") {
			t.Errorf("%s: needed %v, but usual value %q", f.Key, f.Needed, f.Usual)
		}
		if section, _, _ := strings.Cut(f.Key, "."); section != previous && seen[section+"!"] {
			t.Errorf("row %s stands apart from its section", f.Key)
		} else {
			previous = section
			seen[section+"!"] = true
		}
	}
	for key := range kinds {
		if !seen[key] {
			t.Errorf("no row for %s", key)
		}
	}
	text := string(full().Text())
	if strings.Contains(text, "\n# \n") {
		t.Error("a section has nothing said of it")
	}
	for _, section := range Sections() {
		if section.Key != "readings.*" && !strings.Contains(text, section.Why) {
			t.Errorf("section %s isn't written", section.Key)
		}
	}
}

func TestReadingsAgreeWithTheirRanges(t *testing.T) {
	registers := map[uint16]bool{}
	for _, r := range Readings() {
		if registers[r.Register] {
			t.Errorf("%s: register %04X twice", r.Key, r.Register)
		}
		registers[r.Register] = true
		for _, limit := range []Optional{r.Usual.AlarmLow, r.Usual.WarningLow, r.Usual.WarningHigh, r.Usual.AlarmHigh} {
			if limit.Given && (limit.Value < r.Min || limit.Value > r.Max) {
				t.Errorf("%s: usual limit %v is out of its own range", r.Key, limit.Value)
			}
		}
	}
}

func TestEveryKeySaysWhatItMayBe(t *testing.T) {
	s := full()
	for _, line := range strings.Split(string(s.Text()), "\n") {
		key, _, isKey := strings.Cut(line, " = ")
		if isKey && !strings.HasPrefix(line, "#") && !strings.Contains(line, "  # ") {
			t.Errorf("%s has no comment", key)
		}
	}
}

func TestFieldOf(t *testing.T) {
	rows := []struct{ key, allowed string }{
		{"bands[3].mhz", "10 to 300000 MHz"},
		{"bands[3].feeds[0].name", "text, 1 to 20 characters"},
		{"axes.elevation.direction", "1 or -1"},
		{"readings.battery_v.alarm_low", "0 to 200 V"},
		{"readings.humidity_inside_percent.hysteresis", "0 to 50 %"},
		{"readings.battery_v.hold_s", "0 to 3600 s"},
	}
	for _, row := range rows {
		f, ok := FieldOf(row.key)
		if !ok || f.Allowed() != row.allowed || f.Key != row.key {
			t.Errorf("%s: %v, allowed %q, want %q", row.key, ok, f.Allowed(), row.allowed)
		}
	}
	for _, key := range []string{"", "bands", "bands.mhz", "axes.azimuth", "readings.spirits.alarm_low",
		"readings.battery_v", "x.y.z"} {
		if f, ok := FieldOf(key); ok {
			t.Errorf("%q is taken for %+v", key, f)
		}
	}
}

// TestEveryRangeHolds sets every number of practice to not-a-number, to
// infinity and just beyond its range: each must be found, at its key.
func TestEveryRangeHolds(t *testing.T) {
	table := newSchema()
	var keys []string
	eachLeaf(reflect.ValueOf(full()), "", func(key string, _ reflect.Value) { keys = append(keys, key) })
	for _, key := range keys {
		field, _ := table.field(key)
		for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), field.Max * 1.01, field.Max + 1,
			field.Min - 1} {
			s := full()
			done := false
			eachLeafOf(&s, func(at string, v reflect.Value) {
				if at == key && v.Kind() == reflect.Float64 &&
					(field.Kind != Number || !(bad >= field.Min && bad <= field.Max)) {
					v.SetFloat(bad)
					done = true
				}
				if at == key && v.Kind() == reflect.Int && !math.IsNaN(bad) && !math.IsInf(bad, 0) &&
					field.Kind == Whole && (math.Trunc(bad) > field.Max || math.Trunc(bad) < field.Min) {
					v.SetInt(int64(bad))
					done = true
				}
			})
			if !done {
				continue
			}
			var f faults
			s.check(table, &f) // Check makes the table again each time
			if !slices.ContainsFunc(f.all, func(f Fault) bool { return f.Key == key }) {
				t.Errorf("%s = %v passes", key, bad)
			}
		}
	}
}

// eachLeafOf visits values that can be set; the readings, in a map, are left out.
func eachLeafOf(s *Settings, visit func(string, reflect.Value)) {
	readings := s.Readings
	s.Readings = nil
	eachLeaf(reflect.ValueOf(s).Elem(), "", visit)
	s.Readings = readings
}

func TestLoad(t *testing.T) {
	folder := t.TempDir()
	good, broken := filepath.Join(folder, "good.toml"), filepath.Join(folder, "broken.toml")
	if err := Write(good, full()); err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	write("broken.toml", "version = 1\nstaton = 2\n")
	dangling, looped := filepath.Join(folder, "dangling.toml"), filepath.Join(folder, "loop.toml")
	for link, target := range map[string]string{dangling: "nothing.toml", looped: "loop.toml"} {
		if err := os.Symlink(target, link); err != nil {
			t.Fatal(err)
		}
	}
	absent := filepath.Join(folder, "absent.toml")
	rows := []struct {
		name     string
		load     func(string) (Settings, Source, error)
		path     string
		practice bool
		wrong    string
	}{
		{"named", LoadNamed, good, false, ""},
		{"usual", LoadUsual, good, false, ""},
		{"usual, absent", LoadUsual, absent, true, ""},
		{"usual, absent with its folder", LoadUsual, filepath.Join(folder, "no", "such", "f.toml"), true, ""},
		{"named, absent", LoadNamed, absent, false, "no such file"},
		{"named, nothing", LoadNamed, "", false, "no file is named"},
		{"named, broken", LoadNamed, broken, false, "broken.toml:2: staton: unknown key"},
		{"usual, broken", LoadUsual, broken, false, "broken.toml:2: staton: unknown key"},
		{"usual, empty", LoadUsual, write("empty.toml", ""), false, "is missing"},
		{"usual, a folder", LoadUsual, folder, false, "is a directory"},
		{"usual, link to nothing", LoadUsual, dangling, false, "no such file"},
		{"usual, link to itself", LoadUsual, looped, false, "too many levels"},
		{"usual, under a file", LoadUsual, filepath.Join(good, "settings.toml"), false, "not a directory"},
		{"usual, too large", LoadUsual, write("large.toml", strings.Repeat("#\n", 1<<20)), false,
			"bytes; must be at most"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			s, source, err := row.load(row.path)
			if row.wrong != "" {
				if err == nil || !strings.Contains(err.Error(), row.wrong) {
					t.Fatalf("got %v, want %q in it", err, row.wrong)
				}
				if !reflect.ValueOf(s).IsZero() || source.Practice {
					t.Errorf("something usable came with the error: %+v", source)
				}
				return
			}
			if err != nil || source.Practice != row.practice || (source.Path == "") != row.practice {
				t.Errorf("got %+v, %v", source, err)
			}
			want := full()
			if row.practice {
				want = Practice()
			}
			if d := cmp.Diff(want, s, cmpopts.EquateEmpty()); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestWriteRefusesWhatCannotBeRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "settings.toml")
	s := Practice()
	s.Station.LatitudeDeg, s.Station.Name = math.NaN(), "a\nb"
	err := Write(path, s)
	var wrong *Error
	if !errors.As(err, &wrong) || len(wrong.Faults) != 2 {
		t.Fatalf("got %v", err)
	}
	want := "station.name: holds characters that can't be shown; must be text, 1 to 60 characters\n" +
		"station.latitude_deg: NaN is out of range; must be -90 to 90 degrees"
	if err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		t.Error("a file was written")
	}
}
