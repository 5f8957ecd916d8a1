package practice

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"sync"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"beamhelm/app/audio"
	"beamhelm/app/echotest"
)

// Return is what the Moon does to a burst that was sent at a moment.
type Return struct {
	// Delay is from the burst's beginning to its first arrival, from the Moon's near face.
	Delay time.Duration
	// DopplerHz, with what the dials differ by, at the middle of the burst, DriftHzPerS its change; SpreadHz limb to
	// limb.
	DopplerHz, DriftHzPerS, SpreadHz float64
	// DBHz is the echo's whole power over the noise in 1 Hz; -Inf: nothing comes back.
	DBHz float64
	MHz  float64
}

// Moon returns what is transmitted. What is sent comes in samples of audio.Rate, zero when nothing is; it
// may be called from any goroutine.
type Moon struct {
	path   func(sent time.Time, lasts time.Duration) Return
	chance *rand.Rand

	mu      sync.Mutex
	burst   []float64 // under way
	began   time.Time
	silent  int
	returns []returned
}

// returned is an echo that is still to come, for noise of density 1.
type returned struct {
	at      time.Time
	samples []float64
}

// NewMoon returns a moon. path tells what becomes of a burst, by the same clock as the samples.
func NewMoon(seed uint64, path func(sent time.Time, lasts time.Duration) Return) *Moon {
	return &Moon{path: path, chance: rand.New(rand.NewPCG(seed, 384400))}
}

const (
	burstEnds = audio.Rate / 100 // samples of silence that end a burst
	longest   = 10 * audio.Rate  // a burst that is cut
	shortest  = audio.Rate / 20  // what is shorter is a click
	tiny      = 1e-4             // what is below is silence
	keptFor   = 20 * time.Second // of an echo that nobody heard
)

// Send takes a block of what goes on the air, whose first sample is sent at a moment.
func (m *Moon) Send(at time.Time, block []float32) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for i, x := range block {
		switch loud := math.Abs(float64(x)) > tiny; {
		case loud && m.burst == nil:
			m.began = at.Add(time.Duration(i) * time.Second / audio.Rate)
			fallthrough
		case loud:
			m.silent = 0
		case m.burst == nil:
			continue
		default:
			m.silent++
		}
		if m.burst = append(m.burst, float64(x)); m.silent >= burstEnds || len(m.burst) >= longest {
			m.reflect(m.burst[:len(m.burst)-m.silent])
			m.burst, m.silent = nil, 0
		}
	}
}

// reflect makes the echo of a burst that is over.
func (m *Moon) reflect(burst []float64) {
	if len(burst) < shortest {
		return
	}
	lasts := time.Duration(len(burst)) * time.Second / audio.Rate
	r := m.path(m.began, lasts)
	if math.IsInf(r.DBHz, -1) || math.IsNaN(r.DBHz) {
		return
	}
	sent, power := analytic(burst)
	fading := echotest.Fading(m.chance.NormFloat64, r.MHz, r.SpreadHz, audio.Rate, len(burst))
	scale := math.Sqrt(2 * math.Pow(10, r.DBHz/10) / power)
	echo := make([]float64, len(burst))
	for i := range echo {
		t := (float64(i) - float64(len(burst))/2) / audio.Rate
		shifted := sent[i] * fading[i] * cmplx.Rect(1, 2*math.Pi*r.DopplerHz*t+math.Pi*r.DriftHzPerS*t*t)
		echo[i] = scale * real(shifted)
	}
	m.returns = append(m.returns, returned{m.began.Add(r.Delay), echo})
}

// analytic is a real signal without its negative frequencies, and its mean power.
func analytic(signal []float64) (samples []complex128, power float64) {
	n := 1
	for n < len(signal) {
		n *= 2
	}
	line := make([]complex128, n)
	for i, x := range signal {
		line[i] = complex(x, 0)
	}
	fft := fourier.NewCmplxFFT(n)
	line = fft.Coefficients(nil, line)
	for i := range line {
		if i > n/2 {
			line[i] = 0
		}
	}
	samples = fft.Sequence(nil, line)[:len(signal)]
	for i := range samples {
		samples[i] *= complex(2/float64(n), 0)
		power += real(samples[i])*real(samples[i]) + imag(samples[i])*imag(samples[i])
	}
	return samples, power / float64(len(signal))
}

// Hear adds the echoes to a block that begins at a moment, where the noise of a hertz has the given mean square.
func (m *Moon) Hear(at time.Time, block []float64, density float64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	scale := math.Sqrt(density)
	left := m.returns[:0]
	for _, r := range m.returns {
		from := int(math.Round(r.at.Sub(at).Seconds() * audio.Rate)) // the echo's first sample in this block
		for i := max(0, from); i < min(len(block), from+len(r.samples)); i++ {
			block[i] += scale * r.samples[i-from]
		}
		if from+len(r.samples) > len(block) && at.Sub(r.at) < keptFor {
			left = append(left, r)
		}
	}
	m.returns = left
}
