package trials

import (
	"math"

	"beamhelm/app/echotest"
)

// Band is a band with the Doppler spread, limb to limb, of its trials.
type Band struct{ MHz, SpreadHz float64 }

// Bands are those that are tried.
var Bands = [...]Band{{144, 1.5}, {432, 5}, {1296, 15}, {1296, 30}, {5760, 80}, {10368, 180}}

// Class is how far echoes stand over the noise: z is C/N0 times the root of K T / Be, with K cycles of tones of T
// seconds and the noise width Be of the echo in hertz.
type Class struct {
	Name      string
	Low, High float64 // of z
	Goal      float64 // the share to be found
}

// Classes are those that are tried.
var Classes = [...]Class{{"z over 40", 42, 120, 1}, {"z 14 to 25", 14, 25, 0.98}, {"z 7 to 8.5", 7, 8.5, 0.9}}

// FalseAlarms is the share of recordings without an echo that may be taken for one.
const FalseAlarms = 0.005

// CN0DBHz is the C/N0, dB-Hz, at which z has a value.
func (b Band) CN0DBHz(z float64, cycles int) float64 {
	return 10 * math.Log10(z/math.Sqrt(float64(cycles)*toneS/echotest.NoiseWidthHz(b.MHz, b.SpreadHz, toneS)))
}

// Echo is a recipe with an echo of a class, spoiled at random.
func (c Class) Echo(r Chance, b Band) Recipe {
	k := []int{5, 10, 20, 30}[r.IntN(4)]
	if b.SpreadHz < 2 {
		k = max(k, 10) // a narrow echo can fade for five cycles
	}
	z := c.Low + (c.High-c.Low)*r.Float64()
	recipe := Recipe{MHz: b.MHz, SpreadHz: b.SpreadHz, Cycles: k, RateHz: rateOf(r)}
	recipe.CN0DBHz = b.CN0DBHz(z, k)
	recipe.spoil(r)
	return recipe
}

// Empty is a recipe without an echo, spoiled at random.
func Empty(r Chance, b Band) Recipe {
	k := []int{5, 10, 20}[r.IntN(3)]
	recipe := Recipe{MHz: b.MHz, SpreadHz: b.SpreadHz, Cycles: k, RateHz: rateOf(r), CN0DBHz: math.NaN()}
	recipe.spoil(r)
	return recipe
}

// rateOf is the least rate that passes a voice well, where less is to be calculated, and now and then another.
func rateOf(r Chance) float64 {
	return []float64{8000, 8000, 8000, 8000, 8000, 8000, 12000, 11025}[r.IntN(8)]
}

// Kinds are what may spoil a recording, as a receiver in use meets it.
var Kinds = [...]string{"steady carrier", "keyed carrier", "walking carrier", "another station", "automatic gain",
	"crashes and gaps", "clipping", "nothing"}

func (c *Recipe) spoil(r Chance) {
	switch r.IntN(len(Kinds)) {
	case 0:
		c.SteadyDBHz, c.SteadyOffsetHz = 10+14*r.Float64(), (r.Float64()*2-1)*60
	case 1:
		c.KeyedDBHz, c.SteadyOffsetHz = 10+14*r.Float64(), (r.Float64()*2-1)*40
	case 2:
		c.WalkDBHz = 10 + 10*r.Float64()
	case 3:
		c.OtherDBHz = 8 + 8*r.Float64()
	case 4:
		c.Gain = true
	case 5:
		c.Crashes, c.Gaps = 2, 1
	case 6:
		c.Clip = true
	}
}

// Kind is what spoils the recording.
func (c *Recipe) Kind() string {
	for i, is := range [...]bool{c.SteadyDBHz > 0, c.KeyedDBHz > 0, c.WalkDBHz > 0, c.OtherDBHz > 0, c.Gain,
		c.Crashes > 0, c.Clip} {
		if is {
			return Kinds[i]
		}
	}
	return Kinds[len(Kinds)-1]
}

// Score sums up what was found of echoes.
type Score struct {
	Tried, Found                 int
	strength, frequency, stretch float64 // sums of squares: dB, in units of the tolerance, octaves
	delay                        float64
	bias, beside                 float64 // strength: sum, dB; square of what it is off from what was present
}

// Add counts a recording.
func (s *Score) Add(r echotest.Result, want Truth) {
	s.Tried++
	if !r.Detected {
		return
	}
	s.Found++
	s.strength += math.Pow(r.CN0DBHz-want.CN0DBHz, 2)
	s.bias += r.CN0DBHz - want.CN0DBHz
	s.beside += math.Pow(r.CN0DBHz-want.PresentDBHz, 2)
	s.frequency += math.Pow((r.OffsetHz-want.OffsetHz)/max(0.6, 0.06*want.SpreadHz), 2)
	s.stretch += math.Pow(math.Log2(r.SpreadHz/want.SpreadHz), 2)
	s.delay += math.Pow(r.DelayErrorMS-want.DelayMS, 2)
}

// Join adds another score.
func (s *Score) Join(o Score) {
	s.Tried, s.Found = s.Tried+o.Tried, s.Found+o.Found
	s.strength, s.frequency, s.stretch = s.strength+o.strength, s.frequency+o.frequency, s.stretch+o.stretch
	s.delay, s.bias, s.beside = s.delay+o.delay, s.bias+o.bias, s.beside+o.beside
}

func (s *Score) rms(sum float64) float64 { return math.Sqrt(sum / float64(max(1, s.Found))) }

// StrengthDB is how far strengths are off, rms.
func (s *Score) StrengthDB() float64 { return s.rms(s.strength) }

// BiasDB is how far they are off on average.
func (s *Score) BiasDB() float64 { return s.bias / float64(max(1, s.Found)) }

// PresentDB is how far they are off from what the fades let through, rms.
func (s *Score) PresentDB() float64 { return s.rms(s.beside) }

// Tolerances is how far frequencies are off in units of max(0.6 Hz, 6 % of the spread), rms.
func (s *Score) Tolerances() float64 { return s.rms(s.frequency) }

// Octaves is how far spreads are off, rms.
func (s *Score) Octaves() float64 { return s.rms(s.stretch) }

// DelayMS is how far delays are off, rms.
func (s *Score) DelayMS() float64 { return s.rms(s.delay) }
