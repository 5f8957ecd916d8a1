package plant

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"
)

// TestGusts: mean and turbulence come out as they were set, gusts forget
// themselves within seconds, and the sensor's figures follow.
func TestGusts(t *testing.T) {
	w := weather{chance: seeded(5, 5)}
	c := Wind{MeanMPS: 10, Turbulence: 0.18}
	const h, n = 0.01, 400000 // 4000 s
	speeds := make([]float64, n)
	sum, squares, above := 0.0, 0.0, 0.0
	for i := range speeds {
		w.blow(&c, h)
		speeds[i] = w.speedMPS
		sum += w.speedMPS
		squares += w.speedMPS * w.speedMPS
		above = max(above, w.gust)
	}
	mean := sum / n
	deviation := math.Sqrt(squares/n - mean*mean)
	if math.Abs(mean-10) > 1 {
		t.Errorf("mean %.2f m/s, want 10 within 1 (its own slow wander included)", mean)
	}
	if part := deviation / mean; part < 0.15 || part > 0.25 {
		t.Errorf("turbulence %.3f of the mean, want 0.15 to 0.25 (common figures for open country)", part)
	}
	correlation := func(seconds float64) float64 {
		shift := int(seconds / h)
		product := 0.0
		for i := 0; i+shift < n; i++ {
			product += (speeds[i] - mean) * (speeds[i+shift] - mean)
		}
		return product / float64(n-shift) / (deviation * deviation)
	}
	// Correlation of the two noises, and what the slow mean adds.
	for _, row := range []struct{ seconds, want, tolerance float64 }{
		{1, 0.7*math.Exp(-1/8.0) + 0.3*math.Exp(-1/0.8), 0.12}, {5, 0.7 * math.Exp(-5/8.0), 0.2},
	} {
		if got := correlation(row.seconds); math.Abs(got-row.want) > row.tolerance {
			t.Errorf("correlation after %g s %.2f, want %.2f within %.2f", row.seconds, got, row.want, row.tolerance)
		}
	}
	if above < mean+1.5*deviation || above > mean+6*deviation {
		t.Errorf("greatest gust of 10 s %.1f m/s with mean %.1f and deviation %.1f", above, mean, deviation)
	}
	t.Logf("mean %.2f, deviation %.2f, greatest %.1f m/s", mean, deviation, above)
}

// TestWindTorque: half density times speed squared times area, diameter and
// coefficient. At D=5 and 7 m and a coefficient of 0.12, in kN m (values
// computed elsewhere from that formula).
func TestWindTorque(t *testing.T) {
	rows := []struct{ diameter, speed, want float64 }{
		{7, 10, 2.0}, {7, 20, 7.9}, {7, 33, 21.6}, {5, 10, 0.72}, {5, 25, 4.5}, {5, 40, 11.5},
	}
	for _, row := range rows {
		c := Default()
		c.Dish = Dish{DiameterM: row.diameter, Solidity: 1}
		greatest, at := 0.0, 0.0
		for yaw := 0.0; yaw <= 180; yaw++ {
			w := weather{speedMPS: row.speed, from: yaw * math.Pi / 180}
			for range 400 {
				w.press(&c, 0, 0, 0.01)
			}
			if torque := -w.torque[0] / 1000; torque > greatest {
				greatest, at = torque, yaw
			}
		}
		if math.Abs(greatest/row.want-1) > 0.04 {
			t.Errorf("%g m, %g m/s: greatest torque %.2f kN m, want %.2f within 4 %%", row.diameter, row.speed,
				greatest, row.want)
		}
		if at < 110 || at > 130 {
			t.Errorf("greatest torque at %g degrees from the beam, want 110 to 130 (from memory)", at)
		}
	}
	// By symmetry: none from the front, the other way from the other side.
	c := Default()
	side := func(yaw float64) float64 {
		w := weather{speedMPS: 10, from: yaw * math.Pi / 180}
		for range 400 {
			w.press(&c, 0, 0.5, 0.01)
		}
		return w.torque[0]
	}
	if side(0) != 0 || math.Abs(side(80)+side(-80)) > 1e-6 || side(80) >= 0 {
		t.Errorf("torque from the front %.1f, from right %.1f and left %.1f Nm", side(0), side(80), side(-80))
	}
}

// TestWindBends: the beam gives way as torque over stiffness.
func TestWindBends(t *testing.T) {
	c := still()
	c.Wind = Wind{MeanMPS: 12, Direction: unit.AngleFromDeg(180 + 117), Turbulence: 0}
	p := open(t, c)
	rest(p, 5)
	sum, torque := 0.0, 0.0
	for range 600 {
		rest(p, 0.05)
		sum += p.axes[0].dish - p.axes[0].hub
		torque += p.weather.torque[0]
	}
	if want := torque / p.axes[0].spring; math.Abs(sum/want-1) > 0.05 {
		t.Errorf("bent by %.5f degrees, torque over stiffness is %.5f", sum/600*180/math.Pi, want/600*180/math.Pi)
	}
}

// TestWindAndFlanks: a strong wind from the side holds the dish on one side of
// the backlash, one from behind throws it from side to side within minutes; a
// light one leaves it where friction holds it.
func TestWindAndFlanks(t *testing.T) {
	for _, row := range []struct {
		name             string
		yaw, speed       float64
		minimum, maximum int
	}{
		{"light, from the front", 0, 2, 0, 0},
		{"strong, from the side", 117, 14, 1, 1},
		{"strong, from behind", 180, 14, 6, 200},
	} {
		c := Default()
		c.Wind = Wind{MeanMPS: row.speed, Direction: c.Axes[0].Place + unit.AngleFromDeg(row.yaw), Turbulence: 0.2}
		p := open(t, c)
		changes, flank := 0, 0.0
		for range 240 * 100 {
			rest(p, 0.01)
			m := &p.axes[0]
			if gap := (m.hub - m.motor) / m.half; math.Abs(gap) > 0.8 && gap*flank <= 0 {
				changes, flank = changes+1, gap
			}
		}
		if changes < row.minimum || changes > row.maximum {
			t.Errorf("%s: the dish came to another flank %d times in 4 minutes, want %d to %d", row.name, changes,
				row.minimum, row.maximum)
		}
	}
}

func TestWeatherAndMountCanChange(t *testing.T) {
	p := open(t, still())
	if err := p.SetWind(Wind{MeanMPS: 20, Turbulence: 0.2}); err != nil {
		t.Fatal(err)
	}
	rest(p, 2)
	if now := p.Truth().WindMPS; now < 8 {
		t.Errorf("after setting 20 m/s it blows at %.1f m/s", now)
	}
	if p.SetWind(Wind{MeanMPS: -1}) == nil || p.SetMount(Mount{Sag: unit.AngleFromDeg(40)}) == nil {
		t.Error("a wind below 0 or a sag of 40 degrees was taken")
	}
	before := p.Truth().Elevation
	if err := p.SetMount(Mount{EncoderElevation: unit.AngleFromDeg(0.5)}); err != nil {
		t.Fatal(err)
	}
	if moved := (before - p.Truth().Elevation).Deg(); math.Abs(moved-0.5) > 0.01 {
		t.Errorf("half a degree of encoder zero moved the beam by %.3f degrees", -moved)
	}
}
