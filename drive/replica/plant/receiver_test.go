package plant

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
)

// bare is a receiver without ground, air and lobes, of this system noise.
func bare(mhz, system float64) Band {
	b := DefaultBand(mhz, 0)
	b.Spill, b.ZenithLossDB, b.SkyK, b.ReceiverK, b.SidelobeDB = 0, 0, 2.7, system-2.7, -60
	b.SquintCross, b.SquintUp = 0, 0
	return b
}

// TestSunAndMoonNoise against figures worked out elsewhere from G/T and flux
// (efficiency 0.55, 70 wavelengths over diameter).
func TestSunAndMoonNoise(t *testing.T) {
	at := unit.AngleFromDeg(60)
	rows := []struct {
		diameter, mhz, system, sunSFU, sunDB, moonDB float64
	}{
		{3, 1296, 65, 48, 10.6, 0.07},
		{3, 2304, 70, 63, 11.3, 0.19},
		{3, 10368, 100, 282, 15.2, 1.79},
		{7, 1296, 65, 48, 17.5, 0.36},
		{7, 2304, 70, 63, 18.2, 0.92},
		{7, 10368, 100, 282, 19.2, 3.71},
	}
	for _, row := range rows {
		b, d := bare(row.mhz, row.system), Dish{DiameterM: row.diameter}
		ratio := func(s Source) float64 {
			var sky Sky
			s.SFU[1] = 0
			sky.Sun = s
			seen := b.antenna(d, 0, &sky, direction(0, at.Rad()))
			return 10 * math.Log10((seen.antennaK+b.ReceiverK)/(seen.coldK+b.ReceiverK))
		}
		sun := Source{Elevation: at, Diameter: unit.AngleFromDeg(0.533), SFU: [MaxBands]float64{row.sunSFU}}
		moon := Source{Elevation: at, Diameter: unit.AngleFromDeg(0.518), TemperatureK: 222}
		// The table's Moon is 210 to 226 K by frequency, less the background.
		if got := ratio(sun); math.Abs(got-row.sunDB) > 0.15 {
			t.Errorf("%g m, %g MHz: Sun %.2f dB, want %.1f within 0.15", row.diameter, row.mhz, got, row.sunDB)
		}
		if got := ratio(moon); math.Abs(got-row.moonDB) > 0.03+0.06*row.moonDB {
			t.Errorf("%g m, %g MHz: Moon %.2f dB, want %.2f within 6 %%", row.diameter, row.mhz, got, row.moonDB)
		}
	}
}

// TestSunNoisePublished: a published worked case, 1296 MHz, G/T 12.22 dB/K:
// 14.49 dB at 106 sfu, 12.3 dB at 63 sfu.
func TestSunNoisePublished(t *testing.T) {
	const lambda = 299.792458 / 1296
	b := bare(1296, 60)
	// The diameter that gives this G/T with 60 K.
	gain := math.Pow(10, 1.222) * 60
	d := Dish{DiameterM: math.Sqrt(gain/b.Efficiency) * lambda / math.Pi}
	for _, row := range []struct{ sfu, want float64 }{{106, 14.49}, {63, 12.3}} {
		var sky Sky
		sky.Sun = Source{Elevation: 1, SFU: [MaxBands]float64{row.sfu}}
		seen := b.antenna(d, 0, &sky, direction(0, 1))
		if got := 10 * math.Log10((seen.antennaK+b.ReceiverK)/60); math.Abs(got-row.want) > 0.06 {
			t.Errorf("%g sfu: %.2f dB, want %.2f within 0.06", row.sfu, got, row.want)
		}
	}
}

// TestResponse: at the centre of a disc the exact factor, far from small discs
// the beam itself, and what a square grid gives in between.
func TestResponse(t *testing.T) {
	width := unit.AngleFromDeg(0.7)
	for _, ratio := range []float64{0.3, 0.5, 1, 1.5, 2, 3} {
		diameter := width.Mul(ratio)
		x := math.Ln2 * ratio * ratio
		if got, want := Response(0, width, diameter), (1-math.Exp(-x))/x; math.Abs(got/want-1) > 2e-4 {
			t.Errorf("disc %g beams wide: %.5f at its centre, want %.5f", ratio, got, want)
		}
		for _, off := range []float64{0.3, 0.8, 1.5} {
			const n = 400
			sum, count := 0.0, 0.0
			for i := range n {
				for j := range n {
					x, y := (float64(i)+0.5)/n*2-1, (float64(j)+0.5)/n*2-1
					if x*x+y*y > 1 {
						continue
					}
					r := math.Hypot(off-x*ratio/2, y*ratio/2)
					sum += gaussian(r, 1)
					count++
				}
			}
			if got, want := Response(width.Mul(off), width, diameter), sum/count; math.Abs(got-want) > 1e-3 {
				t.Errorf("disc %g beams wide, %g beams off: %.4f, a grid gives %.4f", ratio, off, got, want)
			}
		}
	}
	if got := Response(width.Div(2), width, 0); math.Abs(got-0.5) > 1e-12 {
		t.Errorf("half a beamwidth off a point gives %v, want one half", got)
	}
}

// TestAir: loss through the atmosphere at 1296 MHz, as a ray trace by ITU-R
// P.676 gives it (computed elsewhere).
func TestAir(t *testing.T) {
	for _, row := range []struct{ elevation, lossDB float64 }{{90, 0.033}, {30, 0.066}, {10, 0.187}, {5, 0.355},
		{2, 0.72}, {1, 1.03}} {
		got := 0.033 * airMass(row.elevation*math.Pi/180)
		if math.Abs(got/row.lossDB-1) > 0.03 {
			t.Errorf("%g degrees: %.3f dB, want %.3f within 3 %%", row.elevation, got, row.lossDB)
		}
	}
}

func TestQuietSun(t *testing.T) {
	for _, row := range []struct{ mhz, want float64 }{{432, 25}, {1296, 48}, {2304, 63}, {2800, 70}, {5760, 131},
		{10368, 282}} {
		if got := QuietSunSFU(row.mhz); math.Abs(got/row.want-1) > 0.025 {
			t.Errorf("%g MHz: %.1f sfu, want %g within 2.5 %% (same interpolation, computed elsewhere)", row.mhz, got,
				row.want)
		}
	}
	if got, want := QuietSunSFU(30800), 4*510.0; math.Abs(got/want-1) > 1e-9 {
		t.Errorf("30800 MHz: %.0f sfu, want %.0f, four times that of 15400", got, want)
	}
}

// TestGround: a beam half below the horizon sees half ground; higher up the
// spill remains.
func TestGround(t *testing.T) {
	b := bare(1296, 60)
	d := Dish{DiameterM: 5.6}
	var sky Sky
	half := b.antenna(d, 0, &sky, direction(0, 0)).antennaK
	if want := (2.7 + 290) / 2; math.Abs(half-want) > 0.5 {
		t.Errorf("at the horizon %.1f K, want %.1f", half, want)
	}
	b.Spill = 0.04
	if high := b.antenna(d, 0, &sky, direction(0, 1)).antennaK; math.Abs(high-(0.96*2.7+0.04*290)) > 0.1 {
		t.Errorf("high up %.1f K", high)
	}
}

// TestRadiometer: the spread of 100 ms means is 1/sqrt(bandwidth times time) of
// the system noise, in dB through the slope.
func TestRadiometer(t *testing.T) {
	c := still()
	c.Bands[0].DriftDB = 0
	p := open(t, c)
	drive(p, 1, 0, 0)
	in := Input{Elapsed: 5 * time.Millisecond, Outputs: enclosure.OutputPreamplifier}
	sum, squares := 0.0, 0.0
	const n = 400
	for range n {
		mean := 0.0
		for range 20 {
			mean += p.Step(in).DetectorUV / 20
		}
		level := mean / 1000 / c.Bands[0].SlopeMVPerDB
		sum += level
		squares += level * level
	}
	deviation := math.Sqrt(squares/n - sum*sum/n/n)
	if want := 10 / math.Ln10 / math.Sqrt(2.5e6*0.1); math.Abs(deviation/want-1) > 0.15 {
		t.Errorf("100 ms means spread by %.5f dB, want %.5f within 15 %%", deviation, want)
	}
	// The level itself, from the truth.
	b := c.Bands[0]
	want := b.powerDBm(p.Truth().SystemK) - b.ZeroDBm
	if got := sum / n; math.Abs(got-want) > 0.05 {
		t.Errorf("level %.3f dB above zero, want %.3f", got, want)
	}
}

// TestPeakIsWhereTheBeamIs: scanned across the Moon's noise the level is
// greatest where truth says that the beam meets it, with a mount out of true.
func TestPeakIsWhereTheBeamIs(t *testing.T) {
	c := still()
	c.Mount = Mount{EncoderAzimuth: unit.AngleFromDeg(0.7), Collimation: unit.AngleFromDeg(0.2),
		LeanEast: unit.AngleFromDeg(0.1)}
	p := open(t, c)
	sun := Sun(unit.AngleFromDeg(183), p.Truth().Elevation)
	p.SetSky(Sky{Sun: sun})
	best, at := 0.0, 0.0
	for range 1200 {
		drive(p, 0.02, 0.2, 0)
		if truth := p.Truth(); truth.SystemK > best {
			best, at = truth.SystemK, truth.Azimuth.Deg()
		}
	}
	if math.Abs(at-183) > 0.05 {
		t.Errorf("most noise with the beam at %.3f degrees, the source is at 183", at)
	}
	cold := p.Truth().ColdK
	if best < 3*cold {
		t.Errorf("the Sun gives %.0f K over %.0f K", best, cold)
	}
}
