package motion

import "testing"

// The way that an axis may lead its target ends at the limits, and a limit does
// not move as the target beyond it does.
func TestGoalsStayWithinTheLimits(t *testing.T) {
	g := Goal{Kind: Go, Place: 0.5, Rate: -0.1, Low: 0, High: 1, Limited: true}
	for _, c := range []struct{ lead, place, want float64 }{{-3, 0.5, 0}, {3, 0.5, 1}, {0.2, 0.5, 0.7},
		{-0.1, 0.05, 0}} {
		a := Axis{Lead: c.lead}
		if got := a.leading(&g, c.place); got != c.want {
			t.Errorf("led by %v from %v: %v, want %v", c.lead, c.place, got, c.want)
		}
	}
	bounds := Bounds{Speed: 1, Acceleration: 0.5, Jerk: 1}
	for name, c := range map[string]struct {
		place, rate float64
		profile     Profile
		wantPlace   float64
		wantRate    float64
	}{
		"within":                {0.5, -0.1, Profile{V: -0.1}, 0.5, -0.1},
		"beyond":                {-2, -0.1, Profile{}, 0, 0},
		"beyond, coming back":   {-2, 0.1, Profile{}, 0, 0},
		"too fast to stop":      {0.4, -0.1, Profile{V: -1}, 0, 0},
		"too fast, to the high": {0.6, 0.1, Profile{V: 1}, 1, 0},
	} {
		a := Axis{Phase: moving, Profile: c.profile}
		goal := g
		goal.Place, goal.Rate = c.place, c.rate
		got := a.withinLimits(bounds, &goal, &Body{Dish: 0.5, Motor: 0.5})
		if got.Place != c.wantPlace || got.Rate != c.wantRate {
			t.Errorf("%s: to %v at %v, want %v at %v", name, got.Place, got.Rate, c.wantPlace, c.wantRate)
		}
		if goal.Place != c.place {
			t.Errorf("%s: the goal itself was changed", name)
		}
	}
}
