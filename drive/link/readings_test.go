package link

import (
	"testing"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/badcable"
	"beamhelm/drive/guard"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/step"
)

// TestReadingsOnASlowLine: at every speed of the line, with replies as late as
// they may begin (10 ms after the request) and an adapter that adds its own
// 16 ms on top, both halves of the readings stay young and no tick is lost.
func TestReadingsOnASlowLine(t *testing.T) {
	// Five ticks a second below 19200 baud, ten below 57600, else twenty: what the settings choose by default.
	for baud, ticks := range map[int]int{9600: 5, 19200: 10, 38400: 10, 57600: 20, 115200: 20} {
		for _, adapter := range []time.Duration{0, 16 * ms} {
			cable := badcable.Default()
			cable.Baud = baud
			if adapter > 0 {
				cable.LateReplies, cable.LateBy = 1, adapter
			}
			b := newBench(t, cable, func(c *serve.Config) { *c = c.Latest() })
			oldest, missed, replies := readingsOf(t, b, time.Second/time.Duration(ticks))
			if oldest > 1200*ms || missed > 0 {
				t.Errorf("%d baud, adapter %v: readings up to %v old, %d of %d replies missed", baud, adapter, oldest,
					missed, replies)
			}
		}
	}
}

// readingsOf lets a loop run for a minute of virtual time; the oldest that the
// readings became after the first five seconds.
func readingsOf(t *testing.T, b *bench, tick time.Duration) (oldest time.Duration, missed, replies uint64) {
	t.Helper()
	c := drive.Default()
	c.Step.Tick = tick
	c.Step.Watchdog = max(c.Step.Watchdog, 3*tick)
	c.Step.JogLife = max(c.Step.JogLife, 2*tick)
	l, err := drive.New(b.Memory, c)
	if err != nil {
		t.Fatal(err)
	}
	for now := step.Nanos(0); now < time.Minute; now = max(now+tick, b.line.Now()) {
		l.Tick(now, time.Unix(1_800_000_000, 0).Add(now))
		s := l.Status()
		if now > 5*time.Second {
			oldest = max(oldest, s.ReadingsAge)
		}
		for _, f := range s.Findings[:s.FindingCount] {
			if f.Code == guard.ReadingsStale {
				t.Fatalf("stale at %v: %v", now, s.ReadingsAge)
			}
		}
		replies, missed = s.Link.Replies, s.Link.Missed
	}
	return oldest, missed, replies
}
