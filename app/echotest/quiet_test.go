package echotest

import (
	"math"
	"testing"
)

// Power that is there in the quiet time as well is no echo; noise that happens to be high there denies none.
func TestWhatIsInTheQuietTimeIsNoEcho(t *testing.T) {
	const cycles, quietS = 10, 1.2
	f := frame{samples: 512, padded: 512, toneS: 2, binHz: 0.5, reach: 200}
	kernel := newProfile(surface(5760)).kernel(80, f.toneS, f.binHz)
	sigma := 1 / math.Sqrt(cycles*noiseWidth(kernel)) // of noise in the echo's time
	for _, c := range []struct {
		name       string
		own, after float64 // times sigma
		denied     bool
	}{
		{"an echo", 7, 0, false}, {"noise after an echo", 7, 2.8, false}, {"a carrier", 7, 7, true},
		{"a carrier that grows weaker", 7, 3.6, true}, {"one more so", 7, 4.8, true},
		{"a strong echo that comes late", 60, 12, false}, {"an echo over another", 25, 9, false},
		{"hardly any over another", 14, 9, true},
	} {
		var list []spectrum
		for range cycles {
			s := spectrum{power: make([]float64, 401), quiet: make([]float64, 401), quietS: quietS}
			for i := range s.power {
				s.power[i], s.quiet[i] = (1+c.own*sigma)*ofLimited, (1+c.after*sigma)*ofLimited
			}
			list = append(list, s)
		}
		if got := isInQuietTime(list, f, place{bin: f.reach}, kernel); got != c.denied {
			t.Errorf("%s: denied %v", c.name, got)
		}
	}
}
