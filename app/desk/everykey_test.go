//go:build !race

package desk_test

import (
	"fmt"
	"hash/fnv"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/camera"
	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/station"
	"beamhelm/app/keying"
	"beamhelm/app/noisemeter"
	"beamhelm/app/publish"
	"beamhelm/app/serialline"
	"beamhelm/app/settings"
	"beamhelm/app/sound"
	"beamhelm/app/timesource"
	"beamhelm/app/transceiver"
	"beamhelm/app/view"
)

// full are settings in which every key has something to do.
func full() settings.Settings {
	s := settings.Practice()
	for i := range s.Bands {
		second := s.Bands[i].Feeds[0]
		second.Name = "second"
		s.Bands[i].Feeds = append(s.Bands[i].Feeds, second)
	}
	s.Bands[0].Feeds[0].NoiseSourceK = 1000
	s.Link.Port = "/dev/ttyUSB0"
	s.ClosedSectors = []settings.ClosedSector{{Name: "village", FromDeg: 90, ToDeg: 100, ToElevationDeg: 20,
		Bands: []string{s.Bands[0].Name}}}
	s.Sun.KeepAwayDeg = 4
	s.Clock.TimeSource = "ntp.example.org"
	s.Camera.URL = "http://camera.example/picture.jpg"
	s.Radio.Family, s.Radio.Port = settings.FramedRadio, "/dev/ttyUSB2"
	s.Publish.Broker = "mqtt://broker.example:1883"
	for _, r := range settings.Readings() {
		l := s.Readings[r.Key]
		if !l.AlarmLow.Given {
			top := l.WarningHigh.Or(r.Min + 0.5*(r.Max-r.Min))
			l.AlarmLow, l.WarningLow = settings.Some(r.Min+0.1*(top-r.Min)),
				settings.Some(r.Min+0.2*(top-r.Min))
		}
		if low := l.WarningLow.Value; !l.AlarmHigh.Given {
			l.WarningHigh, l.AlarmHigh = settings.Some(low+0.4*(r.Max-low)), settings.Some(low+0.5*(r.Max-low))
		}
		l.HoldS = 1
		s.Readings[r.Key] = l
	}
	return s
}

// besides is what else must be set for a key to mean anything.
var besides = map[string]func(s *settings.Settings){
	"bands[0].name":                       func(s *settings.Settings) { s.ClosedSectors = nil },
	"axes.azimuth.switch_over_deg":        func(s *settings.Settings) { fixed(&s.Axes.Azimuth) },
	"axes.elevation.switch_over_deg":      func(s *settings.Settings) { fixed(&s.Axes.Elevation) },
	"bands[0].feeds[0].detector_table_mv": func(s *settings.Settings) { table(s) },
	"bands[0].feeds[0].detector_table_db": func(s *settings.Settings) { table(s) },
	"link.stop_bits":                      func(s *settings.Settings) { s.Link.Parity = settings.NoParity },
	"meter.query":                         instrument,
	"meter.port":                          instrument,
	"meter.interval_ms":                   instrument,
	"meter.linear":                        instrument,
	"meter.baud":                          func(s *settings.Settings) { instrument(s); s.Meter.Port = "/dev/ttyUSB1" },
	"meter.source":                        instrument,
	"meter.low_hz":                        program,
	"meter.high_hz":                       program,
	"meter.sample_hz":                     program,
	"tracking.outer_tolerance_beamwidths": func(s *settings.Settings) { s.Tracking.OnlyInOurPeriods = true },
}

func instrument(s *settings.Settings) {
	s.Meter.Source, s.Meter.Port, s.Meter.Query = settings.FromInstrument, "meter.example:5025", "READ?"
}

func program(s *settings.Settings) {
	s.Meter.Source, s.Meter.Port, s.Audio.Input = settings.FromAudio, "arecord -q", ""
}

func fixed(a *settings.Axis) {
	a.FixedSpeedsDegPerS, a.SwitchOverDeg = []float64{0.5, a.TopSpeedDegPerS}, []float64{2}
}

func table(s *settings.Settings) {
	f := &s.Bands[0].Feeds[0]
	f.DetectorTableMV, f.DetectorTableDB = []float64{0, 1000, 2000}, []float64{-60, -20, 0}
}

// others are values for the keys that can't be changed by a step of their own.
var others = map[string]any{
	"horizon.points":                        []settings.Point{{AzDeg: 0, ElDeg: 5}, {AzDeg: 180, ElDeg: 7}},
	"closed_sectors[0].bands":               []string{},
	"axes.azimuth.fixed_speeds_deg_per_s":   []float64{0.5, 1.5},
	"axes.elevation.fixed_speeds_deg_per_s": []float64{0.5, 1.5},
	"axes.azimuth.switch_over_deg":          []float64{3}, "axes.elevation.switch_over_deg": []float64{3},
	"bands[0].feeds[0].detector_table_mv": []float64{0, 1100, 2000},
	"bands[0].feeds[0].detector_table_db": []float64{-60, -25, 0},
	"dish.finish":                         settings.Bare, "bands[0].feeds[0].polarisation": settings.Horizontal,
	"camera.url": "http://camera.example/other.jpg", "publish.broker": "mqtt://other.example:1883",
	"meter.port": "other.example:5025",
}

// keys are all keys of the settings, of lists the first member.
func keys() (all []string) {
	for _, f := range settings.Fields() {
		key := strings.ReplaceAll(f.Key, "[]", "[0]")
		switch {
		case strings.HasPrefix(key, "axes.*"):
			all = append(all, strings.Replace(key, "*", "azimuth", 1), strings.Replace(key, "*", "elevation", 1))
		case strings.HasPrefix(key, "readings.*"):
			for _, r := range settings.Readings() {
				all = append(all, strings.Replace(key, "*", r.Key, 1))
			}
		default:
			all = append(all, key)
		}
	}
	return all
}

// at hands the value of a key to change.
func at(s *settings.Settings, key string, change func(v reflect.Value)) {
	v := reflect.ValueOf(s).Elem()
	for _, part := range strings.Split(key, ".") {
		name, _, listed := strings.Cut(part, "[")
		if v.Kind() == reflect.Map {
			limits := v.MapIndex(reflect.ValueOf(name)).Interface().(settings.Limits)
			member := reflect.ValueOf(&limits).Elem()
			change(field(member, key[strings.LastIndex(key, ".")+1:]))
			v.SetMapIndex(reflect.ValueOf(name), member)
			return
		}
		if v = field(v, name); listed {
			fresh := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
			reflect.Copy(fresh, v)
			v.Set(fresh)
			v = v.Index(0)
		}
	}
	change(v)
}

func field(v reflect.Value, name string) reflect.Value {
	for i := range v.NumField() {
		if v.Type().Field(i).Tag.Get("toml") == name {
			return v.Field(i)
		}
	}
	panic(name)
}

// changed are the settings with a key changed to another valid value.
func changed(t *testing.T, key string) (before, after settings.Settings) {
	t.Helper()
	made := func() settings.Settings {
		s := full()
		if set := besides[key]; set != nil {
			set(&s)
		}
		return s
	}
	before = made()
	if wrong := before.Check(); len(wrong) > 0 {
		t.Fatalf("%s: the settings before: %v", key, wrong)
	}
	for _, candidate := range candidates(key) {
		after = made()
		same := false
		at(&after, key, func(v reflect.Value) {
			was := fmt.Sprint(v.Interface())
			candidate(v)
			same = fmt.Sprint(v.Interface()) == was
		})
		if !same && len(after.Check()) == 0 {
			return before, after
		}
	}
	t.Fatalf("%s: no other valid value", key)
	return before, after
}

// candidates are ways to change the value of a key.
func candidates(key string) (all []func(v reflect.Value)) {
	if other, ok := others[key]; ok {
		return []func(v reflect.Value){func(v reflect.Value) { v.Set(reflect.ValueOf(other)) }}
	}
	if strings.HasSuffix(key, ".hold_s") || strings.HasSuffix(key, ".hysteresis") {
		for _, by := range []float64{40, 6} { // the readings rise and fall by steps
			all = append(all, func(v reflect.Value) { scale(v, by, 0) })
		}
	}
	pattern := strings.NewReplacer("[0]", "[]", ".azimuth.", ".*.", ".elevation.", ".*.").Replace(key)
	for _, f := range settings.Fields() {
		if f.Key == pattern {
			for _, choice := range f.Choices {
				all = append(all, func(v reflect.Value) { put(v, choice) })
			}
		}
	}
	for _, by := range []float64{0.9, 1.1, 0.7, 1.3} {
		all = append(all, func(v reflect.Value) { scale(v, by, 0) })
	}
	for _, by := range []float64{1, -1, 0.1, 10, 1000} {
		all = append(all, func(v reflect.Value) { scale(v, 1, by) })
	}
	return append(all, func(v reflect.Value) {
		switch v.Kind() {
		case reflect.String:
			v.SetString("other")
		case reflect.Bool:
			v.SetBool(!v.Bool())
		}
	})
}

func put(v reflect.Value, words string) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(words)
	case reflect.Int:
		n, _ := strconv.Atoi(words)
		v.SetInt(int64(n))
	}
}

func scale(v reflect.Value, by, more float64) {
	switch o := v.Interface().(type) {
	case settings.Optional:
		if !o.Given {
			return
		}
		v.Set(reflect.ValueOf(settings.Some(o.Value*by + more)))
	case float64:
		v.SetFloat(o*by + more)
	case int:
		v.SetInt(int64(math.Round(float64(o)*by + more)))
	}
}

// outside is what the settings make of all that runs beside the desk.
func outside(t *testing.T, s settings.Settings) any {
	t.Helper()
	line, err := serialline.FromSettings(s.Link)
	pictures, err2 := camera.FromSettings(s.Camera)
	meter, err3 := noisemeter.FromSettings(s, nil)
	radio, err4 := transceiver.FromSettings(s.Radio, func() transceiver.Wanted { return transceiver.Wanted{} })
	for _, err := range []error{err, err2, err3, err4} {
		if err != nil {
			t.Fatal(err)
		}
	}
	player := sound.FromSettings(nil, s.Sound)
	return []any{line, serialline.Master(s.Link), pictures, meter, noisemeter.Line(s.Meter), player,
		audio.NewReceiver(nil, s.Audio.Input), view.AudioScaleOf(s.Audio),
		transceiver.Line(s.Radio), radio, keying.Arguments(s.Keying), ownecho.FromSettings(s.Keying),
		audio.NewOutput(nil, s.Keying.Output), timesource.FromSettings(s.Clock), publish.FromSettings(s.Publish, "")}
}

// figures writes all plain values that something holds, exported or not.
func figures(w io.Writer, v reflect.Value, deep int) {
	switch v.Kind() {
	case reflect.Invalid:
	case reflect.Pointer, reflect.Interface:
		if deep > 0 && !v.IsNil() {
			figures(w, v.Elem(), deep-1)
		}
	case reflect.Struct:
		if pkg := v.Type().PkgPath(); pkg == "sync" || pkg == "sync/atomic" || strings.HasPrefix(pkg, "net") {
			return
		}
		if v.Type() == reflect.TypeFor[time.Location]() {
			return
		}
		for i := range v.NumField() {
			figures(w, v.Field(i), deep)
		}
	case reflect.Slice, reflect.Array:
		fmt.Fprint(w, "[", v.Len())
		for i := range v.Len() {
			figures(w, v.Index(i), deep)
		}
	case reflect.Map, reflect.Func, reflect.Chan, reflect.UnsafePointer:
		fmt.Fprint(w, v.IsNil())
	default:
		fmt.Fprintf(w, " %v", v)
	}
}

func mark(v any) uint64 {
	h := fnv.New64a()
	figures(h, reflect.ValueOf(v), 6)
	return h.Sum64()
}

// TestEveryKeyDoesSomething changes every key of the settings to another valid value
// and wants a change in what the program hands on, does or shows.
func TestEveryKeyDoesSomething(t *testing.T) {
	usual := map[string][]uint64{}
	for _, key := range keys() {
		if key == "version" || key == "station.call_sign" {
			continue // version has one value; the call sign is written by what the window keeps of a contact
		}
		t.Run(key, func(t *testing.T) {
			before, after := changed(t, key)
			if mark(outside(t, before)) != mark(outside(t, after)) {
				return
			}
			was := ""
			if besides[key] != nil {
				was = key
			}
			known := usual[was]
			from, to := desk.Derivations(t, before), desk.Derivations(t, after)
			for i := range from {
				if i >= len(known) {
					known = append(known, mark(from[i]()))
				}
				if mark(to[i]()) != known[i] {
					usual[was] = known
					return
				}
			}
			usual[was] = known
			t.Errorf("%s does nothing", key)
		})
	}
}

// ends are the least and the most of a key: those of its row, or of its reading.
func ends(key string) []float64 {
	pattern := strings.NewReplacer("[0]", "[]", ".azimuth.", ".*.", ".elevation.", ".*.").Replace(key)
	for _, f := range settings.Fields() {
		if f.Key == pattern && f.Max > f.Min && (f.Kind == settings.Number || f.Kind == settings.Whole) {
			return []float64{f.Min, f.Max}
		}
	}
	for _, r := range settings.Readings() {
		if strings.HasPrefix(key, "readings."+r.Key+".") {
			return []float64{r.Min, r.Max}
		}
	}
	return nil
}

// TestTheDriveTakesWhatTheSettingsTake puts every number to both ends of its range: what the
// settings let pass, the drive must take, for the panel would not start with it.
func TestTheDriveTakesWhatTheSettingsTake(t *testing.T) {
	for _, key := range keys() {
		for _, end := range ends(key) {
			s := settings.Practice()
			for _, r := range settings.Readings() {
				s.Readings[r.Key] = settings.Limits{}
			}
			s.Bands[0].Feeds = append(s.Bands[0].Feeds[:0:0], s.Bands[0].Feeds...)
			s.ClosedSectors = []settings.ClosedSector{{Name: "village", FromDeg: 90, ToDeg: 100, FromElevationDeg: 5,
				ToElevationDeg: 20}}
			at(&s, key, func(v reflect.Value) {
				if v.Type() == reflect.TypeFor[settings.Optional]() {
					v.Set(reflect.ValueOf(settings.Some(end)))
					return
				}
				scale(v, 0, end)
			})
			if _, err := station.DriveConfig(s); err != nil && len(s.Check()) == 0 {
				t.Errorf("%s = %v: the settings take it, the drive does not: %v", key, end, err)
			}
		}
	}
}
