package motion

import (
	"math"
	"testing"
)

func TestProfileArrivesNearTheBoundWithoutPassing(t *testing.T) {
	b := Bounds{Speed: 1.5, Acceleration: 0.5, Jerk: 1}
	for _, c := range []struct {
		name           string
		distance, rate float64
	}{
		{"a tenth", 0.1, 0}, {"one", 1, 0}, {"ten", 10, 0}, {"ninety", 90, 0}, {"back", -30, 0},
		{"moving target", 10, 0.004}, {"fleeing", 3, 0.2}, {"coming", 3, -0.2},
	} {
		t.Run(c.name, func(t *testing.T) {
			var p Profile
			const h = 0.02
			target, arrived, worst := c.distance, 0.0, 0.0
			for i := range 20000 {
				at := float64(i) * h
				p.Advance(b, target, c.rate, h)
				target += c.rate * h
				if math.Abs(p.V) > b.Speed+1e-9 || math.Abs(p.A) > b.Acceleration+1e-9 {
					t.Fatalf("at %.2f s speed %v acceleration %v", at, p.V, p.A)
				}
				past := math.Copysign(1, c.distance) * (p.P - target)
				worst = max(worst, past)
				if math.Abs(past) > 0.005 {
					arrived = at
				}
			}
			d := math.Abs(c.distance)
			bound := d/b.Speed + b.Speed/b.Acceleration + b.Acceleration/b.Jerk
			if d < b.Speed*b.Speed/b.Acceleration+b.Speed*b.Acceleration/b.Jerk {
				// No cruise: 2 (v/a + a/j) with d = v (v/a + a/j), or 4 cbrt(d/2j).
				v := b.BrakingSpeed(d / 2)
				bound = 2 * (v/b.Acceleration + b.Acceleration/b.Jerk)
				if v < b.Acceleration*b.Acceleration/b.Jerk {
					bound = 4 * math.Cbrt(d/2/b.Jerk)
				}
			}
			t.Logf("arrived in %.2f s, bound %.2f, past by %.5f", arrived, bound, worst)
			if c.rate == 0 && arrived > 1.03*bound+0.1 {
				t.Errorf("arrived in %.2f s, bound %.2f", arrived, bound)
			}
			if worst > 0.002 {
				t.Errorf("passed the target by %v", worst)
			}
			if math.Abs(p.P-target) > 1e-6 {
				t.Errorf("ends %v off", p.P-target)
			}
		})
	}
}
