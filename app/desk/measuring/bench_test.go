package measuring

import (
	"math"
	"slices"
	"testing"
	"time"

	"beamhelm/app/desk/event"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/step"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
)

// began is a moment of the invented station's sky: the Moon stands at azimuth
// 115.4, elevation 40.1 degrees and rises.
var began = time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)

// bench is a dish that holds, and the measurements at it.
type bench struct {
	t     *testing.T
	c     station.Config
	s     State
	loop  step.Status
	watch watching.State
	in    Inputs
	out   Outputs
}

func newBench(t *testing.T) *bench {
	t.Helper()
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		t.Fatal(err)
	}
	c, err := station.NewConfig(settings.Practice(), sky, sources, true)
	if err != nil {
		t.Fatal(err)
	}
	b := &bench{t: t, c: c}
	b.loop.HasMotion, b.loop.Mode = true, step.Holding
	b.loop.Readings = enclosure.NoReadings()
	b.loop.Link.State = step.LinkGood
	for i := range b.loop.Axes {
		b.loop.Axes[i].Fitted, b.loop.Axes[i].Trusted = true, true
		b.loop.Axes[i].Position = degrees([2]float64{105.4, 40.1}[i])
	}
	b.in = Inputs{At: began, Now: time.Second, Loop: &b.loop, NoiseDB: math.NaN(), Watch: &b.watch,
		Dish: Dish{Target: c.Moon(), Idle: true}}
	b.aim()
	return b
}

// aim lets the beam be where axes, target and trims have it.
func (b *bench) aim() {
	band, feed := b.c.Names(b.in.Band, b.in.Feed)
	trim := b.in.Trims.Of(band, feed, b.in.Target.Kind)
	b.in.Beam = pointing.Beam{
		Config: &b.c, At: b.in.At, Target: b.in.Target, Axes: pointing.AxesOf(&b.loop),
		Chain:     pointing.ChainOf(&b.c, b.in.Band, b.in.Feed, trim, b.s.Survey.Model),
		HalfPower: b.c.Beamwidth(b.in.Band, b.in.Feed), Hz: b.c.Settings.Bands[b.in.Band].MHz * 1e6,
	}
}

// after lets time pass, with the levels measured in it.
func (b *bench) after(d time.Duration, levels ...level.Measured) {
	b.in.At, b.in.Now = b.in.At.Add(d), b.in.Now+d
	b.loop.Now = b.in.Now
	b.aim()
	b.in.Levels = levels
	b.out = Step(&b.c, &b.s, &b.in)
	b.in.Levels = nil
}

// order has an order obeyed.
func (b *bench) order(o Order) {
	b.aim()
	b.out = Obey(&b.c, &b.s, &b.in, o)
	for _, ask := range b.out.Asks {
		if r, ok := ask.(Remodel); ok {
			b.in.Trims = r.Trims
		}
	}
	b.aim()
}

func (b *bench) shown() Shown {
	b.aim()
	return Show(&b.c, &b.s, &b.in)
}

func (b *bench) said(code message.Code) bool {
	return slices.ContainsFunc(b.out.Events, func(e event.Event) bool { return e.Words.Has(code) })
}
