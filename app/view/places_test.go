package view_test

import (
	"strings"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// A place is offered on every wrap of the cable that the axis reaches, the nearest first, with how far the azimuth
// turns and for how long; one that can't be reached says why. The invented axis runs from -45° to 405°, by 3°/s after
// 2 s of acceleration, so 300° take 102 s.
func TestWraps(t *testing.T) {
	at := func(az, el float64) func(s *desk.Status) {
		return func(s *desk.Status) {
			s.Axes[0].Position, s.Axes[1].Position = deg(az), deg(el)
			s.Axes[0].HasSetpoint, s.Axes[1].HasSetpoint = false, false
			s.Scene.TopPerS = [2]unit.Angle{deg(3), deg(3)}
			s.Scene.AccelerationPerS2 = [2]unit.Angle{deg(1.5), deg(1.5)}
		}
	}
	for _, row := range []struct {
		name           string
		from           [2]float64
		az, el         float64
		want, unplaced string
	}{
		{name: "one wrap", from: [2]float64{100, 20}, az: 130, el: 20,
			want: "Only wrap, 130.0°: azimuth turns 30.0°, 12 s"},
		{name: "two, the lower is nearer", from: [2]float64{100, 20}, az: 10, el: 20,
			want: "Nearer wrap, 10.0°: azimuth turns 90.0°, 32 s|Other wrap, 370.0°: azimuth turns 270.0°, 1 min 32 s"},
		{name: "two, the upper is nearer", from: [2]float64{300, 20}, az: 10, el: 20,
			want: "Nearer wrap, 370.0°: azimuth turns 70.0°, 26 s|Other wrap, 10.0°: azimuth turns 290.0°, 1 min 39 s"},
		{name: "beyond the circle that wrap is meant", from: [2]float64{100, 20}, az: 370, el: 20,
			want: "Wrap entered, 370.0°: azimuth turns 270.0°, 1 min 32 s|" +
				"Other wrap, 10.0°: azimuth turns 90.0°, 32 s"},
		{name: "below zero too", from: [2]float64{300, 20}, az: -20, el: 20,
			want: "Wrap entered, −20.0°: azimuth turns 320.0°, 1 min 49 s|" +
				"Other wrap, 340.0°: azimuth turns 40.0°, 16 s"},
		{name: "too high", from: [2]float64{100, 20}, az: 130, el: 89,
			want: "Only wrap, 130.0°: outside the elevation limits"},
		{name: "behind the mast", from: [2]float64{100, 20}, az: 200, el: 20,
			want: "Only wrap, 200.0°: mast: not below 24°"},
	} {
		n := now(at(row.from[0], row.from[1]))
		var got []string
		for _, w := range view.Wraps(n, desk.AxisAngles{Az: deg(row.az), El: deg(row.el)}) {
			got = append(got, w.Words)
			if w.Blocked != !strings.Contains(w.Words, "turns") {
				t.Errorf("%s: %q, blocked %v", row.name, w.Words, w.Blocked)
			}
			if !strings.Contains(w.Words, view.Number(w.To.Az.Deg(), 1)) || w.To.El != deg(row.el) {
				t.Errorf("%s: %q goes to %v", row.name, w.Words, w.To)
			}
		}
		if words := strings.Join(got, "|"); words != row.want {
			t.Errorf("%s:\n%s, want\n%s", row.name, words, row.want)
		}
	}
}

// An axis that does not reach a place at all says so.
func TestWrapsOfAShortAxis(t *testing.T) {
	n := now(func(s *desk.Status) { s.Scene.SoftLow[0], s.Scene.SoftHigh[0] = deg(90), deg(270) })
	got := view.Wraps(n, desk.AxisAngles{Az: deg(10), El: deg(30)})
	if len(got) != 1 || !got[0].Blocked || got[0].Words != "Only wrap, 10.0°: outside the azimuth limits (cable)" {
		t.Errorf("%+v", got)
	}
	if low, high := view.AzimuthRange(n); low != 0 || high != 360 {
		t.Errorf("azimuths from %v to %v", low, high)
	}
}

// A star of declination δ is never higher than 90° - |φ - δ| at latitude φ (upper culmination, spherical trigonometry).
func TestNeverUp(t *testing.T) {
	n := now(func(s *desk.Status) {
		s.Station.Lat = deg(55)
		s.Scene.SoftLow[1] = deg(5)
	})
	for dec, want := range map[float64]string{
		-29: "", -30.3: "", -31: "never higher than 4.0° here, below the elevation limits",
		-36: "never above the horizon here", 89: "",
	} {
		if got := view.NeverUp(n, deg(dec)); got != want {
			t.Errorf("declination %v: %q, want %q", dec, got, want)
		}
	}
}

// What is filled in of a saved place is read as the same place.
func TestPlaceEntriesReadBack(t *testing.T) {
	for _, p := range []desk.BodyChoice{
		{Kind: desk.Fixed, Az: deg(372.25), El: deg(0.1)}, {Kind: desk.Fixed, Az: deg(-12.3)},
		{Kind: desk.Radec, RA: deg(83.6329167), Dec: deg(-22.5)}, {Kind: desk.Radec},
	} {
		texts, back := view.PlaceEntries(p), desk.BodyChoice{Kind: p.Kind}
		var errs [2]error
		if p.Kind == desk.Fixed {
			back.Az, errs[0] = view.ParseAngle(texts[0], -720, 720)
			back.El, errs[1] = view.ParseAngle(texts[1], 0, 90)
		} else {
			back.RA, errs[0] = view.ParseRA(texts[2])
			back.Dec, errs[1] = view.ParseDec(texts[3])
		}
		if errs[0] != nil || errs[1] != nil || back != p {
			t.Errorf("%+v is filled in as %q and read as %+v, %v", p, texts, back, errs)
		}
	}
}
