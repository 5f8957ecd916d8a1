package mount

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"
	"pgregory.net/rapid"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// The synthetic case was worked out independently of this package from the
// terms as published (GILDAS manual, node 3), to five decimals.
func TestModelTable(t *testing.T) {
	m := Model{AzZero: deg(.850), ElZero: deg(-.320), LeanNorth: deg(.060), LeanEast: deg(-.040), AxesSkew: deg(.050),
		Collimation: deg(.120), Sag: deg(-.090)}
	for _, c := range [][4]float64{
		{80, 12, 0.99734, -0.43701}, {100, 22, 1.02069, -0.45326}, {120, 33, 1.04631, -0.46012},
		{150, 44, 1.06062, -0.45670},
		{180, 50, 1.04860, -0.43785}, {210, 44, 1.00268, -0.41670}, {240, 33, 0.97882, -0.39084},
		{260, 22, 0.97295, -0.37447},
		{280, 12, 0.97223, -0.35822}, {95, 60, 1.27409, -0.41008}, {140, 68, 1.31371, -0.42539},
		{185, 72, 1.25348, -0.40410},
		{225, 66, 1.09851, -0.37075}, {265, 58, 1.05523, -0.33307}, {120, 15, 0.99619, -0.47157},
		{200, 20, 0.97475, -0.44727},
	} {
		dAz, dEl := m.Correction(deg(c[0]), deg(c[1]))
		if math.Abs(dAz.Deg()-c[2]) > 6e-6 || math.Abs(dEl.Deg()-c[3]) > 6e-6 {
			t.Errorf("at %v, %v: correction %.5f %.5f, want %.5f %.5f", c[0], c[1], dAz.Deg(), dEl.Deg(), c[2], c[3])
		}
	}
}

// A lean of 0.06 degrees north seen exactly, by turning the sphere, against the
// first-order terms: they agree to a few 1e-5 degree.
func TestModelLeanAgainstExactRotation(t *testing.T) {
	lean := deg(0.06)
	for _, c := range [][2]float64{{30, 40}, {120, 20}, {250, 60}, {0, 10}} {
		az, el := deg(c[0]), deg(c[1])
		// North n, east e, up u; the axis leans north by turning about east.
		sinE, cosE := el.Sincos()
		sinA, cosA := az.Sincos()
		n, e, u := cosE*cosA, cosE*sinA, sinE
		sinL, cosL := lean.Sincos()
		n, u = n*cosL-u*sinL, n*sinL+u*cosL
		exactAz := math.Remainder(math.Atan2(e, n)-az.Rad(), 2*math.Pi)
		exactEl := math.Asin(u) - el.Rad()
		dAz, dEl := Model{LeanNorth: lean}.Correction(az, el)
		if math.Abs(dAz.Rad()-exactAz) > deg(3e-4).Rad() || math.Abs(dEl.Rad()-exactEl) > deg(3e-4).Rad() {
			t.Errorf("at %v: correction %.6f %.6f, exact %.6f %.6f degrees", c, dAz.Deg(), dEl.Deg(),
				exactAz*180/math.Pi, exactEl*180/math.Pi)
		}
	}
}

func TestChainInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := func(name string, low, high float64) unit.Angle {
			return deg(rapid.Float64Range(low, high).Draw(t, name))
		}
		c := Chain{
			Trim:   Offset{angle("trim cross", -2, 2), angle("trim el", -2, 2)},
			Squint: Offset{angle("squint cross", -2, 2), angle("squint el", -2, 2)},
			Model: Model{AzZero: angle("az zero", -20, 20), ElZero: angle("el zero", -2, 2),
				LeanNorth: angle("lean north", -.3, .3),
				LeanEast:  angle("lean east", -.3, .3), AxesSkew: angle("skew", -.3, .3),
				Collimation: angle("collimation", -.5, .5),
				Sag:         angle("sag", -.5, .5), AzSin: angle("az sin", -.2, .2), AzCos: angle("az cos", -.2, .2)},
		}
		sky := SkyDirection{angle("az", -45, 405), angle("el", 0, 80)}
		back := c.Sky(c.Axes(sky))
		if off := Apart(sky, back); off.Deg() > 1e-8 ||
			math.Abs((back.Az-sky.Az).Deg()) > 1e-6 {
			t.Fatalf("%v went to %v and back to %v", sky, c.Axes(sky), back)
		}
	})
}

func TestOffsetInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := func(name string, low, high float64) unit.Angle {
			return deg(rapid.Float64Range(low, high).Draw(t, name))
		}
		d := SkyDirection{angle("az", -45, 405), angle("el", -5, 85)}
		o := Offset{angle("cross", -4, 4), angle("el offset", -4, 4)}
		to := d.Shift(o)
		if back := d.OffsetTo(to); math.Abs((back.Cross-o.Cross).Deg()) > 1e-9 ||
			math.Abs((back.El-o.El).Deg()) > 1e-9 {
			t.Fatalf("offset %v came back as %v", o, back)
		}
		// The angle travelled obeys the spherical right triangle: cos = cos c cos e.
		want := math.Acos(math.Cos(o.Cross.Rad()) * math.Cos(o.El.Rad()))
		if got := Between(d.Az, d.El, to.Az, to.El).Rad(); math.Abs(got-want) > 1e-7 {
			t.Fatalf("%v moved by %v, want %v rad", o, got, want)
		}
		b := d.Boresight(o)
		if SkyDirection(b) != to {
			t.Fatalf("%v shifted to %v, its boresight is %v", d, to, b)
		}
		if from := b.Sky(o); Apart(from, d).Deg() > 1e-8 {
			t.Fatalf("%v has the boresight %v, and that is for %v", d, b, from)
		}
	})
}

// At 60 degrees of elevation a degree of cross-elevation is two of azimuth (small angles: 1/cos E).
func TestOffsetCrossGrowsWithElevation(t *testing.T) {
	d := SkyDirection{deg(100), deg(60)}
	to := d.Shift(Offset{Cross: deg(0.01)})
	if got := (to.Az - d.Az).Deg(); math.Abs(got-0.02) > 1e-6 {
		t.Errorf("azimuth moved by %v degrees, want 0.02", got)
	}
}
