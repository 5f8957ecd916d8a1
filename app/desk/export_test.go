package desk

import (
	"math"
	"testing"
	"time"

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
		withSky(shown), withSky(measured), withSky(compared), withSky(quiet), withSky(readingsJudged), withSky(pathShown),
	}
}

// shown is what is shown and asked of the drive on the way to the target, beside
// it, and to each of the fixed places.
func shown(b *bench) any {
	var all []any
	for _, o := range [][]Order{
		nil, {{Kind: Track, On: true}}, {{Kind: Permit, On: true}}, {{Kind: Aside, On: true}}, {{Kind: BandTo,
			Index: 1}}, {{Kind: BandTo, Feed: 1}},
		{{Kind: Hold}}, {{Kind: Park}}, {{Kind: WindStow}}, {{Kind: SnowStow}},
	} {
		b.after(time.Second, o...)
		b.onTarget()
		all = append(all, b.out.Status, b.out.Commands, b.out.Events)
	}
	for axis := range 2 {
		all = append(all, (&turn{c: &b.c, s: &b.s, in: &Inputs{Loop: &b.loop}}).unsureAxis(axis))
	}
	return all
}

// measured is what the noise detector's readings are taken for.
func measured(b *bench) any {
	m := meterState{averageS: b.s.averageS(&b.c)}
	var all []any
	for i := range 40 {
		loop := step.Status{HasMotion: true, Now: step.Nanos(i) * step.Nanos(100*time.Millisecond)}
		loop.Link.Snapshot = loop.Now
		loop.Motion.DetectorUV = int32(600000 + 40000*i)
		loop.Motion.More = enclosure.MoreClean
		loop.Motion.SinceKeyed = uint16(20 * i)
		one, _ := m.read(&b.c, &b.s, &loop, b.at, loop.Now)
		all = append(all, one, m.level)
	}
	return all
}

// compared is what is reckoned with in a comparison with the noise source.
func compared(b *bench) any {
	b.galaxy()
	b.after(time.Second)
	warm, unsure, cold := (&turn{c: &b.c, s: &b.s, in: &Inputs{Loop: &b.loop,
		At: b.at}}).comparedWith(&series{Kind: sourceSeries})
	return [3]float64{warm, unsure, cold}
}

// quiet is what is asked of the motors through two periods.
func quiet(b *bench) any {
	var all []any
	b.after(0, Order{Kind: Track, On: true})
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
					low, high := l.AlarmLow.Or(l.WarningHigh.Or(r.Least)), l.AlarmHigh.Or(l.WarningLow.Or(r.Most))
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
	b.s.takeRadio(&b.c, KeptRadio{Kept: radio.Kept{Partners: "name,locator,polarisation,note\nWattle Plain,QF22ag,horizontal,\n"}})
	b.after(0, Order{Kind: PartnerTo, Words: "Wattle Plain"})
	return b.out.Status.Radio
}

func (b *bench) galaxy() {
	galaxy, err := noise.ParseSky(assets.Sky408())
	if err != nil {
		b.t.Fatal(err)
	}
	b.c.Galaxy = galaxy
	b.loop.Axes[mount.Elevation].Is = degrees(40)
}
