package guard

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"
)

// A sensor that was lost says so, and one that was never there doesn't.
func TestReadingsMissing(t *testing.T) {
	nan := math.NaN()
	for _, w := range []struct {
		name string
		code Code
		lose func(f *Facts)
		off  func(l *Limits) // the limit that needs it is not judged
		// power: drive power doesn't come on while it is missing.
		power bool
	}{
		{"drive supply", SupplyMissing, func(f *Facts) { f.DriveSupplyV = nan }, func(l *Limits) { l.SupplyLow = 0 }, true},
		{"drive stage", TemperatureMissing, func(f *Facts) { f.StageC = nan }, func(l *Limits) { l.StageHot = 0 }, true},
		{"elevation motor", TemperatureMissing, func(f *Facts) { f.Axes[1].MotorC = nan }, func(l *Limits) { l.MotorHot = 0 }, true},
		{"azimuth current", CurrentMissing, func(f *Facts) { f.Axes[0].CurrentA = nan }, nil, true},
		{"gusts alone", WindSensorMissing, func(f *Facts) { f.WindGust = nan }, nil, false},
		{"mean wind alone", WindSensorMissing, func(f *Facts) { f.WindMean = nan }, nil, false},
	} {
		for _, there := range []bool{true, false} {
			for _, judged := range []bool{true, false} {
				c, f := usual()
				f.WindFitted, f.WindMean, f.WindGust = true, 3, 5
				if !judged && w.off == nil {
					continue
				}
				if !judged {
					w.off(&c.Limits)
				}
				var s State
				at := found(&c, &s, w.code, 200, func(k int) Facts {
					f.Millis = uint32(k * 100)
					if k >= 20 || !there {
						w.lose(&f)
					}
					return f
				})
				// A wind sensor says at the start that it is fitted.
				want := there && judged || w.code == WindSensorMissing && math.IsNaN(f.WindMean)
				if (at != 0) != want || want && there && at > 13*time.Second {
					t.Errorf("%s, there %v, judged %v: found after %v", w.name, there, judged, at)
				}
				f.Now, f.Fresh = time.Hour, false
				v := Judge(&c, &f, &s)
				if refused := v.RefusePower == w.code; refused != (want && w.power) || v.Refuse != None || v.Response >= Trip {
					t.Errorf("%s, there %v, judged %v: power refused by %v, starts by %v, response %v", w.name, there, judged, v.RefusePower, v.Refuse, v.Response)
				}
			}
		}
	}
}

// A limit of the permit whose reading is missing withholds the permit.
func TestPermitReadingMissing(t *testing.T) {
	for name, limit := range map[string]func(l *Limits){
		"relay supply": func(l *Limits) { l.RelayLow = 10 }, "relay supply, upper": func(l *Limits) { l.RelayHigh = 14 },
		"reflected": func(l *Limits) { l.ReflectedHigh = 50 }, "coolant": func(l *Limits) { l.CoolantHigh = 60 }, "flow": func(l *Limits) { l.FlowLow = 1 },
	} {
		c, f := usual()
		f.PermitWanted = true
		var s State
		f.Fresh = false
		if at := found(&c, &s, PermitReadingMissing, 50, func(int) Facts { return f }); at != 0 {
			t.Errorf("%s: found without a limit", name)
		}
		limit(&c.Limits)
		s = State{}
		if at := found(&c, &s, PermitReadingMissing, 50, func(int) Facts { return f }); at == 0 || at > 2*time.Second {
			t.Errorf("%s: found after %v", name, at)
		}
		f.Now = time.Hour
		if v := Judge(&c, &f, &s); v.Withdraw != PermitReadingMissing {
			t.Errorf("%s: permit withheld by %v", name, v.Withdraw)
		}
		f.RelayV, f.ReflectedW, f.CoolantC, f.FlowLitres = 12, 5, 30, 4
		if Judge(&c, &f, &s); s.Stands(PermitReadingMissing) {
			t.Errorf("%s: found although it is there", name)
		}
	}
}

func TestEndElsewhere(t *testing.T) {
	degrees := unit.AngleFromDeg
	for _, w := range []struct {
		name      string
		low, high bool
		at        float64
		trusted   bool
		found     bool
	}{
		{"none open", false, false, 100, true, false},
		{"lower in its place", true, false, -54, true, false},
		{"lower as far as the dish goes before it stops", true, false, -49.5, true, false},
		{"lower well inside", true, false, -40, true, true},
		{"lower far beyond", true, false, -70, true, true},
		{"upper in its place", false, true, 412, true, false},
		{"upper well inside", false, true, 100, true, true},
		{"upper where the lower stands", false, true, -54, true, true},
		{"not trusted", false, true, 100, false, false},
		{"both: a broken wire", true, true, 100, true, false},
	} {
		c, f := usual()
		x := &f.Axes[0]
		x.EndLow, x.EndHigh, x.Is, x.Trusted = w.low, w.high, degrees(w.at), w.trusted
		var s State
		v := Judge(&c, &f, &s)
		if s.Standing[EndElsewhere][0] != w.found || s.Standing[EndElsewhere][1] {
			t.Errorf("%s: found %v", w.name, s.Standing[EndElsewhere])
		}
		if !w.found {
			continue
		}
		if !v.Rest {
			t.Errorf("%s: the axes do not come to rest", w.name)
		}
		x.Trusted = false
		if Judge(&c, &f, &s); !s.Stands(EndElsewhere) {
			t.Errorf("%s: forgotten with the trust", w.name)
		}
		x.EndLow, x.EndHigh = false, false
		if Judge(&c, &f, &s); s.Stands(EndElsewhere) {
			t.Errorf("%s: stands although the switch closed", w.name)
		}
	}
}
