//go:build !race

// Without the race detector, which makes it slow: nothing here runs beside anything.

package desk

import (
	"math/rand/v2"
	"testing"
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

func TestABareDishKeepsFromTheSun(t *testing.T) {
	to := func(az, el float64) Order { return SlewTo{To: mount.AxisAngles{Az: degrees(az), El: degrees(el)}} }
	for name, c := range map[string]struct {
		az, el float64
		order  Order
		refuse message.Code
	}{
		"onto it":             {105, 40, to(248, 27), "pointing.sun-there"},
		"across it":           {200, 26, to(300, 26), ""},
		"above it":            {200, 45, to(300, 45), ""},
		"away from near it":   {250, 27, to(300, 40), ""},
		"elsewhere":           {105, 40, to(120, 50), ""},
		"tracking it":         {105, 40, Track{On: true}, "pointing.sun-there"},
		"park, which is free": {105, 40, Park{}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			b := bareBench(t, c.az, c.el)
			b.after(time.Second, Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}})
			b.after(time.Second, c.order)
			started := len(b.asked) > 0
			if c.refuse == "" && !started || c.refuse != "" &&
				(started || !b.said("desk.not-started") || !b.said(c.refuse)) {
				t.Errorf("started %v: %v", started, b.out.Events)
			}
		})
	}
}

// A dish of mesh does not focus light: nothing is refused.
func TestAMeshDishMayLookAtTheSun(t *testing.T) {
	b := newBench(t)
	b.after(time.Second, Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}})
	b.after(time.Second, Track{On: true})
	if len(b.asked) == 0 {
		t.Errorf("refused: %v", b.out.Events)
	}
}

// Every leg of a way round the Sun keeps from it, to the end.
func TestRoundTheSun(t *testing.T) {
	chance := rand.New(rand.NewPCG(3, 1))
	round := 0
	for range 300 {
		from := mount.AxisAngles{Az: degrees(150 + 200*chance.Float64()), El: degrees(5 + 80*chance.Float64())}
		to := mount.AxisAngles{Az: degrees(150 + 200*chance.Float64()), El: degrees(5 + 80*chance.Float64())}
		b := bareBench(t, from.Az.Deg(), from.El.Deg())
		sky, _, _ := b.c.Place(b.c.Sun(), b.at)
		sun := b.s.chain(&b.c).Axes(sky)
		if mount.Apart(from, sun) < degrees(7) {
			continue
		}
		b.after(time.Second, SlewTo{To: mount.AxisAngles{Az: to.Az, El: to.El}})
		if b.said("desk.not-started") {
			if mount.Apart(to, sun) > degrees(6.5) && to.El > b.c.Over(to.Az) {
				t.Errorf("%v to %v: %v", from, to, b.out.Events)
			}
			continue
		}
		b.after(time.Second) // power is on
		round += len(b.s.Legs)
		for leg := 0; b.s.Aim == slewAim; leg++ {
			next := b.s.Place
			if len(b.s.Legs) > 0 {
				next = b.s.Legs[0]
			}
			turn := work{c: &b.c, s: &b.s, in: &Inputs{At: b.at, Loop: &b.loop}}
			here := mount.AxisAngles{Az: b.loop.Axes[0].Position, El: b.loop.Axes[1].Position}
			if minimum := turn.beam().ClosestToSun(here, next, sun); minimum < degrees(5.9) {
				t.Fatalf("%v to %v: leg %d comes to %.2f degrees of the Sun", from, to, leg, minimum.Deg())
			}
			b.loop.Axes[0].Position, b.loop.Axes[1].Position, b.loop.Mode = next.Az, next.El, step.Holding
			b.after(2 * time.Second)
			if leg > 4 {
				t.Fatalf("%v to %v: no end: %v", from, to, b.out.Events)
			}
		}
		if !pointing.Near(&b.loop, to) {
			t.Errorf("%v to %v: ended at %v", from, to, b.loop.Axes[0].Position)
		}
	}
	if round < 10 {
		t.Errorf("only %d legs in all: the cases are too easy", round)
	}
}

// A Stop on the way ends it: no leg follows.
func TestStopEndsTheWayRound(t *testing.T) {
	b := bareBench(t, 200, 26)
	b.after(time.Second, SlewTo{To: mount.AxisAngles{Az: degrees(300), El: degrees(26)}})
	b.after(2 * time.Second)
	if len(b.s.Legs) == 0 {
		t.Fatal("it goes straight")
	}
	if got, want := b.out.Status.Legs, len(b.s.Legs)+1; got != want {
		t.Errorf("%d legs to go are told, with the one to the place there are %d", got, want)
	}
	b.after(time.Second, Stop{})
	b.loop.Mode = step.Holding
	b.loop.Axes[0].Position, b.loop.Axes[1].Position = degrees(200), degrees(40)
	for range 5 {
		b.after(2 * time.Second)
		if len(b.asked) > 0 || len(b.s.Legs) > 0 {
			t.Fatalf("asked %v, legs %v", b.asked, b.s.Legs)
		}
	}
}

// The Sun's way over a year past the places where the dish is left alone: one
// at the height of the noon Sun in spring and autumn is met twice a year.
func TestSunsYear(t *testing.T) {
	b := bareBench(t, 105, 40)
	noon := 90 - b.c.Settings.Station.LatitudeDeg // at an equinox
	b.c.Settings.Park = settings.Place{AzimuthDeg: 180, ElevationDeg: noon}
	b.c.Settings.WindStow = settings.Place{AzimuthDeg: 0, ElevationDeg: 88}
	b.c.Settings.SnowStow = settings.Place{AzimuthDeg: 0, ElevationDeg: 10}
	for range watching.YearDays {
		b.after(100 * time.Millisecond)
	}
	v := b.s.Watch.SunYear.Visits
	// The declination stays within 6 degrees of 0 for about 15 days before and after each equinox.
	if v[0].Days < 54 || v[0].Days > 66 || v[1].Days != 0 || v[2].Days != 0 {
		t.Errorf("days %v", v)
	}
	lines := watching.SunAtRest(&b.c, b.s.Watch.SunYear.From)
	if len(lines) != 3 || lines[0].Code != "sun.within" || lines[0].Args[2] != v[0].Days ||
		lines[1].Code != "sun.never" {
		t.Errorf("told beforehand: %q", lines)
	}
	b.after(time.Minute)
	if !b.stands("sun at park place") || b.stands("sun at wind stow") {
		t.Errorf("alarms %v", b.s.Watch.Alarms.Entries)
	}
}

// A dish that holds in the Sun's way is told half an hour before.
func TestTheSunComes(t *testing.T) {
	b := bareBench(t, 105, 40)
	b.after(time.Second)
	ahead, _, _ := b.c.Place(b.c.Sun(), b.at.Add(50*time.Minute))
	b.loop.Axes[0].Position, b.loop.Axes[1].Position, b.loop.Mode = ahead.Az, ahead.El, step.Holding
	b.after(time.Minute)
	if !b.stands("sun comes") {
		t.Errorf("alarms %v", b.s.Watch.Alarms.Entries)
	}
	b.loop.Axes[1].Position = ahead.El + degrees(20)
	b.after(time.Minute)
	if b.stands("sun comes") {
		t.Errorf("it stands on: %v", b.s.Watch.Alarms.Entries)
	}
}

func (b *bench) stands(key string) bool {
	for _, a := range b.s.Watch.Alarms.Entries {
		if a.Key == key && a.Stands {
			return true
		}
	}
	return false
}
