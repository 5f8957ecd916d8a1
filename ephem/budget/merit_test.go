package budget

import (
	"math"
	"testing"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
)

// Two invented stations.
var (
	coldHarbour = ephem.Site{Lat: deg(55.02), Lon: deg(-2.96), HeightM: 190}
	boston      = ephem.Site{Lat: deg(42.36), Lon: deg(-71.06), HeightM: 10}
)

// listener is the invented station's on 1296 MHz.
func listener(t testing.TB) Listener {
	t.Helper()
	p, err := noise.NewPattern(noise.Dish{Hz: 1296e6, DiameterM: 5.6, Efficiency: 0.55})
	if err != nil {
		t.Fatal(err)
	}
	return Listener{Pattern: p, Receiver: noise.Receiver{NoiseK: 40},
		Place: Place{Site: coldHarbour, Air: ephem.DefaultAir(), SolarFlux: math.NaN()}}
}

// The rule holds for made-up reports.
func TestWorthRule(t *testing.T) {
	q := echo.Question{Hz: 1296e6}
	limits := Limits{Min: deg(5), SunLeft: deg(5)}
	coldK := listener(t).ColdK()
	cold := echo.Report{MoonEl: deg(coldEl), SunOff: deg(90)}
	near(t, "perigee under the cold sky", WorthOf(cold, q, coldK, coldK, limits).Merit, 1, 1e-9)
	far := cold
	far.Own.AbovePerigeeDB = 1.9
	near(t, "apogee", WorthOf(far, q, coldK, coldK, limits).Merit, 1-1.9/6, 1e-9)
	w := WorthOf(cold, q, coldK+25, coldK, limits)
	near(t, "the Galaxy behind", w.Merit, 1-w.NoiseDB/6, 1e-9)
	if w.NoiseDB < 1 || w.NoiseDB > 2 {
		t.Errorf("25 K more than %.1f K give %.2f dB", coldK, w.NoiseDB)
	}
	low, near5 := cold, cold
	low.MoonEl, near5.SunOff = deg(4), deg(4)
	if w := WorthOf(low, q, coldK, coldK, limits); w.Merit != 0 || !w.TooLow {
		t.Errorf("too low: %+v", w)
	}
	if w := WorthOf(near5, q, coldK, coldK, limits); w.Merit != 0 || !w.SunTooNear {
		t.Errorf("the Sun too near: %+v", w)
	}
	pair := q
	pair.HasPartner = true
	if w := WorthOf(cold, pair, coldK, coldK, limits); !w.TooLow {
		t.Errorf("too low there: %+v", w)
	}
	// Where the air isn't known, the path alone counts.
	if w := WorthOf(far, q, math.NaN(), math.NaN(), limits); w.NoiseDB != 0 || math.Abs(w.Merit-(1-1.9/6)) > 1e-9 {
		t.Errorf("no air: %+v", w)
	}
}

func TestMeritAtIsTheReportsMerit(t *testing.T) {
	s, g, l := sky(t), galaxy(t), listener(t)
	q := echo.Question{Here: coldHarbour, Air: ephem.DefaultAir(), Hz: 1296e6, HalfPower: l.Pattern.HalfPower,
		There: boston, HasPartner: true}
	limits := Limits{Min: deg(2), SunLeft: deg(6)}
	coldK, up := l.ColdK(), 0
	for at := time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC); at.Month() == 4; at = at.Add(83 * time.Minute) {
		merit := WorthAt(s, g, q, l, coldK, limits, at).Merit
		r := echo.ReportAt(s, g, q, at)
		near(t, "merit", merit, WorthOf(r, q, l.SkyNoiseK(s, g, at), coldK, limits).Merit, 1e-3)
		if merit > 0 {
			up++
		}
	}
	if up < 100 {
		t.Errorf("worth something at %d instants", up)
	}
}

// Feeds that stand at 45 degrees to each other cost half of the power.
func TestPolarisationLoss(t *testing.T) {
	if math.Abs(echo.PolarisationLossDB(deg(45))-3.01) > 0.01 {
		t.Error("45 degrees don't cost 3 dB")
	}
}

// A counterpart of 3 m with 90 K: what it hears with the beam on the Moon under a cold sky comes to that again.
func TestCounterpartHearsWhatWasEntered(t *testing.T) {
	dish := noise.Dish{Hz: 10368e6, DiameterM: 3, Efficiency: 0.55}
	l, err := CounterpartListener(dish, noise.Receiver{NoiseK: 10}, 150)
	if err != nil {
		t.Fatal(err)
	}
	// The Moon on the axis of a beam of 0.675 degrees gives 51 K (computed: the reference table of expected values).
	if k := l.ColdK() + 51; math.Abs(k-150) > 3 {
		t.Errorf("%.1f K with the Moon, entered 150", k)
	}
	if l, _ = CounterpartListener(dish, noise.Receiver{NoiseK: 10}, 0); l.Receiver.NoiseK != 10 {
		t.Errorf("a receiver of %v K where nothing is entered", l.Receiver.NoiseK)
	}
	dish.DiameterM = 0
	if _, err = CounterpartListener(dish, noise.Receiver{}, 100); err == nil {
		t.Error("no dish hears")
	}
}
