package guard

import (
	"testing"
	"time"
)

// TestLinkLossTimes: the link is lost after the times that the page of registers gives: 0.5 s at rest,
// 1 s with drive power, four ticks where that is longer.
func TestLinkLossTimes(t *testing.T) {
	for _, w := range []struct {
		tick    time.Duration
		powered bool
		limit   time.Duration
	}{
		{100 * time.Millisecond, false, 500 * time.Millisecond},
		{100 * time.Millisecond, true, time.Second},
		{200 * time.Millisecond, false, 800 * time.Millisecond},
		{300 * time.Millisecond, true, 1200 * time.Millisecond},
		{50 * time.Millisecond, false, 500 * time.Millisecond},
	} {
		c, f := usual()
		c.Tick, c.Limits.LinkIdle, c.Limits.LinkPowered = w.tick, DefaultLimits().LinkIdle, DefaultLimits().LinkPowered
		f.Connected, f.Ours = true, w.powered
		for _, over := range []bool{false, true} {
			if f.ReplyAge = w.limit; over {
				f.ReplyAge++
			}
			var s State
			if Judge(&c, &f, &s); s.Stands(LinkLost) != over {
				t.Errorf("tick %v, power %v: no reply for %v: lost %v", w.tick, w.powered, f.ReplyAge, !over)
			}
		}
	}
}
