package crossing

import (
	"math"
	"testing"
)

func TestNextFindsEveryCrossing(t *testing.T) {
	// A day's swing whose top slowly grows through zero: visits of a few seconds first.
	const spin = 2 * math.Pi / 86164
	for _, height := range []float64{-1e-9, 1e-12, 1e-10, 1e-8, 1e-6, 1e-3, 0.2, 0.999, 1.5} {
		s := Search{Step: 60, Margin: func(at float64) (margin, clear float64) {
			margin = math.Cos(spin*(at-40000)) - 1 + height
			return margin, math.Abs(margin) / spin
		}}
		var crossings []float64
		for from := 0.0; ; {
			at, found := s.Next(from, 80000)
			if !found {
				break
			}
			crossings = append(crossings, at)
			from = at
		}
		var want []float64
		if height >= 1e-12 && height < 2 {
			half := math.Acos(1-height) / spin
			for _, at := range []float64{40000 - half, 40000 + half} {
				if at > 0 && at < 80000 {
					want = append(want, at)
				}
			}
		}
		if len(crossings) != len(want) {
			t.Errorf("height %g: crossings %v, want %v", height, crossings, want)
			continue
		}
		for i, at := range crossings {
			// The arc cosine itself is only good to the root of the rounding.
			if math.Abs(at-want[i]) > 0.0015+1e-12/math.Sqrt(height) {
				t.Errorf("height %g: crossing %d at %.4f, want %.4f", height, i, at, want[i])
			}
		}
	}
}

func TestNextEnds(t *testing.T) {
	s := Search{Margin: func(at float64) (margin, clear float64) { return 10 - at, 0 }, Step: 1}
	if at, found := s.Next(0, 9.999); found {
		t.Errorf("a crossing at %v before there is one", at)
	}
	if at, found := s.Next(0, 11); !found || at < 10 || at > 10.001 {
		t.Errorf("crossing at %v (%v), want 10", at, found)
	}
	if _, found := s.Next(5, 5); found {
		t.Error("a crossing in a span of no length")
	}
}

func TestGreatest(t *testing.T) {
	rows := []struct {
		name     string
		quantity func(float64) float64
		from, to float64
		want     float64
	}{
		{"inside", func(x float64) float64 { return -(x - 1234.5) * (x - 1234.5) }, 0, 5000, 1234.5},
		{"at the beginning", func(x float64) float64 { return -x }, 100, 5000, 100},
		{"at the end", func(x float64) float64 { return x }, 100, 5000, 5000},
		{"the higher of two", func(x float64) float64 { return math.Sin(x/500) + x*1e-5 }, 0, 5000,
			500*(2.5*math.Pi) + 500*0.005},
		{"no length", math.Sin, 7, 7, 7},
	}
	for _, row := range rows {
		if at := Greatest(row.quantity, row.from, row.to, 600); math.Abs(at-row.want) > 0.02 {
			t.Errorf("%s: greatest at %.3f, want %.3f", row.name, at, row.want)
		}
	}
}

func TestPeaks(t *testing.T) {
	peaks := Peaks(func(at float64) float64 { return math.Sin(at / 500) }, 0, 8000, 300)
	if len(peaks) != 3 {
		t.Fatalf("peaks %v, want three", peaks)
	}
	for i, at := range peaks {
		if want := 500 * math.Pi * (2*float64(i) + 0.5); math.Abs(at-want) > 0.02 {
			t.Errorf("peak at %.3f, want %.3f", at, want)
		}
	}
	if peaks := Peaks(func(at float64) float64 { return at }, 0, 1000, 300); len(peaks) != 0 {
		t.Errorf("peaks of a slope: %v", peaks)
	}
}
