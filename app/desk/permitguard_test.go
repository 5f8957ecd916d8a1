package desk

import (
	"math"
	"testing"

	"beamhelm/app/desk/permit"
	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
	"beamhelm/drive/guard"
)

// The permit and the loop's guards judge elevation, closed sectors, relay supply,
// standing wave ratio and coolant by the same limits: on either side of each, as near
// as a reading or an angle can be, both say the same.
func TestPermitAndGuardsAgreeAtTheirLimits(t *testing.T) {
	s := settings.Practice()
	s.ClosedSectors = []settings.ClosedSector{{Name: "village", FromDeg: 90, ToDeg: 100, FromElevationDeg: 5,
		ToElevationDeg: 20}}
	drive, err := station.DriveConfig(s)
	if err != nil {
		t.Fatal(err)
	}
	conditions := permitConfig(&s)
	of := &guard.Config{Limits: drive.Guard, Axes: [2]guard.AxisConfig{{Fitted: true}, {Fitted: true}}}
	power := func(ratio float64) (forward, reflected float64) {
		r := (ratio - 1) / (ratio + 1)
		return 400, 400 * r * r
	}
	for name, row := range map[string]struct {
		code  guard.Code
		limit float64
		put   func(v float64, f *guard.Facts, in *permit.Inputs)
	}{
		"elevation": {guard.PermitLowElevation, 5, func(v float64, f *guard.Facts, in *permit.Inputs) {
			f.ElDirection,
				in.El = degrees(v), degrees(v)
		}},
		"sector from": {guard.PermitClosedSector, 90, func(v float64, f *guard.Facts, in *permit.Inputs) {
			f.AzDirection, f.ElDirection, in.Az, in.El = degrees(v), degrees(10), degrees(v), degrees(10)
		}},
		"sector to, a turn on": {guard.PermitClosedSector, 460, func(v float64, f *guard.Facts, in *permit.Inputs) {
			f.AzDirection, f.ElDirection, in.Az, in.El = degrees(v), degrees(10), degrees(v), degrees(10)
		}},
		"sector up": {guard.PermitClosedSector, 20, func(v float64, f *guard.Facts, in *permit.Inputs) {
			f.AzDirection, f.ElDirection, in.Az, in.El = degrees(95), degrees(v), degrees(95), degrees(v)
		}},
		"relay low": {guard.PermitRelaySupply, 21,
			func(v float64, f *guard.Facts, in *permit.Inputs) { f.RelayV, in.Readings[permit.Relay] = v, v }},
		"relay high": {guard.PermitRelaySupply, 31,
			func(v float64, f *guard.Facts, in *permit.Inputs) { f.RelayV, in.Readings[permit.Relay] = v, v }},
		"ratio": {guard.PermitReflected, 3, func(v float64, f *guard.Facts, in *permit.Inputs) {
			f.ForwardW, f.ReflectedW = power(v)
			in.Readings[permit.ForwardPower], in.Readings[permit.ReflectedPower] = f.ForwardW, f.ReflectedW
		}},
		"coolant out": {guard.PermitCoolant, 65, func(v float64, f *guard.Facts, in *permit.Inputs) {
			f.CoolantC,
				in.Readings[permit.CoolantOut] = v, v
		}},
		"coolant flow": {guard.PermitCoolant, 2, func(v float64, f *guard.Facts, in *permit.Inputs) {
			f.FlowLitres, in.Readings[permit.CoolantFlow] = v, v
		}},
	} {
		found := map[bool]bool{}
		for _, by := range []float64{-1, -0.01, -1e-6, 1e-6, 0.01, 1} {
			nan := math.NaN()
			f := guard.Facts{PermitRequested: true, Connected: true, RelayV: nan, ForwardW: nan, ReflectedW: nan,
				CoolantC:   nan,
				FlowLitres: nan, ElDirection: degrees(40), AzDirection: degrees(180)}
			f.Axes[0].Trusted, f.Axes[1].Trusted = true, true
			in := permit.Inputs{Request: true, Referenced: true, Az: degrees(180), El: degrees(40), HasTarget: true,
				BeamwidthDeg: 0.6, SunDeg: nan}
			for i := range in.Readings {
				in.Readings[i] = nan
			}
			row.put(row.limit+by, &f, &in)
			withheld := guard.RowOf(row.code).Test(of, &f, &guard.State{}, 0)
			given := permit.Step(&conditions, &permit.State{}, &in).Give
			if found[withheld] = true; withheld == given {
				t.Errorf("%s %v: the guard withholds %v, the permit is given %v", name, row.limit+by, withheld, given)
			}
		}
		if len(found) != 2 {
			t.Errorf("%s: no limit at %v", name, row.limit)
		}
	}
}
