package echotest

import (
	"math"
	"testing"
)

// An echo that stands out is where it is, far from where it was expected too; one that hardly does is on time, for
// that is what is known of it.
func TestDelaysAsFarAsTheEchoTells(t *testing.T) {
	const stepS, expectedS, lateS, toneS, cycles = 0.0005, 0.2, 0.06, 2.0, 10
	for _, c := range []struct{ over, low, high float64 }{{10, 0.058, 0.062}, {0.3, 0, 0.02}, {0, -1e-3, 1e-3}} {
		b := band{power: make([]float64, int((toneS+2*expectedS)/stepS)), aside: 12}
		for i := range b.power {
			b.power[i] = 1
			if at := float64(i)*stepS - expectedS - lateS; at >= 0 && at < toneS {
				b.power[i] += c.over
			}
		}
		got := b.begin(int(toneS/stepS), stepS, expectedS, cycles)
		if math.IsNaN(got) || got < c.low || got > c.high {
			t.Errorf("%g times the noise: %.4f s late, want from %g to %g", c.over, got, c.low, c.high)
		}
	}
}
