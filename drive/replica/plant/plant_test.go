package plant

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
)

// still is the default dish without wind, in the air its top speed is rated for.
func still() Config {
	c := Default()
	c.Wind.MeanMPS = 0
	c.Air.TemperatureC = 10
	c.Axes[0].Place, c.Axes[1].Place = unit.AngleFromDeg(180), unit.AngleFromDeg(43)
	return c
}

func open(t testing.TB, c Config) *Plant {
	t.Helper()
	p, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// drive lets the dish run powered with these drives for a time.
func drive(p *Plant, seconds, azimuth, elevation float64) (out Output) {
	in := Input{Elapsed: 5 * time.Millisecond, Contactor: true, Applied: [2]float64{azimuth, elevation},
		Outputs: enclosure.OutputPreamplifier}
	for range int(math.Round(seconds * 200)) {
		out = p.Step(in)
	}
	return out
}

// rest lets it stand without power.
func rest(p *Plant, seconds float64) (out Output) {
	in := Input{Elapsed: 5 * time.Millisecond, Outputs: enclosure.OutputPreamplifier}
	for range int(math.Round(seconds * 200)) {
		out = p.Step(in)
	}
	return out
}

func put(t testing.TB, p *Plant, name string, values ...float64) {
	t.Helper()
	f, _, err := Named(name)
	if err != nil {
		t.Fatal(err)
	}
	copy(f.Values[:], values)
	if err := p.Put(f); err != nil {
		t.Fatal(err)
	}
}

func along(axis int, v float64) (azimuth, elevation float64) {
	if axis == 0 {
		return v, 0
	}
	return 0, v
}

func BenchmarkStep(b *testing.B) {
	p := open(b, Default())
	p.SetSky(Sky{Sun: Sun(unit.AngleFromDeg(247), unit.AngleFromDeg(26)),
		Moon: Moon(unit.AngleFromDeg(115), unit.AngleFromDeg(40))})
	in := Input{Elapsed: 5 * time.Millisecond, Contactor: true, Outputs: enclosure.OutputPreamplifier}
	b.ReportAllocs()
	for n := 0; b.Loop(); n++ {
		if n%2000 == 0 {
			in.Applied[0] = 0.6 - in.Applied[0]
			in.Applied[1] = in.Applied[0] / 10
		}
		p.Step(in)
	}
	b.ReportMetric(0.005*float64(b.N)/b.Elapsed().Seconds(), "times-real-time")
}
