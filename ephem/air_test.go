package ephem

import (
	"math"
	"testing"
)

func TestRefractivity(t *testing.T) {
	rows := []struct {
		air  Air
		want float64 // ITU-R P.453 worked out apart, computed
	}{
		{Air{1013.25, 15, 60}, 318.9}, {Air{1010, 10, 50}, 305.4}, {Air{1013.25, 25, 80}, 370.3},
		{Air{1013.25, 0, 50}, 303.2}, {Air{900, 10, 40}, 269.6}, {Air{}, 0},
	}
	for _, row := range rows {
		close(t, "refractivity", row.air.Refractivity(), row.want, 0.2)
	}
}

// traced returns the bending in degrees of a ray that arrives at an apparent
// elevation, through a refractivity that falls off exponentially in spherical layers.
func traced(apparent, units float64) float64 {
	const radius, scale, top, steps = 6371.0, 7.35, 120.0, 10000
	index := func(h float64) float64 { return 1 + units*1e-6*math.Exp(-h/scale) }
	invariant := index(0) * radius * math.Cos(apparent*degree)
	var sum float64
	// Steps that grow from the ground tame the ray's horizontal end.
	for i := range steps {
		root := (float64(i) + 0.5) / steps * math.Sqrt(top)
		h := root * root
		n := index(h)
		cosine := invariant / n / (radius + h)
		sine := math.Sqrt((1 - cosine) * (1 + cosine))
		sum += cosine / sine * (n - 1) / scale / n * 2 * root * math.Sqrt(top) / steps
	}
	return sum / degree
}

func TestRefractionAgainstRay(t *testing.T) {
	// Source of the three: ITU-R P.834 eq. 9 at the horizon; the trace itself elsewhere.
	close(t, "the trace at the horizon", traced(0, 315), 0.7610, 0.005)
	close(t, "the trace at 45 degrees", traced(45, 315), 315e-6/degree, 1e-4)
	air := Air{PressureHPa: 1013.25, TemperatureC: 15, HumidityPercent: 54.9} // 315 units
	close(t, "refractivity", air.Refractivity(), 315, 0.5)
	for apparent := 0.0; apparent < 90; apparent += 0.5 {
		bent := traced(apparent, 315)
		got := air.Refracted(deg(apparent - bent)).Deg()
		tolerance := 0.005
		if apparent > 10 {
			tolerance = 0.0012
		}
		close(t, "seen at", got, apparent, tolerance)
	}
}

func TestRefractionIsMonotonicAndInverted(t *testing.T) {
	for _, air := range []Air{DefaultAir(), {}, {1100, 45, 100}, {900, -40, 0}, {300, -20, 10}} {
		last := math.Inf(-1)
		for el := -90.0; el <= 90; el += 0.01 {
			seen := air.Refracted(deg(el)).Deg()
			if !(seen > last) || math.IsNaN(seen) || seen < el-1e-9 || seen > el+2 {
				t.Fatalf("%+v: %.2f is seen at %v, after %v", air, el, seen, last)
			}
			last = seen
			if back := air.Airless(deg(seen)).Deg(); math.Abs(back-el) > 1e-6 {
				t.Fatalf("%+v: %.2f is seen at %v, and that comes from %v", air, el, seen, back)
			}
		}
	}
}

func TestRefractionAtItsEdges(t *testing.T) {
	air := DefaultAir()
	close(t, "zenith", air.Refracted(deg(90)).Deg(), 90, 1e-9)
	close(t, "nadir", air.Refracted(deg(-90)).Deg(), -90, 1e-9)
	close(t, "no air", Air{}.Refracted(deg(3)).Deg(), 3, 0)
	for _, bad := range []Air{{PressureHPa: -1}, {PressureHPa: 2000}, {1000, 90, 0}, {1000, 0, 101}, {math.NaN(), 0, 0},
		{1000, math.NaN(), 0}, {1000, 0, math.NaN()}} {
		if bad.Validate() == nil {
			t.Errorf("%+v passes", bad)
		}
	}
	if err := air.Validate(); err != nil {
		t.Error(err)
	}
}

// Source: ISO 2533, the standard atmosphere's table.
func TestStandardAir(t *testing.T) {
	for height, want := range map[float64][2]float64{0: {1013.25, 15}, 1000: {898.74, 8.5}, 3000: {701.08, -4.5},
		5000: {540.19, -17.5}, 11000: {226.32, -56.5}} {
		air := StandardAir(height)
		close(t, "pressure", air.PressureHPa, want[0], 0.1)
		close(t, "temperature", air.TemperatureC, want[1], 0.01)
		if err := air.Validate(); err != nil {
			t.Error(err)
		}
	}
	// The higher the station, the less air above it bends.
	if low, high := StandardAir(0).Refracted(deg(2)), StandardAir(3000).Refracted(deg(2)); low <= high {
		t.Errorf("2 degrees are seen at %v from sea level and at %v from 3000 m", low.Deg(), high.Deg())
	}
}
