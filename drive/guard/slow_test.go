package guard

import (
	"testing"
	"time"
)

// Slow motion in pushes of a second, one every two: how far the counts go in a
// push and go back after it shows a worm that slips and a worn one that is driven
// back, where no single push is long enough to tell.
func TestPushesThatLeadNowhere(t *testing.T) {
	for _, w := range []struct {
		name        string
		drive       float64
		there, back int // counts in a push, and in the pause after it
		every       int // push gives them
		code        Code
	}{
		{"as far as driven", 0.1, 1, 0, 1, None},
		{"as far as driven, downwards", -0.1, 1, 0, 1, None},
		{"the push goes into holding a gust", 0.03, 0, 0, 1, None},
		{"a worm that slips", 0.19, 1, 0, 4, NoProgress},
		{"an encoder that counts nothing", 0.25, 0, 0, 1, NoProgress},
		{"an encoder that counts nothing, downwards", -0.25, 0, 0, 1, NoProgress},
		{"a worm that slips, downwards", -0.19, 1, 0, 4, NoProgress},
		{"a worn worm driven back", 0.1, 1, 1, 1, MovingNotDriven},
		{"a worn worm driven back, downwards", -0.1, 1, 1, 1, MovingNotDriven},
	} {
		c, f := usual()
		var s State
		sign, counts := int32(signOf(w.drive)), int32(0)
		for k := range 600 {
			switch phase := k % 20; {
			case k/20%w.every != 0:
			case phase == 5:
				counts += sign * int32(w.there)
			case phase == 15:
				counts -= sign * int32(w.back)
			}
			f.Axes[0].Applied, f.Axes[0].Demand = 0, 0
			if k%20 < 10 {
				f.Axes[0].Applied, f.Axes[0].Demand = w.drive, w.drive
			}
			f.Now, f.Millis, f.Axes[0].Counts = time.Duration(k+1)*tick, uint32(k*100), counts
			v := Judge(&c, &f, &s)
			if w.code == None && v.Count != 0 {
				t.Fatalf("%s: %v after %v", w.name, v.Found[:v.Count], f.Now)
			}
			if v.Response == TripPower {
				if v.First != (Finding{w.code, 0}) {
					t.Errorf("%s: tripped by %v of axis %d after %v, want %v", w.name, v.First.Code, v.First.Axis,
						f.Now, w.code)
				}
				break
			}
			if k == 599 && w.code != None {
				t.Errorf("%s: not found in a minute", w.name)
			}
		}
	}
}
