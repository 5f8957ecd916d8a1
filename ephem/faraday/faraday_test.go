package faraday

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"
)

func deg(d float64) unit.Angle { return unit.AngleFromDeg(d) }

var at = time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)

func near(t *testing.T, name string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s %v, want %v within %v", name, got, want, within)
	}
}

// Computed from the constants of CODATA 2018: e³/(8π²ε₀m²c).
func TestConstant(t *testing.T) {
	const e, m, eps, c = 1.602176634e-19, 9.1093837015e-31, 8.8541878128e-12, 299792458.0
	near(t, "constant", turnPer, e*e*e/(8*math.Pi*math.Pi*eps*m*m*c), 1)
}

// Source: Recommendation ITU-R P.531, table of ionospheric effects for 10¹⁸ electrons a square
// metre, one-way: 1.2 turns at 0.5 GHz, 108 degrees at 1, 12 at 3, 1.1 at 10 GHz (from memory): the
// inverse square of the frequency.
func TestFallsWithTheSquareOfFrequency(t *testing.T) {
	p := func(ghz float64) float64 {
		return PathOf(ghz*1e9, deg(50), deg(0), deg(180), deg(30), Electrons{100, 10}, at).Turn.Deg()
	}
	for ghz, want := range map[float64]float64{0.5: 432, 3: 12, 10: 1.08} {
		near(t, "ratio", p(ghz)/p(1), want/108, 1e-9)
	}
	if turn := p(1); turn < 40 || turn > 140 {
		t.Errorf("%v degrees at 1 GHz", turn)
	}
}

// Values from memory of the full model: total field and inclination of the ground. A dipole misses
// them by its own claim at most.
func TestField(t *testing.T) {
	for _, row := range []struct{ lat, lon, nT, dip float64 }{{55, -3, 49700, 69}, {42, -71, 51500, 66},
		{-35, 149, 58000, -66}, {0, -60, 29000, 18}} {
		sinLat, cosLat := deg(row.lat).Sincos()
		sinLon, cosLon := deg(row.lon).Sincos()
		up := vector{cosLat * cosLon, cosLat * sinLon, sinLat}
		b := field(up.times(earthKm), at)
		down := -b.dot(up)
		want := row.nT * 1e-9 * math.Sin(row.dip*math.Pi/180)
		near(t, "vertical component", down, want, 2*math.Hypot(fieldShare*want, 2*fieldT))
	}
}

// Independent of the shell: the integral of field times density along the ray through a Chapman layer, step by step.
func TestAgainstAnIntegralThroughALayer(t *testing.T) {
	const peakKm, scaleKm, tecu = 350.0, 65.0, 25.0
	density := func(heightKm float64) float64 { // normalised to 1 electron a square metre, vertical
		z := (heightKm - peakKm) / scaleKm
		return math.Exp(0.5*(1-z-math.Exp(-z))) / (scaleKm * 1e3 * math.Sqrt(2*math.Pi*math.E))
	}
	for _, row := range []struct{ lat, lon, az, el float64 }{{55, -3, 120, 25}, {55, -3, 200, 60}, {42, -71, 250, 15},
		{-35, 149, 40, 40}} {
		p := PathOf(432e6, deg(row.lat), deg(row.lon), deg(row.az), deg(row.el), Electrons{tecu, 5}, at)
		sinLat, cosLat := deg(row.lat).Sincos()
		sinLon, cosLon := deg(row.lon).Sincos()
		sinEl, cosEl := deg(row.el).Sincos()
		sinAz, cosAz := deg(row.az).Sincos()
		dir := vector{
			cosLat*cosLon*sinEl - sinLon*cosEl*sinAz - sinLat*cosLon*cosEl*cosAz,
			cosLat*sinLon*sinEl + cosLon*cosEl*sinAz - sinLat*sinLon*cosEl*cosAz, sinLat*sinEl + cosLat*cosEl*cosAz,
		}
		sum, vertical := 0.0, 0.0
		for s := 0.5; s < 6000; s++ {
			place := vector{cosLat * cosLon, cosLat * sinLon, sinLat}.times(earthKm).plus(dir.times(s))
			sum += density(place.length()-earthKm) * tecu * 1e16 * -field(place, at).dot(dir) * 1e3
			vertical += density(s) * 1e3
		}
		near(t, "the layer's content", vertical, 1, 0.02)
		whole := 2.365e4 * sum / (432e6 * 432e6)
		near(t, "turn", p.Turn.Rad()/whole, 1, 0.08)
		if p.Slant < 1 || p.Slant > 3.2 || p.Within <= 0 {
			t.Errorf("slant %v, within %v", p.Slant, p.Within.Deg())
		}
		t.Logf("%+v: own echo turns %.0f ±%.0f degrees", row, 2*p.Turn.Deg(), 2*p.Within.Deg())
	}
}

// By vectors: a plane is carried from one station to the other and back, turned about the same field both ways.
func TestDirectionsDiffer(t *testing.T) {
	here, there := Path{Turn: deg(30), Within: deg(3)}, Path{Turn: deg(-12), Within: deg(2)}
	heard, hears := Between(deg(25), here, there)
	near(t, "theirs here", heard.Angle.Deg(), 18-25, 1e-9)
	near(t, "ours there", hears.Angle.Deg(), 18+25, 1e-9)
	near(t, "own", Own(here).Angle.Deg(), 60, 1e-9)
	// Position angles on the sky: theirs leaves along their vertical at p_there, ours along p_here.
	pHere, pThere := 70.0, 45.0
	near(t, "as position angles, here", heard.Angle.Deg(), pThere+18-pHere, 1e-9)
	near(t, "as position angles, there", hears.Angle.Deg(), pHere+18-pThere, 1e-9)
	// The hemispheres have opposite senses: towards the station from the sky the field points down in the north.
	north := PathOf(432e6, deg(50), 0, 0, deg(89), Electrons{20, 12}, at).Turn
	south := PathOf(432e6, deg(-50), 0, 0, deg(89), Electrons{20, 12}, at).Turn
	if north <= 0 || south >= 0 {
		t.Errorf("overhead north %v, south %v", north.Deg(), south.Deg())
	}
}

func TestLoss(t *testing.T) {
	near(t, "aligned", Misfit{0, 0}.LossDB(), 0, 1e-9)
	near(t, "60 degrees", Misfit{deg(60), 0}.LossDB(), 6.02, 0.01)
	near(t, "60 degrees and a half turn", Misfit{deg(240), 0}.LossDB(), 6.02, 0.01)
	near(t, "across", Misfit{deg(90), 0}.LossDB(), 30, 1e-9)
	near(t, "nothing known", Misfit{deg(90), deg(200)}.LossDB(), 3.01, 0.01)
	// By an even sum over a normal distribution.
	sum, all := 0.0, 0.0
	for z := -5.0; z <= 5; z += 0.001 {
		w := math.Exp(-z * z / 2)
		sum, all = sum+w*math.Pow(math.Cos((40+20*z)*math.Pi/180), 2), all+w
	}
	near(t, "40 ±20 degrees", Misfit{deg(40), deg(20)}.LossDB(), -10*math.Log10(sum/all), 1e-3)
	if Matters(10368e6) || !Matters(1296e6) {
		t.Error("which bands it matters on")
	}
}

// The bounds of the trade: 5 TECU by night at sunspot minimum, 60 by day at a strong maximum, at middle latitudes
// (common practice, no source). The day's greatest stands at 14 h of local time (IS-GPS-200), wherever that is.
func TestExpectedContentFollowsTheHourAndTheSun(t *testing.T) {
	hour := func(utc float64, lonDeg, index float64) float64 {
		day := time.Date(2027, 4, 14, 0, 0, 0, 0, time.UTC)
		return Expected(day.Add(time.Duration(utc*float64(time.Hour))), deg(lonDeg), index, 10).TECU
	}
	near(t, "night at minimum", hour(3, 0, 67), 5, 1)
	near(t, "day at minimum", hour(14, 0, 67), 15, 2)
	near(t, "day at a strong maximum", hour(14, 0, 240), 60, 5)
	near(t, "14 h at 90 degrees west", hour(20, -90, 150), hour(14, 0, 150), 1e-9)
	near(t, "14 h at 150 degrees east", hour(4, 150, 150), hour(14, 0, 150), 1e-9)
	greatest, when := 0.0, 0.0
	for h := 0.0; h < 24; h += 0.25 {
		if c := hour(h, -45, 150); c > greatest {
			greatest, when = c, h
		}
	}
	near(t, "the greatest at 45 degrees west", when, 17, 0.01)
	e := Expected(time.Date(2027, 4, 14, 14, 0, 0, 0, time.UTC), 0, 150, 40)
	if e.Within < e.TECU/2 || e.Within > e.TECU {
		t.Errorf("%.0f ±%.0f TECU", e.TECU, e.Within)
	}
	there := Elsewhere(Electrons{30, 4}, Electrons{20, 10}, Electrons{10, 5})
	near(t, "carried over", there.TECU, 15, 1e-9)
	near(t, "its error", there.Within, 5.25, 1e-9)
}
