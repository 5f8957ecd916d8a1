package desk

import (
	"testing"
	"time"

	"beamhelm/app/settings"
)

// bareBench is a bench whose dish is bare and keeps 6 degrees from the Sun, which
// stands at azimuth 248, elevation 26 degrees.
func bareBench(t *testing.T, az, el float64) *bench {
	b := newBench(t)
	s := settings.Practice()
	s.Dish.Finish, s.Sun.KeepAwayDeg = settings.Bare, 6
	c, err := NewConfig(s, b.c.Sky, b.c.Sources, true)
	if err != nil {
		t.Fatal(err)
	}
	b.c = c
	b.loop.Axes[0].Is, b.loop.Axes[1].Is = degrees(az), degrees(el)
	return b
}

func TestABareDishKeepsFromTheSun(t *testing.T) {
	to := func(az, el float64) Order { return Order{Kind: SlewTo, Az: degrees(az), El: degrees(el)} }
	for name, c := range map[string]struct {
		az, el float64
		order  Order
		refuse string
	}{
		"onto it":             {105, 40, to(248, 27), "from there, and a bare dish focuses it"},
		"across it":           {200, 26, to(300, 26), "the way passes the Sun at"},
		"above it":            {200, 45, to(300, 45), ""},
		"away from near it":   {250, 27, to(300, 40), ""},
		"elsewhere":           {105, 40, to(120, 50), ""},
		"tracking it":         {105, 40, Order{Kind: Track, On: true}, "from there, and a bare dish focuses it"},
		"park, which is free": {105, 40, Order{Kind: Park}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			b := bareBench(t, c.az, c.el)
			b.after(time.Second, Order{Kind: Choose, Body: BodyChoice{Kind: Sun, Name: "Sun"}})
			b.after(time.Second, c.order)
			started := len(b.asked) > 0
			if c.refuse == "" && !started || c.refuse != "" && (started || !b.said("Not started: ") || !b.said(c.refuse)) {
				t.Errorf("started %v: %v", started, b.out.Events)
			}
		})
	}
}

// A dish of mesh does not focus light: nothing is refused.
func TestAMeshDishMayLookAtTheSun(t *testing.T) {
	b := newBench(t)
	b.after(time.Second, Order{Kind: Choose, Body: BodyChoice{Kind: Sun, Name: "Sun"}})
	b.after(time.Second, Order{Kind: Track, On: true})
	if len(b.asked) == 0 {
		t.Errorf("refused: %v", b.out.Events)
	}
}
