package desk

import (
	"math"
	"testing"

	"beamhelm/app/alarm"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
)

// The wind's readings have the limits by which the guard stows, are graded by them, and say what to do; the countdown
// to the stow names the wind and its limit.
func TestWindByTheGuard(t *testing.T) {
	for _, c := range []struct {
		mean, gust, limit float64
		stows             string
		meanG, gustG      alarm.Grade
	}{
		{8, 12, 20, "Wind: the dish goes to the wind stow", alarm.Normal, alarm.Normal},
		{11, 12, 20, "Wind: the dish goes to the wind stow", alarm.Warning, alarm.Normal},
		{15, 19, 20, "Wind 15.0 m/s, limit 14: the dish goes to the wind stow", alarm.Alarm, alarm.Normal},
		{15, 28.8, 20, "Gust 28.8 m/s, limit 20: the dish goes to the wind stow", alarm.Alarm, alarm.Alarm},
		{15, 28.8, 0, "Wind 15.0 m/s, limit 14: the dish goes to the wind stow", alarm.Alarm, alarm.Normal},
	} {
		b := newBench(t)
		g := &b.c.Drive.Guard
		g.WindWarn, g.WindMean, g.WindGust = 10, 14, c.limit
		b.read(enclosure.WindMean, c.mean)
		b.read(enclosure.WindGust, c.gust)
		b.loop.StowsInSeconds = 12
		b.after(0)
		mean, gust := b.out.Status.Readings[enclosure.WindMean], b.out.Status.Readings[enclosure.WindGust]
		if mean.Grade != c.meanG || gust.Grade != c.gustG || b.out.Status.Starting.String() != c.stows {
			t.Errorf("%+v: %v, %v, %q", c, mean.Grade, gust.Grade, b.out.Status.Starting)
		}
		if mean.WarnHigh != 10 || mean.AlarmHigh != 14 || mean.High < 14 ||
			c.limit > 0 && gust.AlarmHigh != c.limit || c.limit == 0 && !math.IsNaN(gust.AlarmHigh) {
			t.Errorf("%+v: limits %+v, %+v", c, mean, gust)
		}
		if c.meanG > alarm.Normal != (mean.Next.Code == "next.wind") {
			t.Errorf("%+v: to do %q", c, mean.Next)
		}
	}
}

// The Sun's trim is offered for the Moon alone, and only where it would change something.
func TestSunTrimForTheMoon(t *testing.T) {
	b := newBench(t)
	sun := mount.Offset{Cross: degrees(0.1), El: degrees(0.2)}
	b.after(0)
	if b.out.Status.Trim.HasSun {
		t.Error("offered with no trim of the Sun")
	}
	b.after(0, toTheSun, TrimTo{Trim: sun})
	if b.out.Status.Trim.HasSun {
		t.Error("offered for the Sun")
	}
	b.after(0, Choose{Body: BodyChoice{Kind: Moon}})
	was := b.s.trim(&b.c)
	if trim := b.out.Status.Trim; !trim.HasSun || trim.OfSun != sun {
		t.Fatalf("not offered: %+v", trim)
	}
	b.after(0, TrimTo{Trim: b.out.Status.Trim.OfSun})
	if b.out.Status.Trim.HasSun || b.s.trim(&b.c) != sun {
		t.Errorf("in use: %+v", b.out.Status.Trim)
	}
	if b.after(0, TrimBack{}); b.s.trim(&b.c) != was {
		t.Errorf("not undone: %+v", b.s.trim(&b.c))
	}
}
