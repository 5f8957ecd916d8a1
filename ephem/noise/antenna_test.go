package noise

import (
	"math"
	"testing"

	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

func pattern(t testing.TB, hz, m, efficiency float64) *Pattern {
	t.Helper()
	p, err := NewPattern(Dish{Hz: hz, DiameterM: m, Efficiency: efficiency})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Values: two stations worked out apart (computed, numpy).
func TestPattern(t *testing.T) {
	p, err := NewPattern(Dish{Hz: 5760e6, DiameterM: 5, Efficiency: 0.55, SurfaceM: 0.001})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "wavelengths", p.waves, 96.066, 0.001)
	near(t, "the law begins", p.law.from/degree, 0.8065, 0.0001)
	near(t, "the main lobe ends", p.edge/degree, 0.8305, 0.0001)
	near(t, "share within it", p.lobe, 0.6704, 0.0001)
	near(t, "scaling", p.scaling, 1.1917, 0.0002)
	// The whole sphere comes to 1.
	whole := integral(func(x float64) float64 {
		t := math.Exp(x)
		return p.Weight(unit.Angle(t)) * 2 * math.Pi * math.Sin(t) * t
	}, math.Log(p.edge)+1e-9, math.Log(farFrom)-1e-9)
	whole += integral(func(t float64) float64 { return p.Weight(unit.Angle(t)) * 2 * math.Pi * math.Sin(t) },
		farFrom+1e-9, math.Pi)
	near(t, "the whole sphere", whole+p.lobe, 1, 1e-6)
	for waves, want := range map[float64]float64{20: 1, 120: 1, 200: 0.76, 400: 0.58} {
		near(t, "scaling by size", pattern(t, waves*lightMps/5, 5, 0.55).scaling, want, 0.06)
	}
	if _, err := NewPattern(Dish{Hz: 1296e6, DiameterM: 5, Efficiency: 0.55, HalfPower: deg(4)}); err == nil {
		t.Error("gain and beamwidth contradict each other, and have a pattern")
	}
}

// axisAt is a direction at the site.
func axisAt(az, el float64) space.Vector { return space.Direction(deg(az), deg(el)) }

// Source: testdata/authorities/offaxis.csv. Its side lobes aren't scaled and it has no air: the rows
// are met with the scaling taken out, the air by its own loss.
func TestDiscOffTheAxis(t *testing.T) {
	for _, row := range authority(t, "offaxis.csv") {
		hz := number(t, row, "mhz") * 1e6
		p := pattern(t, hz, number(t, row, "dish_m"), number(t, row, "eta"))
		p.scaling = 1
		near(t, "gain", p.GainDBI(), number(t, row, "gmax_dbi"), 0.001)
		near(t, "the law begins", p.law.from/degree, number(t, row, "phi_m_deg"), 0.001)
		el, off := 60.0, number(t, row, "off_axis_deg")
		l := &listener{Pattern: p, axis: axisAt(100, el), grid: Fine.grid()}
		disc := Disc{Towards: axisAt(100, el-off), Radius: deg(number(t, row, "disc_deg") / 2)}
		solid := 2 * math.Pi * (1 - math.Cos(disc.Radius.Rad()))
		near(t, row["body"]+" "+row["mhz"]+" off by "+row["off_axis_deg"], number(t, row, "tb_k")*solid*l.mean(disc),
			number(t, row, "dt_k"), 0.005*number(t, row, "dt_k"))
		if gain := 10 * math.Log10(4*math.Pi*p.Weight(deg(off))); math.Abs(gain-number(t, row, "g_dbi")) > 0.01 {
			t.Errorf("gain off by %v degrees is %.2f dBi, not %s", off, gain, row["g_dbi"])
		}
	}
}

// An identity: in a world of one temperature an antenna has that temperature, wherever it looks.
func TestWorldOfOneTemperature(t *testing.T) {
	p := pattern(t, 1296e6, 5.6, 0.55)
	ground := Scene{Horizon: func(unit.Angle) unit.Angle { return deg(89.999) }}
	near(t, "walls", p.Hear(axisAt(10, 20), &ground, Fine).TotalK(), GroundK, 0.01)
	// Shares of ground, of sky and of air come to the whole: by the temperature that each has.
	parts := p.Hear(axisAt(200, 15), &Scene{}, Fine)
	a := airAt(1296e6)
	near(t, "shares", parts.GroundK/GroundK+parts.AirK/a.meanK+parts.SkyK/Scaled(coldestK, 1296e6), 1, 1e-5)
}

// The beam that meets the ground: the share of the main lobe under a level horizon, 0.5 erfc(E sqrt(4 ln 2)/B).
func TestGroundInTheMainLobe(t *testing.T) {
	p := pattern(t, 10368e6, 3, 0.55)
	b := p.HalfPower.Deg()
	far := p.Hear(axisAt(0, 8*b), &Scene{}, Fine).GroundK
	for part, want := range map[float64]float64{0: 0.5, 0.25: 0.278, 0.5: 0.120, 0.75: 0.039} {
		got := p.Hear(axisAt(0, part*b), &Scene{}, Fine).GroundK
		// Beside it the near side lobes come under the horizon: 0.3 of the pattern, half of it at the most.
		if share := got / GroundK; share < want*p.lobe*0.97 || share > want*p.lobe+0.17 {
			t.Errorf("%v beams up: share %.3f, main lobe %.3f (far up %.3f)", part, share, want, far/GroundK)
		}
	}
}

// The Moon hides the sky behind it, and adds no more than its own temperature's share.
func TestMoonAndSunInTheBeam(t *testing.T) {
	p, moon := pattern(t, 10368e6, 3, 0.55), Disc{axisAt(120, 40), deg(0.259)}
	empty := p.Hear(axisAt(120, 40), &Scene{}, Fine)
	full := p.Hear(axisAt(120, 40), &Scene{Moon: moon, MoonK: 210}, Fine)
	near(t, "rise", full.TotalK()-empty.TotalK(), p.MainBeamEfficiency()*DiscShare(deg(0.518),
		p.HalfPower)*(210-BackgroundK)*math.Pow(10, -AirLossDB(10368e6, deg(40))/10), 0.6)
	near(t, "published: 3 m at 10 GHz, about 51 K", full.MoonK, 51, 1)
	sun := p.Hear(axisAt(120, 40), &Scene{Sun: Disc{axisAt(125, 42), deg(0.2665)}, SunFlux: 282 * SolarFluxUnit}, Fine)
	if sun.SunK <= 0 || sun.SunK > 5 {
		t.Errorf("the Sun 4 degrees off adds %.2f K", sun.SunK)
	}
	hidden := p.Hear(axisAt(120, 40), &Scene{Sources: []Source{{axisAt(120, 40.1), 1e-22}}, Moon: moon}, Fine)
	if hidden.SkyK > empty.SkyK {
		t.Error("a source behind the Moon is heard")
	}
}

// Few rays serve charts: within 3 % of all of them.
func TestCoarseIsNear(t *testing.T) {
	s := ownSky(t)
	for _, dish := range [][2]float64{{432e6, 6}, {1296e6, 5.6}, {10368e6, 3}} {
		p := pattern(t, dish[0], dish[1], 0.55)
		for _, el := range []float64{3, 8, 20, 45, 80} {
			for az := 30.0; az < 360; az += 110 {
				scene := Scene{Sky: s, Axes: space.Matrix{X: space.Vector{Y: 1}, Y: space.Vector{Z: 1},
					Z: space.Vector{X: 1}}}
				fine, coarse := p.Hear(axisAt(az, el), &scene, Fine).TotalK(),
					p.Hear(axisAt(az, el), &scene, Coarse).TotalK()
				// With a receiver of 40 K behind.
				if math.Abs(coarse-fine) > 0.03*(fine+40) {
					t.Errorf("%.0f MHz at %v,%v: coarse %.1f K, fine %.1f K", dish[0]/1e6, az, el, coarse, fine)
				}
			}
		}
	}
}

func BenchmarkHear(b *testing.B) {
	p, s := pattern(b, 1296e6, 5.6, 0.55), ownSky(b)
	scene := Scene{Sky: s, Axes: space.Matrix{X: space.Vector{X: 1}, Y: space.Vector{Y: 1}, Z: space.Vector{Z: 1}}}
	for name, fineness := range map[string]Fineness{"fine": Fine, "coarse": Coarse} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				p.Hear(axisAt(100, 30), &scene, fineness)
			}
		})
	}
}
