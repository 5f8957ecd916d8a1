package practice

import (
	"math"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/audio/spectrum"
)

// The simulated receiver is heard as a real one is: its noise at its level, its tone where it is and as strong as
// it says, nothing while it is muted.
func TestReceiver(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var muted atomic.Bool
		r := NewReceiver(1, func() Heard { return Heard{ToneHz: 1500, ToneDBHz: 25, Muted: muted.Load()} }, nil)
		devices, err := r.Inputs()
		if err != nil || len(devices) != 1 {
			t.Fatal(devices, err)
		}
		var samples []float32
		s, err := r.Capture(devices[0].ID, func(block []float32) { samples = append(samples, block...) })
		if err != nil {
			t.Fatal(err)
		}
		rms := func(from []float32) float64 {
			sum := 0.0
			for _, x := range from {
				sum += float64(x) * float64(x)
			}
			return 10 * math.Log10(sum/float64(len(from)))
		}
		time.Sleep(20*time.Second + time.Millisecond)
		synctest.Wait()
		loud := samples
		if len(loud) != 20*audio.Rate {
			t.Fatalf("%d samples in 20 s", len(loud))
		}
		// The tone adds a little: 25 dB-Hz in 2400 Hz is -8.8 dB.
		if want := levelDBFS + 10*math.Log10(1+math.Pow(10, 2.5)/2400); math.Abs(rms(loud)-want) > 0.2 {
			t.Errorf("level %.2f dBFS, want %.2f", rms(loud), want)
		}
		low := spectrum.NewDecimator().Lower(loud, nil)
		p := spectrum.NewPower(4096)
		power, pieces := make([]float64, p.Bins()), 0
		for ; (pieces+1)*4096 < len(low); pieces++ {
			p.Add(low[pieces*4096:], power)
		}
		floor, _ := spectrum.Floor(power[200:800], float64(pieces), nil)
		binHz := float64(spectrum.Rate) / 4096
		got := 10 * math.Log10(power[512]/floor*spectrum.NoiseBins*binHz)
		if math.Abs(got-25) > 0.6 {
			t.Errorf("the tone has %.2f dB-Hz, want 25", got)
		}
		muted.Store(true)
		time.Sleep(time.Second)
		synctest.Wait()
		if got := rms(samples[len(loud):]); got > levelDBFS+mutedDB+1 {
			t.Errorf("muted: %.1f dBFS", got)
		}
		s.Close()
	})
}
