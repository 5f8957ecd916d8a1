package view_test

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

func TestNoiseScale(t *testing.T) {
	cold := desk.Noise{HasCold: true, ColdDB: -63}
	none := math.NaN()
	rows := []struct {
		name                   string
		noise                  desk.Noise
		minimum, maximum, span float64
		low, high, step        float64
	}{
		{"a little above cold sky", cold, -61.4, -60.4, 0, 0, 3, 1},
		{"cold sky itself", cold, -63.1, -62.9, 0, -0.5, 0.5, 0.5},
		{"the Sun", cold, -52, -50, 0, 10, 14, 1},
		{"no levels yet", cold, none, none, 0, -0.5, 0.5, 0.5},
		{"no cold sky", desk.Noise{}, -63.3, -62.7, 0, 0.5, 1.5, 0.5},
		{"a chosen span", cold, -61.4, -60.4, 10, -5, 5, 5},
		{"a chosen span of one", cold, -61.4, -60.4, 1, 1.5, 2.5, 0.5},
	}
	for _, row := range rows {
		s := view.NoiseScale{}.Next(row.noise, row.minimum, row.maximum, row.span)
		if row.span != 0 && !close(s.High-s.Low, row.span, 1e-9) {
			t.Errorf("%s: %v dB are shown, want %v", row.name, s.High-s.Low, row.span)
		}
		if row.span == 0 && !math.IsNaN(row.minimum) && (row.minimum-s.Zero < s.Low || row.maximum-s.Zero > s.High) {
			t.Errorf("%s: %v to %v do not fit into %v to %v", row.name, row.minimum-s.Zero, row.maximum-s.Zero, s.Low,
				s.High)
		}
		for _, level := range []float64{s.Zero + s.Low, s.Zero + s.High, -61} {
			if back := s.Level(s.Y(level, 54), 54); !close(back, level, 1e-9) {
				t.Errorf("%s: level %v comes back as %v", row.name, level, back)
			}
		}
		if row.low != s.Low || !close(row.high, s.High, 1e-9) || row.step != s.Step {
			t.Errorf("%s: %v to %v by %v, want %v to %v by %v", row.name, s.Low, s.High, s.Step, row.low, row.high,
				row.step)
		}
		if s.Y(s.Zero+s.High, 54) != 0 || !close(s.Y(s.Zero+s.Low, 54), 54, 1e-9) {
			t.Errorf("%s: the edges are not at the edges", row.name)
		}
		lines := s.Lines()
		if len(lines) < 2 || len(lines) > 8 {
			t.Errorf("%s: %d lines", row.name, len(lines))
		}
		for _, line := range lines {
			if !close(line/s.Step, math.Round(line/s.Step), 1e-6) {
				t.Errorf("%s: a line at %v, not on a step of %v", row.name, line, s.Step)
			}
		}
	}
}

func TestNoiseScaleIsSteady(t *testing.T) {
	cold := desk.Noise{HasCold: true}
	rows := []struct {
		name                   string
		noise                  desk.Noise
		minimum, maximum, span float64
		stays                  bool
	}{
		{"the level wanders", cold, 1.55, 2.3, 0, true},
		{"a little less of it", cold, 1.9, 2.1, 0, true},
		{"too high", cold, 1.7, 3.4, 0, false},
		{"too low", cold, -0.3, 2.4, 0, false},
		{"hardly any of it is used", cold, 0.05, 0.15, 0, false},
		{"cold sky taken anew", desk.Noise{HasCold: true, ColdDB: 1}, 1.7, 2.4, 0, false},
		{"cold sky lost", desk.Noise{}, 1.7, 2.4, 0, false},
		{"a span chosen", cold, 1.7, 2.4, 1, false},
	}
	before := view.NoiseScale{}.Next(cold, 1.7, 2.4, 0)
	for _, row := range rows {
		if got := before.Next(row.noise, row.minimum, row.maximum, row.span); (got == before) != row.stays {
			t.Errorf("%s: %+v, before %+v", row.name, got, before)
		}
	}
}

func TestNoiseWords(t *testing.T) {
	rows := []struct {
		name        string
		change      func(*desk.Status)
		head, under string
	}{
		{"above", nil, "2.2 dB", "above cold sky, 2 h old"},
		{"below", func(s *desk.Status) { s.Noise.LevelDB = -0.4 }, "0.4 dB", "below cold sky, 2 h old"},
		{"the same but for rounding", func(s *desk.Status) { s.Noise.LevelDB = -0.04 }, "0.0 dB",
			"above cold sky, 2 h old"},
		{"of just now", func(s *desk.Status) { s.Noise.ColdAt = s.At.Add(-50 * time.Minute) }, "2.2 dB",
			"above cold sky"},
		{"of last week", func(s *desk.Status) { s.Noise.ColdAt = s.At.Add(-190 * time.Hour) }, "2.2 dB",
			"above cold sky, 7 days old"},
		{"without cold sky", func(s *desk.Status) { s.Noise.HasCold, s.Noise.LevelDB = false, -63.24 }, "−63.2 dB",
			"cold-sky level not set"},
		{"transmitting", func(s *desk.Status) { s.Noise.Clean, s.Transmit.Keyed = false, true }, "– dB",
			"transmitting"},
		{"not clean", func(s *desk.Status) { s.Noise.Clean = false }, "– dB", "not measured now"},
		{"no detector", func(s *desk.Status) { s.Noise.Fitted = false }, "– dB", "no detector"},
		{"link lost", func(s *desk.Status) { s.Link.State = desk.LinkLost }, "– dB", "not known now"},
	}
	for _, row := range rows {
		n := now(row.change)
		got := view.NoiseWords(n)
		if got.Head.Words != row.head || got.Under.Words != row.under {
			t.Errorf("%s: %q, %q", row.name, got.Head.Words, got.Under.Words)
		}
		if blocked := view.ColdSkyBlocked(n) != ""; blocked != (n.Noise.Clean == false || !n.Noise.Fitted || !n.Live) {
			t.Errorf("%s: cold sky can't be taken: %v", row.name, blocked)
		}
	}
	for mark, want := range map[uint8]string{0: "", 1: "trim", 2: "preamplifier", 3: "noise source", 4: "band", 9: ""} {
		if got := view.MarkWords(mark); got != want {
			t.Errorf("mark %d is %q, want %q", mark, got, want)
		}
	}
}
