package echo

import (
	"math"
	"os"
	"testing"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/noise"
)

func galaxy(t testing.TB) *noise.Sky {
	t.Helper()
	packed, err := os.ReadFile("../../assets/sky408/sky.bin.gz")
	if err != nil {
		t.Fatal(err)
	}
	g, err := noise.ParseSky(packed)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func TestReport(t *testing.T) {
	s, at := sky(t), time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	q := Question{Here: coldHarbour, Air: ephem.DefaultAir(), Hz: 1296e6}
	r := ReportAt(s, galaxy(t), q, at)
	if r.PartnerEl != 0 || r.Mutual != (Signal{}) || r.Polarisation != 0 {
		t.Errorf("figures of a partner that there isn't: %+v", r)
	}
	if r.SunOff.Deg() < 80 || r.SunOff.Deg() > 110 || r.MoonSkyK < noise.BackgroundK || r.MoonSkyK > 10 {
		t.Errorf("Sun %.1f degrees off, sky %.2f K", r.SunOff.Deg(), r.MoonSkyK)
	}
	q.There, q.HasPartner = boston, true
	both := ReportAt(s, galaxy(t), q, at)
	near(t, "mutual loss", both.Mutual.LossDB, both.Own.LossDB, 0.4)
	near(t, "mutual delay", both.Mutual.DelayS, both.Own.DelayS, 0.05)
}

// Values: the integral over the disc worked out apart (computed, numpy), dB, the Moon 0.518 degree.
func TestFilling(t *testing.T) {
	beams := [...]float64{0.25, 0.3, 0.4, 0.5, 0.7, 1, 2, 5}
	for _, row := range []struct {
		mhz  float64
		law  Scattering
		want [8]float64
	}{
		{10368, EvenDisc, [8]float64{7.76, 6.23, 4.11, 2.84, 1.55, 0.78, 0.20, 0.03}},
		{5760, CentreBright, [8]float64{2.88, 2.28, 1.52, 1.07, 0.60, 0.31, 0.08, 0.01}},
		{10368, CentreBright, [8]float64{3.70, 2.94, 1.96, 1.38, 0.77, 0.40, 0.10, 0.02}},
		{24048, CentreBright, [8]float64{5.93, 4.76, 3.18, 2.22, 1.22, 0.63, 0.16, 0.03}},
	} {
		for i, beam := range beams {
			b := Beam{Hz: row.mhz * 1e6, HalfPower: deg(beam), Law: row.law}
			near(t, "filling", b.FillingDB(deg(0.259)), row.want[i], 0.006)
			if row.law == EvenDisc { // the closed form
				y := 2 * math.Ln2 * 0.518 * 0.518 / beam / beam
				near(t, "closed form", b.FillingDB(deg(0.259)), -10*math.Log10(-math.Expm1(-y)/y), 1e-4)
			}
		}
	}
	// A wide beam off the Moon loses twice the loss of a Gaussian beam, a narrow one less.
	wide, narrow := Beam{Hz: 1296e6, HalfPower: deg(5)}, Beam{Hz: 10368e6, HalfPower: deg(0.3)}
	near(t, "a wide beam off by 1 degree", wide.PointingDB(deg(0.259), deg(1)), 24.08*0.04, 0.01)
	if loss := narrow.PointingDB(deg(0.259), deg(0.15)); loss > 24.08*0.25*0.9 || loss < 1 {
		t.Errorf("a narrow beam off by half its width loses %.2f dB", loss)
	}
	pair := Beam{Hz: 10368e6, HalfPower: deg(0.3), Back: deg(0.3)}
	near(t, "two alike", pair.FillingDB(deg(0.259)), narrow.FillingDB(deg(0.259)), 1e-12)
}

// The Doppler's uncertainty is that of a place that is a cell's width away: worked out by moving the site.
func TestAccuracyAgainstAMovedSite(t *testing.T) {
	s, hz := sky(t), 10368e6
	at := time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)
	largest := 0.0
	for _, turn := range []float64{0, 90, 180, 270} {
		moved := coldHarbour
		moved.Lat += deg(0.0009 * math.Cos(turn*math.Pi/180)) // 0.1 km
		moved.Lon += deg(0.0016 * math.Sin(turn*math.Pi/180))
		for hour := range 24 {
			then := at.Add(time.Duration(hour) * time.Hour)
			largest = max(largest, math.Abs(signalOn(s, moved, moved, hz, then).DopplerHz-signalOn(s, coldHarbour,
				coldHarbour,
				hz, then).DopplerHz))
		}
	}
	within := AccuracyOf(hz, 150, ephem.SiteKm, false)
	if within.DopplerHz < largest || within.DopplerHz > 4*largest {
		t.Errorf("0.1 km shift the Doppler by %.3f Hz, the accuracy is %.3f Hz", largest, within.DopplerHz)
	}
	// Maidenhead: 2 × 1 degree, 5′ × 2.5′, 30″ × 15″; half the diagonal of a cell is 1.7 times its standard deviation.
	for characters, halfDiagonal := range map[int]float64{4: 90.6, 6: 3.78, 8: 0.378} {
		near(t, "cell", CellKm(characters)*math.Sqrt(3), halfDiagonal, 0.02*halfDiagonal)
	}
}
