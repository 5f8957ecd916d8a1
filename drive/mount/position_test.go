package mount

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/soniakeys/unit"
	"pgregory.net/rapid"
)

func TestScale(t *testing.T) {
	for _, c := range []struct {
		name          string
		pulses, ratio float64
		counts        float64
		stepDeg       float64
	}{
		// 300 pulses, every transition counted, geared 3 to 1: common practice, no source.
		{"300 pulses, 3 to 1", 300, 3, 3600, 0.1},
		{"1024 pulses on the axis", 1024, 1, 4096, 360.0 / 4096},
		// A decimal ratio is kept as it is: 1000 * 4 * 1.133 = 4532 counts, to the last bit of a float64.
		{"ratio 1.133", 1000, 1.133, 4532, 360.0 / 4532},
		{"two and a half pulses", 2.5, 360, 3600, 0.1},
	} {
		s, err := ScaleOf(c.pulses, c.ratio, 1)
		if err != nil || math.Abs(s.CountsPerTurn()-c.counts) > 1e-9 || math.Abs(s.Step.Deg()-c.stepDeg) > 1e-13 {
			t.Errorf("%s: %v counts of %v degrees, %v", c.name, s.CountsPerTurn(), s.Step.Deg(), err)
		}
	}
	// After 100000 turns the ratio 1.133 is still exact to a thousandth of a count.
	s, _ := ScaleOf(1000, 1.133, 1)
	if got := s.Edge(Zero{}, 453_200_000).Rad(); math.Abs(got-2*math.Pi*100_000)/s.Step.Rad() > 1e-3 {
		t.Errorf("453200000 counts are %v turns", got/2/math.Pi)
	}
	for _, bad := range [][3]float64{{0, 1, 1}, {300, 0, 1}, {300, -1, 1}, {math.NaN(), 1, 1}, {300, math.Inf(1), 1},
		{300, 3, 0}, {300, 3, 2}} {
		if _, err := ScaleOf(bad[0], bad[1], int(bad[2])); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
	if a, err := AbsoluteScaleOf(4096, 1, -1); err != nil || a.Direction != -1 ||
		math.Abs(a.CountsPerTurn()-4096) > 1e-9 {
		t.Errorf("absolute: %+v, %v", a, err)
	}
}

// Count n covers the angle from edge n to edge n+1.
func TestEdges(t *testing.T) {
	up := Scale{Step: unit.AngleFromDeg(0.1), Direction: 1}
	down := Scale{Step: unit.AngleFromDeg(0.1), Direction: -1}
	z := Zero{Counts: 1000, Angle: unit.AngleFromDeg(50)}
	for _, c := range []struct {
		name string
		got  unit.Angle
		want float64
	}{
		{"edge of the zero", up.Edge(z, 1000), 50},
		{"ten counts on", up.Edge(z, 1010), 51},
		{"counted up into 1010", up.Entered(z, 1010, true), 51},
		{"counted down into 1010", up.Entered(z, 1010, false), 51.1},
		{"the best single figure", up.Middle(z, 1010), 51.05},
		{"the other direction, ten counts on", down.Edge(z, 1010), 49},
		{"the other direction, counted up into 1010", down.Entered(z, 1010, true), 49},
		{"the other direction, counted down into 1010", down.Entered(z, 1010, false), 48.9},
		{"the other direction, the best single figure", down.Middle(z, 1010), 48.95},
		{"over the wrap of 32 bits", up.Edge(Zero{Counts: math.MaxInt32, Angle: z.Angle}, math.MinInt32+9), 51},
	} {
		if math.Abs(c.got.Deg()-c.want) > 1e-9 {
			t.Errorf("%s: %v degrees, want %v", c.name, c.got.Deg(), c.want)
		}
	}
	if low, high := down.Interval(z, 1010); math.Abs(low.Deg()-48.9) > 1e-9 || math.Abs(high.Deg()-49) > 1e-9 {
		t.Errorf("interval %v to %v degrees", low.Deg(), high.Deg())
	}
}

func TestCountsAndAngleAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Scale{Step: unit.AngleFromDeg(rapid.Float64Range(0.001, 2).Draw(t, "step")),
			Direction: rapid.SampledFrom([]int{-1, 1}).Draw(t, "direction")}
		z := Zero{Counts: rapid.Int32().Draw(t, "zero"),
			Angle: unit.AngleFromDeg(rapid.Float64Range(-400, 400).Draw(t, "angle"))}
		count := z.Counts + rapid.Int32Range(-1_000_000, 1_000_000).Draw(t, "on") // wraps
		if got := s.CountAt(z, s.Middle(z, count)); got != count {
			t.Fatalf("the middle of count %d lies in count %d", count, got)
		}
		back := s.ZeroAt(count, s.Middle(z, count))
		if off := math.Abs((s.Edge(back, z.Counts) - z.Angle).Rad()) / s.Step.Rad(); off > 1e-6 {
			t.Fatalf("a zero found at count %d is %v counts off", count, off)
		}
		low, high := s.Interval(z, count)
		if in := s.Entered(z, count, true); in < low || in > high || !(low < high) {
			t.Fatalf("entered at %v, outside %v to %v", in, low, high)
		}
	})
}

func TestReferenceIsKept(t *testing.T) {
	r := Reference{Zero: Zero{-5, unit.AngleFromDeg(123.456)}, Start: 65535, LastCounts: 77, Origin: ByBeam,
		AtUnixNanos: 1_800_000_000_123_456_789}
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var back Reference
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if math.Abs((back.Angle - r.Angle).Rad()) > 1e-15 {
		t.Errorf("angle %v, was %v", back.Angle, r.Angle)
	}
	back.Angle = r.Angle
	if back != r {
		t.Errorf("%+v came back from %s, was %+v", back, b, r)
	}
	for _, damaged := range []string{`{`, `{"angle_deg":1e9,"found":"by the mark"}`,
		`{"angle_deg":1,"found":"by guess"}`} {
		if err := json.Unmarshal([]byte(damaged), &back); err == nil {
			t.Errorf("%s was taken", damaged)
		}
	}
	for _, c := range []struct {
		name    string
		start   uint16
		survive bool
		want    bool
	}{{"same start", 65535, false, true}, {"another start", 0, false, false},
		{"another start, counts survive", 0, true, true}} {
		if got := r.Valid(c.start, c.survive); got != c.want {
			t.Errorf("%s: valid %v", c.name, got)
		}
	}
	if (Reference{}).Valid(0, true) {
		t.Error("a reference without origin is valid")
	}
}

func TestLimits(t *testing.T) {
	l := Limits{EndLow: deg(-50), SoftLow: deg(-45), SoftHigh: deg(405), EndHigh: deg(410)}
	if err := l.Validate(deg(5)); err != nil {
		t.Error(err)
	}
	err := l.Validate(deg(5.1))
	if err == nil || !strings.Contains(err.Error(), "-45.00 is 5.00 degrees from the end switch") {
		t.Errorf("soft limits too near the ends: %v", err)
	}
	for _, bad := range []Limits{
		{}, {EndLow: deg(-50), SoftLow: deg(405), SoftHigh: deg(-45), EndHigh: deg(410)},
		{EndLow: deg(-50), SoftLow: deg(-45), SoftHigh: deg(math.NaN()), EndHigh: deg(410)},
	} {
		if bad.Validate(0) == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
	for _, c := range [][2]float64{{100, 100}, {-90, -45}, {500, 405}, {math.NaN(), -45}} {
		if got := l.Clamp(deg(c[0])).Deg(); math.Abs(got-c[1]) > 1e-9 {
			t.Errorf("%v held to %v", c[0], got)
		}
	}
}

func TestFloor(t *testing.T) {
	var f Floor
	f.Structures[0] = Structure{From: deg(350), To: deg(10), Min: deg(20)} // over north
	f.Structures[1] = Structure{From: deg(5), To: deg(30), Min: deg(12)}
	f.Count = 2
	for _, c := range []struct {
		az, want float64
		ok       bool
	}{{0, 20, true}, {360, 20, true}, {-10, 20, true}, {7, 20, true}, {20, 12, true}, {380, 12, true}, {40, 0, false},
		{180, 0, false}} {
		got, ok := f.Min(deg(c.az))
		if ok != c.ok || ok && math.Abs(got.Deg()-c.want) > 1e-9 {
			t.Errorf("at %v: %v %v", c.az, got.Deg(), ok)
		}
	}
	for _, c := range []struct {
		a, b, want float64
		ok         bool
	}{{40, 340, 0, false}, {340, 40, 0, false}, {15, 25, 12, true}, {330, 352, 20, true}, {330, 360 + 40, 20, true},
		{352, 330, 20, true}, {-30, 40, 20, true}} {
		got, ok := f.MinBetween(deg(c.a), deg(c.b))
		if ok != c.ok || ok && math.Abs(got.Deg()-c.want) > 1e-9 {
			t.Errorf("from %v to %v: %v %v, want %v %v", c.a, c.b, got.Deg(), ok, c.want, c.ok)
		}
	}
}

// Angles between directions, by hand on the sphere.
func TestBetween(t *testing.T) {
	for _, c := range [][5]float64{
		{0, 0, 90, 0, 90}, {10, 90, 200, 90, 0}, {0, 60, 180, 60, 60}, {350, 30, -10, 30, 0}, {0, 0, 180, 0, 180},
		{100, 60, 100.02, 60, 0.01}, // cross-elevation: 0.02 cos 60
	} {
		if got := Between(deg(c[0]), deg(c[1]), deg(c[2]), deg(c[3])).Deg(); math.Abs(got-c[4]) > 1e-6 {
			t.Errorf("%v: %v degrees", c, got)
		}
	}
}
