package desk

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/level"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ephem"
	"beamhelm/ephem/noise"
)

// Derivations are what the desk makes of settings, each worked out when it is
// called: what it hands to the drive and to the permit, and what it does and shows.
func Derivations(t *testing.T, s settings.Settings) []func() any {
	withSky := func(work func(b *bench) any) func() any {
		return func() any {
			b := newBench(t)
			sky, err := ephem.New(assets.Ephemeris(), station.SkyConfig(s.Clock))
			if err != nil {
				t.Fatal(err)
			}
			if b.c, err = station.NewConfig(s, sky, b.c.Sources, false); err != nil {
				t.Fatal(err)
			}
			b.s = New(&b.c, nil)
			return work(b)
		}
	}
	return []func() any{
		func() any {
			c, err := station.DriveConfig(s)
			if err != nil {
				t.Fatal(err)
			}
			return c
		},
		func() any { return permitConfig(&s) },
		withSky(shown), withSky(measured), withSky(compared), withSky(quiet), withSky(readingsJudged),
		withSky(pathShown),
	}
}

// shown is what is shown and asked of the drive on the way to the target, beside
// it, and to each of the fixed places.
func shown(b *bench) any {
	var all []any
	for _, o := range [][]Order{
		nil, {Track{On: true}}, {Permit{On: true}}, {OffSource{On: true}}, {BandTo{Band: 1}}, {BandTo{Feed: 1}},
		{Hold{}}, {Park{}}, {WindStow{}}, {SnowStow{}},
	} {
		b.after(time.Second, o...)
		b.onTarget()
		all = append(all, b.out.Status, b.out.Commands, b.out.Events)
	}
	b.onTarget()
	b.after(time.Second, BandTo{}, Track{On: true})
	b.after(time.Second)
	b.job(TakePeak{})
	return append(all, b.out.Status.Peak.Last)
}

// job lets a measurement run to its end, the dish wherever the beam shall be: the level has a peak on the target, and
// rises with the noise source.
func (b *bench) job(o Order) {
	in := Inputs{Loop: &b.loop}
	var said []Event
	for i := range 120 {
		b.at, b.now = b.at.Add(900*time.Millisecond), b.now+900*time.Millisecond
		b.loop.Now = b.now
		in.At, in.Now, in.Measured = b.at, b.now, nil
		beam := (&work{c: &b.c, s: &b.s, in: &in}).beam()
		if axes, ok := beam.AxesAt(b.at); ok && b.s.Aim == trackAim {
			b.loop.Axes[0].Position, b.loop.Axes[1].Position = axes.Az, axes.El
		}
		off, _ := beam.Off(pointing.AxesOf(&b.loop), b.at)
		widths := math.Hypot(off.Cross.Rad(), off.El.Rad()) / beam.HalfPower.Rad()
		power := 1 + 5*math.Exp(-4*math.Ln2*widths*widths) + 0.001*float64(i%3)
		if b.s.Outputs&enclosure.OutputNoiseSource != 0 {
			power += 4
		}
		for k := range 3 {
			age := time.Duration(2-k) * 200 * time.Millisecond
			in.Measured = append(in.Measured, Measured{
				Now: b.now - age, At: b.at.Add(-age), LevelDB: 10 * math.Log10(power), Axes: pointing.AxesOf(&b.loop),
				Trusted: true,
			})
		}
		if in.Orders = nil; i == 1 {
			in.Orders = []Given{{Order: o}}
		}
		b.out = Step(&b.c, &b.s, &in)
		said = append(said, b.out.Events...)
		if i > 1 && b.s.Measuring.Busy().Code == "" {
			if b.out.Status.Peak.Last == nil && b.out.Status.Receiving.Last == nil {
				break
			}
			return
		}
	}
	b.t.Fatalf("%T is not done: said %v", o, said)
}

// measured is what the noise detector's readings are taken for.
func measured(b *bench) any {
	var m level.State
	var all []any
	for i := range 40 {
		loop := step.Status{HasMotion: true, Now: step.Nanos(i) * step.Nanos(100*time.Millisecond)}
		loop.Link.Snapshot, loop.Link.Replies = loop.Now, uint64(i+1)
		loop.Motion.DetectorUV = int32(600000 + 40000*i)
		loop.Motion.More = enclosure.MoreClean
		loop.Motion.SinceKeyed = uint16(20 * i)
		in := level.Inputs{At: b.at, Now: loop.Now, Loop: &loop, Feed: &b.c.Settings.Bands[0].Feeds[0],
			AverageS: b.s.Measuring.AverageS(&b.c)}
		all = append(all, level.Step(&b.c.Settings.Meter, &m, &in), m.Mean)
	}
	return all
}

// compared is what comes of a comparison with the noise source.
func compared(b *bench) any {
	b.galaxy()
	b.after(time.Second)
	b.job(Compare{NoiseSource: true})
	return b.out.Status.Receiving.Last.Figures
}

// quiet is what is asked of the motors through two periods.
func quiet(b *bench) any {
	var all []any
	b.after(0, Track{On: true})
	for range 12 {
		b.after(10 * time.Second)
		b.onTarget()
		all = append(all, b.out.Commands, b.out.Status.Period)
	}
	return all
}

// readingsJudged is what is said of readings that rise and fall slowly.
func readingsJudged(b *bench) any {
	var all []any
	for i := range 160 {
		part := math.Abs(float64(i%160)/80-1)*1.2 - 0.1
		for place, key := range station.ReadingKeys() {
			for _, r := range settings.Readings() {
				if l := b.c.Settings.Readings[key]; r.Key == key {
					low, high := l.AlarmLow.Or(l.WarningHigh.Or(r.Min)), l.AlarmHigh.Or(l.WarningLow.Or(r.Max))
					b.read(place, min(low+part*(high-low), 32000*enclosure.Describe(place).Scale))
				}
			}
		}
		for axis := range b.loop.Axes {
			b.loop.Axes[axis].Applied, b.loop.Axes[axis].CurrentA = 1, 14*(1-part)
		}
		b.after(500 * time.Millisecond)
		for _, r := range b.out.Status.Readings {
			all = append(all, r.Grade, r.Crossed, r.AlarmLow, r.WarnLow, r.WarnHigh, r.AlarmHigh)
		}
		all = append(all, b.out.Status.Alarms)
	}
	return all
}

// pathShown is the path by way of the Moon, to a partner whose feed is linear.
func pathShown(b *bench) any {
	b.galaxy()
	b.s.takeRadio(&b.c,
		KeptRadio{Kept: radio.Kept{Partners: "name,locator,polarisation,note\nWattle Plain,QF22ag,horizontal,\n"}})
	b.after(0, PartnerTo{Name: "Wattle Plain"})
	return b.out.Status.Radio
}

func (b *bench) galaxy() {
	galaxy, err := noise.ParseSky(assets.Sky408())
	if err != nil {
		b.t.Fatal(err)
	}
	b.c.Galaxy = galaxy
	b.loop.Axes[mount.Elevation].Position = degrees(40)
}
