package practice

import (
	"math"
	"math/rand/v2"
	"sync"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"beamhelm/app/audio"
	"beamhelm/app/settings"
	"beamhelm/ending"
)

// Heard is what the simulated receiver hears.
type Heard struct {
	// OverDB is the noise's level over that of the beginning.
	OverDB float64
	// Muted says that the transmitter is keyed.
	Muted bool
	// ToneHz is a weak signal's audio frequency, ToneDBHz its strength over the noise of 1 Hz; -Inf: none.
	ToneHz, ToneDBHz float64
}

// Receiver is the simulated receiver's audio, an input beside those of the sound system: noise through a voice filter.
type Receiver struct {
	heard func() Heard
	seed  uint64
	moon  *Moon
}

// NewReceiver returns a receiver, which hears what a moon returns, if any. heard is asked ten times a second, from the
// receiver's own goroutine.
func NewReceiver(seed uint64, heard func() Heard, moon *Moon) *Receiver {
	return &Receiver{heard, seed, moon}
}

// Inputs implements audio.System.
func (*Receiver) Inputs() ([]audio.Device, error) {
	return []audio.Device{{ID: settings.SimulatedReceiver, Name: settings.SimulatedReceiver, OnDemand: true}}, nil
}

// Outputs implements audio.System: there is none.
func (*Receiver) Outputs() ([]audio.Device, error) { return nil, nil }

// Play implements audio.System.
func (*Receiver) Play(string, func([]float32)) (audio.Stream, error) { return nil, audio.ErrNotFound }

// Capture implements audio.System.
func (r *Receiver) Capture(_ string, got func([]float32)) (audio.Stream, error) {
	s := &simulated{heard: r.heard, moon: r.moon, noise: voiceNoise(r.seed), ended: make(chan struct{})}
	s.rest.Go("simulated receiver", func() { s.run(got) })
	return s, nil
}

// Properties of the simulated receiver.
const (
	lowHz, highHz = 300, 2700
	levelDBFS     = -26 // of its noise at first
	mutedDB       = -50
	blockTime     = 100 * time.Millisecond
	noiseSamples  = 1 << 19 // 11 s that repeat without a seam
)

// simulated is its stream.
type simulated struct {
	heard func() Heard
	moon  *Moon
	echo  []float64 // of the block
	noise []float32
	at    int
	phase float64
	rest  ending.Group
	once  sync.Once
	ended chan struct{}
}

// Close implements audio.Stream.
func (s *simulated) Close() {
	s.once.Do(func() { close(s.ended) })
	s.rest.Wait()
}

// run hands over blocks when they are due.
func (s *simulated) run(got func([]float32)) {
	block := make([]float32, audio.Rate/10)
	ticker := time.NewTicker(blockTime)
	defer ticker.Stop()
	for began, count := time.Now(), 0; ; {
		select {
		case <-s.ended:
			return
		case <-ticker.C:
		}
		ending.Here("simulated receiver")
		for ; time.Since(began) >= time.Duration(count+1)*blockTime; count++ {
			s.fill(began.Add(time.Duration(count)*blockTime), block)
			got(block)
		}
	}
}

// fill makes the block that begins at a moment.
func (s *simulated) fill(at time.Time, block []float32) {
	s.echo = append(s.echo[:0], make([]float64, len(block))...)
	if s.moon != nil {
		s.moon.Hear(at, s.echo, 1.0/(highHz-lowHz)) // the noise's mean square is 1
	}
	h := s.heard()
	gain := math.Pow(10, (levelDBFS+min(15, h.OverDB))/20)
	if h.Muted {
		gain *= math.Pow(10, mutedDB/20.0)
	}
	tone := math.Sqrt(2 * math.Pow(10, h.ToneDBHz/10) / (highHz - lowHz)) // the noise's mean square is 1
	step := 2 * math.Pi * h.ToneHz / audio.Rate
	for i := range block {
		x := float64(s.noise[s.at]) + s.echo[i]
		if tone > 0 {
			x += tone * math.Sin(s.phase)
			if s.phase += step; s.phase > 2*math.Pi {
				s.phase -= 2 * math.Pi
			}
		}
		if s.at++; s.at == len(s.noise) {
			s.at = 0
		}
		block[i] = float32(gain * x)
	}
}

// voiceNoise is Gaussian noise of mean square 1 between lowHz and highHz, with edges of 50 Hz.
func voiceNoise(seed uint64) []float32 {
	chance := rand.New(rand.NewPCG(seed, 48000))
	lines := make([]complex128, noiseSamples/2+1)
	for i := range lines {
		f := float64(i) * audio.Rate / noiseSamples
		out := max(0, lowHz-f, f-highHz) / 50
		if out > 6 {
			continue
		}
		weight := math.Exp(-out * out)
		lines[i] = complex(weight*chance.NormFloat64(), weight*chance.NormFloat64())
	}
	values := fourier.NewFFT(noiseSamples).Sequence(nil, lines)
	sum := 0.0
	for _, v := range values {
		sum += v * v / noiseSamples
	}
	noise := make([]float32, noiseSamples)
	for i, v := range values {
		noise[i] = float32(v / math.Sqrt(sum))
	}
	return noise
}
