package noise

import (
	"math"
	"testing"
	"time"
)

// Values: worked out apart from the same formulas (computed), aperture efficiency 0.55.
func TestDish(t *testing.T) {
	for _, row := range []struct{ m, mhz, degrees, dBi float64 }{
		{3, 1296, 5.40, 29.60}, {3, 2304, 3.04, 34.60}, {3, 10368, 0.675, 47.67}, {7, 1296, 2.31, 36.96},
		{5, 5760, 0.729, 47.00}, {7, 10368, 0.289, 55.03}, {7, 24048, 0.125, 62.33},
	} {
		near(t, "half-power beamwidth", HalfPower(row.mhz*1e6, row.m).Deg(), row.degrees, 0.005)
		near(t, "gain", GainDB(row.mhz*1e6, row.m, 0.55), row.dBi, 0.01)
	}
	for off, want := range map[float64]float64{0: 0, 0.1: 0.12, 0.2: 0.48, 0.25: 0.75, 0.3: 1.08, 0.5: 3.01} {
		near(t, "pointing loss", PointingLossDB(deg(off), deg(1)), want, 0.005)
	}
	for _, row := range []struct{ mm, mhz, want float64 }{{1, 5760, 0.25}, {1, 10368, 0.82}, {2, 10368, 3.28},
		{3, 5760, 2.28}, {1, 24048, 4.41}} {
		near(t, "surface loss", SurfaceLossDB(row.mhz*1e6, row.mm/1000), row.want, 0.01)
	}
}

// Values: an even disc under a Gaussian beam (computed). The usual short form, 1+0.38 r² (published
// in articles on Sun noise), agrees up to r = 1.2.
func TestDiscCorrection(t *testing.T) {
	for ratio, want := range map[float64]float64{0: 1, 0.3: 1.032, 0.5: 1.089, 1: 1.386, 1.5: 1.97, 2: 2.96, 3: 6.25} {
		got := DiscCorrection(deg(ratio), deg(1))
		near(t, "disc correction", got, want, 0.006)
		if ratio > 0 && ratio <= 1.2 {
			near(t, "the short form", 1+0.38*ratio*ratio, got, 0.01)
		}
	}
	near(t, "half the beam", DiscShare(deg(1), deg(1)), 0.5, 1e-12)
	near(t, "share and correction", DiscShare(deg(0.5), deg(0.7))*DiscCorrection(deg(0.5), deg(0.7)), math.Ln2*25/49,
		1e-12)
}

// Source: a published worked case of Sun noise: at 1296 MHz a G/T of 12.22 dB/K gives 14.49 dB
// at 106 sfu and 12.3 dB at 63 sfu (this formula: 14.51 and 12.35).
func TestY(t *testing.T) {
	near(t, "106 sfu", YFromGT(12.22, 106*SolarFluxUnit, 1296e6, 1), 14.49, 0.03)
	near(t, "63 sfu", YFromGT(12.22, 63*SolarFluxUnit, 1296e6, 1), 12.3, 0.06)
	for _, gt := range []float64{-10, 3, 18.84, 35} {
		y := YFromGT(gt, 48*SolarFluxUnit, 1296e6, 1.1)
		near(t, "back", GTFromY(y, 48*SolarFluxUnit, 1296e6, 1.1), gt, 1e-9)
	}
	if got := GTFromY(0, 48*SolarFluxUnit, 1296e6, 1); !math.IsInf(got, -1) {
		t.Errorf("no noise gives %v", got)
	}
	for system, want := range map[float64]float64{50: 8.13, 65: 7.19, 100: 5.74, 150: 4.52} {
		near(t, "ground over cold sky", GroundY(system, 15), want, 0.01)
	}
}

// Values: a dish's expected Sun and Moon noise with the quiet Sun below (computed).
func TestExpectedNoise(t *testing.T) {
	for _, row := range []struct{ m, mhz, systemK, gt, sun, moon float64 }{
		{3, 1296, 65, 11.48, 10.6, 0.07}, {3, 10368, 100, 27.67, 15.2, 1.79}, {7, 1296, 65, 18.84, 17.5, 0.36},
		{7, 10368, 100, 35.03, 19.2, 3.71},
	} {
		hz, beam := row.mhz*1e6, HalfPower(row.mhz*1e6, row.m)
		gt := GainDB(hz, row.m, 0.55) - 10*math.Log10(row.systemK)
		near(t, "G/T", gt, row.gt, 0.01)
		sfu := QuietFlux(row.mhz)
		near(t, "Sun", YFromGT(gt, sfu*SolarFluxUnit, hz, DiscCorrection(deg(0.533), beam)), row.sun, 0.15)
		moon := MoonK(hz, deg(135)) - BackgroundK // the mean, a quarter after the lag
		near(t, "Moon", YFromGT(gt, DiscFlux(hz, moon, deg(0.518)), hz, DiscCorrection(deg(0.518), beam)), row.moon,
			0.05)
	}
}

// Values: the quiet list interpolated apart (computed).
func TestFluxAt(t *testing.T) {
	for mhz, want := range map[float64]float64{432: 25, 1296: 48, 2304: 63, 2800: 70, 5760: 131, 10368: 282, 245: 11,
		15400: 510} {
		got, err := FluxAt(QuietSun(), mhz)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "flux", got, want, 0.7)
	}
	for _, mhz := range []float64{144, 24048, math.NaN()} {
		if _, err := FluxAt(QuietSun(), mhz); err == nil {
			t.Errorf("%v MHz is beyond the reports", mhz)
		}
	}
	for _, bad := range [][]FluxPoint{nil, {{100, 1}}, {{100, 1}, {100, 2}}, {{200, 1}, {100, 2}},
		{{100, -1}, {200, 2}}, {{100, math.NaN()}, {200, 2}}} {
		if _, err := FluxAt(bad, 150); err == nil {
			t.Errorf("%v passes", bad)
		}
	}
}

// Values: both papers' formulas worked out apart (computed).
func TestSourceFlux(t *testing.T) {
	at2016, at1980 := time.Date(2016, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, row := range []struct {
		name      string
		ghz, want float64
		at        time.Time
	}{
		{"Cas A", 0.432, 4278, at2016}, {"Cas A", 1.296, 1876, at2016}, {"Cas A", 2.304, 1197, at2016},
		{"Cas A", 5.76, 707, at1980}, {"Cas A", 10.368, 450, at1980},
		{"Cyg A", 0.432, 4840, at2016}, {"Cyg A", 1.296, 1715, at2016}, {"Cyg A", 10.368, 148, at2016},
		{"Cyg A", 24.048, 51, at2016},
		{"Tau A", 1.296, 844, at2016}, {"Tau A", 5.76, 617, at2016}, {"Tau A", 10.368, 518, at2016},
		{"Vir A", 1.296, 226, at2016}, {"Vir A", 24.048, 19, at2016},
	} {
		got, _, err := SourceFlux(row.name, row.ghz*1e9, row.at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.name, got, row.want, 0.01*row.want+0.5)
	}
	later, _, _ := SourceFlux("Cas A", 1.296e9, at2016.AddDate(10, 0, 0))
	near(t, "Cas A ten years on", later, 1876*0.935, 5)
	for name, hz := range map[string]float64{"Sgr A*": 1e9, "Nowhere": 1e9, "Cas A": 100e9, "Tau A": 10e6} {
		if _, _, err := SourceFlux(name, hz, at2016); err == nil {
			t.Errorf("%s at %v Hz has a flux", name, hz)
		}
	}
}

// Where one paper's spectrum gives way to the other's, the flux doesn't step, and its error says how far the two
// differ.
func TestSourceFluxDoesNotStep(t *testing.T) {
	at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, s := range StrongSources() {
		before, _, _ := s.Flux(2.5e9, at)
		for ghz := 2.5; ghz < 20; ghz *= 1.01 {
			jansky, share, err := s.Flux(ghz*1e9, at)
			if err != nil || math.Abs(jansky/before-1) > 0.02 {
				t.Errorf("%s at %.2f GHz: %.1f after %.1f Jy, %v", s.Name, ghz, jansky, before, err)
			}
			if share < 0.12 && ghz > s.low.toGHz {
				t.Errorf("%s at %.2f GHz is said to be good to %.2f", s.Name, ghz, share)
			}
			before = jansky
		}
	}
}

// Values: the quiet Sun above its list, as a disc of one temperature (computed).
func TestQuietFlux(t *testing.T) {
	near(t, "24 GHz", QuietFlux(24048), 510*(24048.0/15400)*(24048.0/15400), 1e-9)
	if QuietFlux(144) != 0 {
		t.Error("144 MHz is below the list")
	}
}

// Values: the RATAN-600 handbook's formula worked out apart (computed): mean and amplitude.
func TestMoonK(t *testing.T) {
	for _, row := range []struct{ mhz, mean, swing float64 }{{432, 225, 5}, {1296, 225.7, 5}, {2304, 221, 5.5},
		{5760, 213, 9}, {10368, 210, 14}, {24048, 208, 28}} {
		high, low := MoonK(row.mhz*1e6, deg(45)), MoonK(row.mhz*1e6, deg(225))
		near(t, "mean", (high+low)/2, row.mean, 1)
		near(t, "swing", (high-low)/2, row.swing, 1)
	}
}

// Values: ITU-R P.676 line by line (computed), at its frequencies from straight up to 1 degree.
func TestAir(t *testing.T) {
	for _, row := range []struct{ mhz, el, dB, k float64 }{
		{432, 90, 0.020, 1.2}, {1296, 90, 0.033, 2.0}, {10368, 90, 0.053, 3.2}, {24048, 90, 0.398, 24},
		{1296, 30, 0.066, 3.9}, {5760, 30, 0.081, 4.9}, {10368, 10, 0.298, 17.6}, {24048, 10, 2.27, 112},
		{1296, 5, 0.355, 20.6}, {5760, 2, 0.90, 50},
		{432, 2, 0.42, 24}, {432, 1, 0.59, 33}, {1296, 1, 1.03, 57}, {10368, 1, 1.77, 91}, {24048, 1, 15.2, 275},
		{24048, 5, 4.40, 176},
	} {
		near(t, "loss", AirLossDB(row.mhz*1e6, deg(row.el)), row.dB, 0.03*row.dB+0.0006)
		near(t, "noise", AirK(row.mhz*1e6, deg(row.el)), row.k, 0.04*row.k+0.06)
	}
	if low, horizon := AirLossDB(1296e6, deg(-5)), AirLossDB(1296e6, 0); low != horizon {
		t.Errorf("below the horizon %v, on it %v", low, horizon)
	}
	if got := AirLossDB(47e9, deg(30)); !math.IsNaN(got) {
		t.Errorf("at 47 GHz the air is not known, and is %v dB", got)
	}
}

func TestReceiver(t *testing.T) {
	near(t, "receiver", Receiver{NoiseK: 30, LossDB: 0.1}.K(), 290*(math.Pow(10, 0.01)-1)+30*math.Pow(10, 0.01), 1e-9)
}
