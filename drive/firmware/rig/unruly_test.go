//go:build peers

package rig

import (
	"math"
	"testing"
	"time"

	"beamhelm/drive/step"
)

// underWay is a panel whose dish slews.
func underWay(t *testing.T) *panel {
	t.Helper()
	dish, c := stillAir()
	p := newPanel(t, Chip, everything19200(), dish, c)
	p.powerOn()
	from := p.place(0)
	p.slew(from+30, p.place(1))
	p.until(20*time.Second, "under way", func(*step.Status) bool { return math.Abs(p.place(0)-from) > 3 })
	return p
}

// TestPanelAndHang: the program hangs in a slew, at several moments between two
// exchanges. The chip's own watchdog ends the motion, whatever the panel does;
// the panel sees the restart, and neither drives on nor trusts the old counts.
func TestPanelAndHang(t *testing.T) {
	t.Parallel()
	longest, sinceGood := uint64(0), uint64(0)
	for k := range 4 {
		p := underWay(t)
		p.rig.For(time.Duration(25*k) * time.Millisecond)
		good := uint64(0) // when the last byte of the last reply began
		p.rig.Spoil = func(b byte, toEnclosure bool) (byte, bool) {
			if !toEnclosure {
				good = p.rig.Now()
			}
			return b, true
		}
		p.pass()
		p.rig.Hang(k%2 == 0)
		begun := p.rig.Now()
		if !p.rig.Until(200*time.Millisecond, func() bool {
			return p.rig.Seen.Duty[0] == 0 &&
				!p.rig.High("AZ_ENABLE") && !p.rig.High("CONTACTOR")
		}) {
			t.Fatal("the dish is driven on")
		}
		longest, sinceGood = max(longest, p.rig.Now()-begun), max(sinceGood, p.rig.Now()-good)
		p.now = p.line.Now()
		p.run(4 * time.Second)
		s := p.loop.Status()
		if p.rig.Driven(0) != 0 || p.rig.High("CONTACTOR") || !s.Lock.Locked || s.Axes[0].Trusted || s.Axes[1].Trusted {
			t.Errorf("driven by %.2f, locked out %v, positions trusted %v %v", p.rig.Driven(0), s.Lock.Locked,
				s.Axes[0].Trusted, s.Axes[1].Trusted)
		}
		p.Stop()
	}
	t.Logf("a hang in a slew: everything off %.0f ms after it, %.0f ms after the last good exchange, to a millisecond",
		milliseconds(longest), milliseconds(sinceGood))
	if milliseconds(longest) > 35 {
		t.Errorf("everything off after %.0f ms", milliseconds(longest))
	}
}

// TestPanelAndChatter: a track of the azimuth encoder begins to chatter in a
// slew. The line goes on, and the panel ends the motion and the reference of that axis by itself.
func TestPanelAndChatter(t *testing.T) {
	t.Parallel()
	p := underWay(t)
	whole := p.rig.Dish
	p.rig.Dish = func(r *Rig) {
		whole(r)
		r.Chatter()
	}
	begun := p.now
	p.until(20*time.Second, "an end of the motion", func(s *step.Status) bool {
		return s.Mode != step.Slewing && p.rig.Driven(0) == 0 && p.rig.Driven(1) == 0
	})
	s := p.loop.Status()
	t.Logf("200,000 edges a second: at rest after %v", p.now-begun)
	if s.Link.State != step.LinkGood || p.rig.Seen.Resets > 0 || p.rig.Seen.Overrun > 0 || s.Axes[0].Trusted ||
		!s.Axes[1].Trusted {
		t.Errorf("link %v, %d restarts, %d bytes overrun, trusted: azimuth %v, elevation %v", s.Link.State,
			p.rig.Seen.Resets, p.rig.Seen.Overrun,
			s.Axes[0].Trusted, s.Axes[1].Trusted)
	}
}

// Chatter lets a track of azimuth change 200 times in the next millisecond.
func (r *Rig) Chatter() {
	for k := range uint32(200) {
		r.set(k*80+uint32(r.now/7%40), "AZ_A", k%2 == 0)
	}
}
