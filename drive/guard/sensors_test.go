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
		{"drive supply", SupplyMissing, func(f *Facts) { f.DriveSupplyV = nan }, func(l *Limits) { l.SupplyLow = 0 },
			true},
		{"drive stage", TemperatureMissing, func(f *Facts) { f.StageC = nan }, func(l *Limits) { l.StageHot = 0 },
			true},
		{"elevation motor", TemperatureMissing, func(f *Facts) { f.Axes[1].MotorC = nan },
			func(l *Limits) { l.MotorHot = 0 }, true},
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
				if refused := v.RefusePower == w.code; refused != (want && w.power) || v.Refuse != None ||
					v.Response >= Trip {
					t.Errorf("%s, there %v, judged %v: power refused by %v, starts by %v, response %v", w.name, there,
						judged, v.RefusePower, v.Refuse, v.Response)
				}
			}
		}
	}
}

// A limit of the permit whose reading was lost withholds the permit; one whose
// reading was never there doesn't.
func TestPermitReadingMissing(t *testing.T) {
	nan := math.NaN()
	for name, w := range map[string]struct {
		limit func(l *Limits)
		lose  func(f *Facts)
	}{
		"relay supply":        {func(l *Limits) { l.RelayLow = 10 }, func(f *Facts) { f.RelayV = nan }},
		"relay supply, upper": {func(l *Limits) { l.RelayHigh = 14 }, func(f *Facts) { f.RelayV = nan }},
		"reflected":           {func(l *Limits) { l.ReflectedHigh = 50 }, func(f *Facts) { f.ReflectedW = nan }},
		"reflected, by SWR":   {func(l *Limits) { l.SWRHigh = 2 }, func(f *Facts) { f.ReflectedW = nan }},
		"forward":             {func(l *Limits) { l.SWRHigh = 2 }, func(f *Facts) { f.ForwardW = nan }},
		"coolant":             {func(l *Limits) { l.CoolantHigh = 60 }, func(f *Facts) { f.CoolantC = nan }},
		"flow":                {func(l *Limits) { l.FlowLow = 1 }, func(f *Facts) { f.FlowLitres = nan }},
	} {
		for _, there := range []bool{true, false} {
			for _, judged := range []bool{true, false} {
				c, f := usual()
				f.PermitRequested, f.Fresh = true, false
				f.RelayV, f.ReflectedW, f.ForwardW, f.CoolantC, f.FlowLitres = 12, 5, 400, 30, 4
				if judged {
					w.limit(&c.Limits)
				}
				var s State
				at := found(&c, &s, PermitReadingMissing, 60, func(k int) Facts {
					if k >= 20 || !there {
						w.lose(&f)
					}
					return f
				})
				if want := there && judged; (at != 0) != want || at > 4*time.Second {
					t.Errorf("%s, there %v, judged %v: found after %v", name, there, judged, at)
				}
				f.Now = time.Hour
				if v := Judge(&c, &f, &s); (v.Withdraw == PermitReadingMissing) != (there && judged) {
					t.Errorf("%s, there %v, judged %v: permit withheld by %v", name, there, judged, v.Withdraw)
				}
			}
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
		{"none open as far beyond as the dish goes before it stops", false, false, 412, true, false},
		{"none open, far beyond the upper", false, false, 470, true, true},
		{"none open, turns beyond the lower", false, false, -833, true, true},
		{"none open, not referenced", false, false, -833, false, false},
		{"lower in its place", true, false, -54, true, false},
		{"lower as far as the dish goes before it stops", true, false, -49.5, true, false},
		{"lower well inside", true, false, -40, true, true},
		{"lower far beyond", true, false, -70, true, true},
		{"upper in its place", false, true, 412, true, false},
		{"upper well inside", false, true, 100, true, true},
		{"upper where the lower stands", false, true, -54, true, true},
		{"not referenced", false, true, 100, false, false},
		{"both: a broken wire", true, true, 100, true, false},
	} {
		c, f := usual()
		x := &f.Axes[0]
		x.EndLow, x.EndHigh, x.Position, x.Trusted = w.low, w.high, degrees(w.at), w.trusted
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
		if Judge(&c, &f, &s); s.Stands(EndElsewhere) != (w.low || w.high) {
			t.Errorf("%s: forgotten, or kept with none open, with the trust", w.name)
		}
		x.EndLow, x.EndHigh = false, false
		if Judge(&c, &f, &s); s.Stands(EndElsewhere) {
			t.Errorf("%s: stands although the switch closed", w.name)
		}
	}
}

// A sensor whose reading can't be, from the start, is there all the same: what is judged by it is missing.
func TestImplausibleFromTheStartIsMissing(t *testing.T) {
	c, s := Config{Limits: DefaultLimits(), Tick: 100 * time.Millisecond}, State{}
	for i := range c.Axes {
		c.Axes[i] = axisConfig()
	}
	f := Facts{Connected: true, WindMean: math.NaN(), WindGust: math.NaN(), DriveSupplyV: math.NaN(),
		StageC: math.NaN()}
	for i := range f.Axes {
		f.Axes[i].MotorC = math.NaN()
	}
	f.Implausible.Motor[0] = true
	c.Limits.MotorHot = 80
	for range 200 {
		f.Now += 100 * time.Millisecond
		Judge(&c, &f, &s)
	}
	if !s.Stands(TemperatureMissing) {
		t.Error("a motor at 3276 degrees from the start: its temperature is not missed")
	}
}
