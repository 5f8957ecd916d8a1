//go:build !race

// Without the race detector, which makes it slow: nothing here runs beside anything.

package desk

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/receiver"
	"beamhelm/drive/mount"
	"beamhelm/ephem/noise"
)

// The noise over the sky is worked out only when asked for, a column at a step, and is what the antenna hears there.
func TestShading(t *testing.T) {
	b := radioBench(t)
	b.after(0)
	if b.out.Status.Shading != nil || b.out.Status.Shaded {
		t.Fatal("it is worked out unasked")
	}
	b.after(0, ShadingTo{On: true})
	begun := b.at
	for range radio.ShadingColumns - 2 {
		b.after(100 * time.Millisecond)
	}
	if b.out.Status.Shading != nil || !b.out.Status.Shaded {
		t.Fatal("it is shown before all of it is known")
	}
	b.after(100 * time.Millisecond)
	s := b.out.Status.Shading
	if s == nil {
		t.Fatal("it isn't shown when all of it is known")
	}
	sunFlux, err := receiver.ExpectedSun(b.c.Settings.Bands[0].MHz*1e6, begun)
	if err != nil {
		t.Fatal(err)
	}
	h := b.s.Radio.AntennaOf(&b.c, 0, 0, sunFlux.Flux)
	for _, d := range []mount.SkyDirection{{Az: 0, El: 0}, {Az: unit.AngleFromDeg(180), El: unit.AngleFromDeg(30)},
		{Az: unit.AngleFromDeg(356), El: unit.AngleFromDeg(87)},
		{Az: unit.AngleFromDeg(356), El: unit.AngleFromDeg(3)}} {
		want := h.HearAt(&b.c, d, begun, noise.Coarse).TotalK()
		for _, turn := range []unit.Angle{0, 2 * math.Pi, -2 * math.Pi} {
			if got := s.AtK(d.Az+turn, d.El); math.Abs(got-want) > 1e-3*want {
				t.Errorf("at %.0f %.0f: %.3f K, want %.3f", d.Az.Deg(), d.El.Deg(), got, want)
			}
		}
	}
	sun := slices.IndexFunc(b.out.Status.Bodies, func(body Body) bool { return body.Kind == Sun })
	if sun := b.out.Status.Bodies[sun]; s.AtK(sun.Az, sun.El) < s.AtK(sun.Az+math.Pi/2, sun.El)+5 {
		t.Errorf("%.1f K near the Sun", s.AtK(sun.Az, sun.El))
	}
	over := s.AtK(unit.AngleFromDeg(10), unit.AngleFromDeg(100))
	if other := s.AtK(unit.AngleFromDeg(190), unit.AngleFromDeg(80)); over != other {
		t.Errorf("beyond the zenith %.3f K, on the other side %.3f", over, other)
	}
	b.after(100*time.Millisecond, BandTo{Band: 1})
	if b.out.Status.Shading != nil {
		t.Error("the other band shows this one's")
	}
	b.after(100*time.Millisecond, ShadingTo{})
	if b.out.Status.Shading != nil || b.out.Status.Shaded {
		t.Error("it goes on")
	}
}
