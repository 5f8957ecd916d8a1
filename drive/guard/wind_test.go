package guard

import (
	"math"
	"testing"
	"time"
)

// blow judges for that long in a wind of that 1 s value and gust.
func blow(c *Config, f *Facts, s *State, mean, gust float64, last time.Duration) Verdict {
	f.WindFitted, f.WindMean, f.WindGust = true, mean, gust
	var v Verdict
	for end := f.Now + last; f.Now < end; {
		f.Now += 500 * time.Millisecond
		f.Millis += 500
		v = Judge(c, f, s)
	}
	return v
}

// The means are those of weather services: 1 minute and 10 minutes of 1 s values
// (WMO-No. 8 and WMO/TD-No. 1555, from memory). The limits are 10, 14 and 20 m/s.
func TestWindMeans(t *testing.T) {
	type part struct {
		mean, gust float64
		last       time.Duration
	}
	for _, w := range []struct {
		name       string
		parts      []part
		warn, stow bool
	}{
		{"a wind of 12 for a minute", []part{{12, 14, time.Minute}}, true, false},
		{"12 for half a minute is no mean", []part{{12, 14, 30 * time.Second}}, false, false},
		{"a calm night, then 12 for half a minute", []part{{2, 3, 15 * time.Minute}, {12, 14, 30 * time.Second}}, false,
			false},
		{"a calm night, then 12 for 70 s", []part{{2, 3, 15 * time.Minute}, {12, 14, 70 * time.Second}}, true, false},
		{"12, then 9: within the hysteresis", []part{{12, 14, 3 * time.Minute}, {9, 10, 3 * time.Minute}}, true, false},
		{"9 alone", []part{{9, 10, 6 * time.Minute}}, false, false},
		{"12, then 7.9", []part{{12, 14, 3 * time.Minute}, {7.9, 10, 3 * time.Minute}}, false, false},
		{"12, then nothing is read", []part{{12, 14, 3 * time.Minute}, {math.NaN(), 10, 2 * time.Minute}}, false,
			false},
		{"16 for 40 s: no mean yet", []part{{16, 18, 40 * time.Second}}, false, false},
		{"16 for 70 s at the start", []part{{16, 18, 70 * time.Second}}, false, true},
		{"a calm night, then 16 for 7 minutes: mean 11.8", []part{{2, 3, 30 * time.Minute}, {16, 18, 7 * time.Minute}},
			true, false},
		{"a calm night, then 16 for 10 minutes: mean 15.8",
			[]part{{2, 3, 30 * time.Minute}, {16, 18, 10 * time.Minute}}, false, true},
		{"a gust of 21 in a calm night", []part{{2, 3, 30 * time.Minute}, {9, 21, time.Second}}, false, true},
		{"a gust of 19.9", []part{{2, 3, 30 * time.Minute}, {9, 19.9, 10 * time.Second}}, false, false},
	} {
		c, f := usual()
		var s State
		var v Verdict
		for _, p := range w.parts {
			v = blow(&c, &f, &s, p.mean, p.gust, p.last)
		}
		if warn := s.Stands(WindWarning); warn != w.warn || v.Stow != w.stow {
			t.Errorf("%s: warning %v, stow %v; means %.2f and %.2f", w.name, warn, v.Stow, s.Wind.mean(warningBlocks),
				s.Wind.mean(stowBlocks))
		}
	}
}

// The stow stands until mean and gusts have been lower by the hysteresis for the time that is set.
func TestWindStowEnds(t *testing.T) {
	for _, w := range []struct {
		name  string
		gust  float64
		clear time.Duration
		after time.Duration // 0: it does not end within an hour
	}{
		{"gusts lower by less than the hysteresis", 18.5, 10 * time.Minute, 0},
		{"gusts lower by more", 17.5, 10 * time.Minute, 10 * time.Minute},
		{"three minutes", 17.5, 3 * time.Minute, 3 * time.Minute},
		{"at once", 17.5, 0, 500 * time.Millisecond},
	} {
		c, f := usual()
		c.Limits.WindClear = w.clear
		var s State
		if !blow(&c, &f, &s, 9, 21, time.Second).Stow {
			t.Fatalf("%s: a gust of 21 m/s does not stow", w.name)
		}
		since, ended := f.Now, time.Duration(0)
		for ended == 0 && f.Now-since < time.Hour {
			if !blow(&c, &f, &s, 9, w.gust, 500*time.Millisecond).Stow {
				ended = f.Now - since
			}
		}
		if (ended - w.after).Abs() > 500*time.Millisecond {
			t.Errorf("%s: ended after %v, want %v", w.name, ended, w.after)
		}
	}
}

// What is old or was long ago is in no mean.
func TestWindMeansHoldNothingOld(t *testing.T) {
	c, f := usual()
	var s State
	blow(&c, &f, &s, 16, 18, 2*time.Minute)
	f.Now += time.Hour // no step for an hour
	blow(&c, &f, &s, 5, 6, 70*time.Second)
	if got := s.Wind.mean(stowBlocks); math.Abs(got-5) > 1e-9 {
		t.Errorf("mean %.2f after an hour, want 5", got)
	}
	f.ReadingsAge = time.Minute
	blow(&c, &f, &s, 30, 6, 5*time.Minute)
	if got := s.Wind.mean(stowBlocks); math.Abs(got-5) > 1e-9 {
		t.Errorf("mean %.2f with old readings, want 5", got)
	}
	blow(&c, &f, &s, 30, 6, 10*time.Minute)
	if got := s.Wind.mean(stowBlocks); !math.IsNaN(got) {
		t.Errorf("mean %.2f of nothing but old readings", got)
	}
}
