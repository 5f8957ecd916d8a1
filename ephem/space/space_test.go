package space

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"
)

func TestSphericalInvertsDirection(t *testing.T) {
	for along := 0.0; along < 360; along += 7.3 {
		for up := -89.0; up <= 89; up += 8.9 {
			a, u := Direction(unit.AngleFromDeg(along), unit.AngleFromDeg(up)).Times(384400).Spherical()
			if math.Abs(a.Deg()-along) > 1e-11 || math.Abs(u.Deg()-up) > 1e-11 {
				t.Fatalf("%v, %v comes back as %v, %v", along, up, a.Deg(), u.Deg())
			}
		}
	}
}

func TestSphericalAtItsEdges(t *testing.T) {
	for _, row := range []struct {
		v         Vector
		along, up float64
	}{
		{Vector{0, 0, 1}, 0, 90}, {Vector{0, 0, -2}, 0, -90}, {Vector{1, -1e-320, 0}, 0, 0}, {Vector{-1, 0, 0}, 180, 0},
		{Vector{0, -1, 0}, 270, 0},
	} {
		along, up := row.v.Spherical()
		if along.Deg() != row.along || up.Deg() != row.up {
			t.Errorf("%v: %v, %v, want %v, %v", row.v, along.Deg(), up.Deg(), row.along, row.up)
		}
	}
}

func TestBackInvertsOf(t *testing.T) {
	s, c := math.Sincos(0.7)
	m := Matrix{Vector{c, s, 0}, Vector{-s, c, 0}, Vector{0, 0, 1}}
	v := Vector{1, 2, 3}
	if back := m.Back(m.Of(v)); back.Minus(v).Length() > 1e-15*v.Length() {
		t.Errorf("%v comes back as %v", v, back)
	}
	if x := m.Of(Vector{c, s, 0}); math.Abs(x.X-1) > 1e-15 || math.Abs(x.Y) > 1e-15 {
		t.Errorf("an axis of the new frame is %v in it", x)
	}
}

func TestAngle(t *testing.T) {
	if got := Angle(Vector{1, 0, 0}, Vector{5, 5e-12, 0}); math.Abs(got.Rad()-1e-12) > 1e-24 {
		t.Errorf("a small angle is %v", got.Rad())
	}
	if got := Angle(Vector{1, 2, 3}, Vector{-1, -2, -3}).Deg(); got != 180 {
		t.Errorf("opposite: %v", got)
	}
	if got := (Vector{3, 4, 0}).Unit(); got.Minus(Vector{0.6, 0.8, 0}).Length() > 1e-15 {
		t.Errorf("unit %v", got)
	}
}
