package mount

import (
	"math"
	"testing"
	"time"
)

func samples(az func(hour float64) float64, el float64, hours float64) []Sample {
	var out []Sample
	for t := 0.0; t <= hours; t += 1.0 / 60 {
		folded := math.Mod(az(t)+720, 360)
		out = append(out, Sample{time.Duration(t * float64(time.Hour)), AxisAngles{deg(folded), deg(el)}})
	}
	return out
}

var wrap = Limits{EndLow: deg(-50), SoftLow: deg(-45), SoftHigh: deg(405), EndHigh: deg(410)}

func TestRouteChoosesBranchForTheWholePass(t *testing.T) {
	for _, c := range []struct {
		name         string
		now          float64
		from, to     float64
		first, last  float64
		unwraps      int
		firstUnwraps float64 // hours
	}{
		{"an ordinary pass", 100, 90, 270, 90, 270, 0, 0},
		{"through north, clockwise, from the low branch", 0, 330, 390, -30, 30, 0, 0},
		{"through north, but it would run out above", 390, 20, 80, 380 - 360, 80, 0, 0},
		{"the nearer branch where both hold", 400, 0, 40, 360, 400, 0, 0},
		{"more than the wrap holds", 0, -40, 500, -40, 140, 1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			pass := samples(func(h float64) float64 { return c.from + (c.to-c.from)*h/8 }, 30, 8)
			plan := Route(pass, wrap, deg(c.now), deg(1.5))
			got := [2]float64{plan.Samples[0].Az.Deg(), plan.Samples[len(plan.Samples)-1].Az.Deg()}
			if math.Abs(got[0]-c.first) > 1 || math.Abs(got[1]-c.last) > 1.2 || len(plan.Unwraps) != c.unwraps ||
				plan.Beyond {
				t.Errorf("from %.1f to %.1f, %d unwraps %v, beyond %v; want %v to %v, %d", got[0], got[1],
					len(plan.Unwraps), plan.Unwraps, plan.Beyond, c.first, c.last, c.unwraps)
			}
			for i, s := range plan.Samples {
				if !wrap.Inside(s.Az) {
					t.Fatalf("sample %d at %v degrees", i, s.Az.Deg())
				}
				if off := math.Abs(math.Remainder((s.Az - pass[i].Az).Deg(), 360)); off > 1e-9 {
					t.Fatalf("sample %d is %v degrees from its target", i, off)
				}
			}
			for _, u := range plan.Unwraps {
				if u.Turns != -1 || math.Abs(u.Lasts.Seconds()-240) > 1 {
					t.Errorf("unwrap %+v, want one turn back in 240 s at 1.5 degrees a second", u)
				}
			}
		})
	}
}

// A target that passes within distance of the zenith on a straight way at
// constant speed: azimuth = atan2(x, distance), from one side to the other.
func TestRouteThroughTheZenith(t *testing.T) {
	const rate, distance, speed = 0.004, 0.05, 0.5 // degrees
	var pass []Sample
	for s := -600.0; s <= 600; s++ {
		x := rate * s
		pass = append(pass, Sample{time.Duration(s * float64(time.Second)),
			AxisAngles{deg(180 - math.Atan2(x, distance)*180/math.Pi), deg(90 - math.Hypot(x, distance))}})
	}
	plan := Route(pass, wrap, deg(100), deg(speed))
	if len(plan.Zeniths) != 0 {
		// At 0.05 degrees the greatest rate is 0.004/0.05 rad/s = 4.6 degrees a second.
		z := plan.Zeniths[0]
		if d := (z.To - z.From).Seconds(); d < 180/speed*0.5 || d > 180/speed*1.05 {
			t.Errorf("off the target for %v s", d)
		}
		if z.Worst.Deg() > 0.3 {
			t.Errorf("off the target by %v degrees", z.Worst.Deg())
		}
		if z.Worst.Deg() > 0.3 {
			t.Errorf("off the target by %v degrees", z.Worst.Deg())
		}
		if off := math.Abs((z.To + z.From).Seconds()); off > 20 {
			t.Errorf("the passage is %v s off the middle", off/2)
		}
	} else {
		t.Fatal("no zenith passage found")
	}
	for i := 1; i < len(plan.Samples); i++ {
		a, b := plan.Samples[i-1], plan.Samples[i]
		if r := math.Abs((b.Az - a.Az).Deg()) / (b.At - a.At).Seconds(); r > speed*1.0001 {
			t.Fatalf("at %v azimuth goes %v degrees a second", a.At, r)
		}
	}
}
