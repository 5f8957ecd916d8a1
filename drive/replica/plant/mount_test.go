package plant

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"
)

// reading is the axis angles that point to a true direction, found by turning
// the mount until it does.
func reading(m Mount, azimuth, elevation float64) (axisAzimuth, axisElevation float64) {
	a, e := azimuth, elevation
	for range 30 {
		skyA, skyE := m.Sky(unit.AngleFromDeg(a), unit.AngleFromDeg(e))
		a += math.Remainder(azimuth-skyA.Deg(), 360)
		e += elevation - skyE.Deg()
	}
	return a, e
}

func TestMountAgainstPublishedSums(t *testing.T) {
	d := unit.AngleFromDeg
	whole := Mount{EncoderAzimuth: d(.85), EncoderElevation: d(-.32), LeanNorth: d(.06), LeanEast: d(-.04),
		Squareness: d(.05), Collimation: d(.12), Sag: d(-.09)}
	rows := []struct {
		name               string
		mount              Mount
		azimuth, elevation float64
		wantA, wantE       float64
		tolerance          float64
		source             string
	}{
		// An exact rotation worked out elsewhere in double precision.
		{"lean alone, exact", Mount{LeanNorth: d(.06)}, 30, 40, 0.025206, 0.051955, 2e-6,
			"rotation computed with numpy"},
		// First-order sums of the published terms; second order is of the size
		// of a term squared.
		{"all terms, east low", whole, 80, 12, 0.99734, -0.43701, 0.002, "sum of the terms, computed with numpy"},
		{"all terms, south", whole, 180, 50, 1.04860, -0.43785, 0.002, "the same"},
		{"all terms, west", whole, 280, 12, 0.97223, -0.35822, 0.002, "the same"},
		{"all terms, high", whole, 185, 72, 1.25348, -0.40410, 0.006, "the same"},
		{"all terms, east high", whole, 95, 60, 1.27409, -0.41008, 0.004, "the same"},
	}
	for _, row := range rows {
		a, e := reading(row.mount, row.azimuth, row.elevation)
		if math.Abs(a-row.azimuth-row.wantA) > row.tolerance || math.Abs(e-row.elevation-row.wantE) > row.tolerance {
			t.Errorf("%s (%s): correction %.6f, %.6f degrees, want %.6f, %.6f within %g", row.name, row.source,
				a-row.azimuth, e-row.elevation, row.wantA, row.wantE, row.tolerance)
		}
	}
}

// TestMountTermsOneByOne holds each term to its published form and sign, so
// small that the second order vanishes.
func TestMountTermsOneByOne(t *testing.T) {
	const size = 1e-3
	d := unit.AngleFromDeg(size)
	rows := []struct {
		name  string
		mount Mount
		az    func(sinA, cosA, tanE, cosE float64) float64
		el    func(sinA, cosA, sinE, cosE float64) float64
	}{
		{"azimuth zero", Mount{EncoderAzimuth: d}, func(_, _, _, _ float64) float64 { return 1 }, nil},
		{"elevation zero", Mount{EncoderElevation: d}, nil, func(_, _, _, _ float64) float64 { return 1 }},
		{"lean north", Mount{LeanNorth: d}, func(s, _, t, _ float64) float64 { return s * t },
			func(_, c, _, _ float64) float64 { return c }},
		{"lean east", Mount{LeanEast: d}, func(_, c, t, _ float64) float64 { return -c * t },
			func(s, _, _, _ float64) float64 { return s }},
		{"squareness", Mount{Squareness: d}, func(_, _, t, _ float64) float64 { return t }, nil},
		{"collimation", Mount{Collimation: d}, func(_, _, _, c float64) float64 { return 1 / c }, nil},
		{"sag", Mount{Sag: d}, nil, func(_, _, _, c float64) float64 { return c }},
		{"second sag", Mount{SagSin: d}, nil, func(_, _, s, _ float64) float64 { return s }},
		{"eccentric sine", Mount{EccentricSin: d}, func(s, _, _, _ float64) float64 { return s }, nil},
		{"eccentric cosine", Mount{EccentricCos: d}, func(_, c, _, _ float64) float64 { return c }, nil},
	}
	for _, row := range rows {
		for azimuth := 5.0; azimuth < 360; azimuth += 40 {
			for _, elevation := range []float64{5, 30, 70} {
				sinA, cosA := math.Sincos(azimuth * math.Pi / 180)
				sinE, cosE := math.Sincos(elevation * math.Pi / 180)
				wantA, wantE := 0.0, 0.0
				if row.az != nil {
					wantA = size * row.az(sinA, cosA, sinE/cosE, cosE)
				}
				if row.el != nil {
					wantE = size * row.el(sinA, cosA, sinE, cosE)
				}
				a, e := reading(row.mount, azimuth, elevation)
				if math.Abs(a-azimuth-wantA) > 1e-6 || math.Abs(e-elevation-wantE) > 1e-6 {
					t.Errorf("%s at %v, %v: %.7f, %.7f degrees, want %.7f, %.7f", row.name, azimuth, elevation,
						a-azimuth, e-elevation, wantA, wantE)
				}
			}
		}
	}
}
