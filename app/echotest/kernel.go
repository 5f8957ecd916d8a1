package echotest

import "math"

// scattering is how the Moon's surface returns a wave: the mirror-like part by Hagfors'
// law with the constant C = 1/slope^2, and the share of the power that a rough surface
// returns from the whole disc.
type scattering struct{ c, rough float64 }

// surface is how the Moon scatters at a frequency. Slope and share at 68 cm and 8.6 mm:
// Pettengill 1965 (abstract); at 3.6 cm: Evans 1962 (abstract); 1/10 and 0.15 at 3 m from
// memory. Between them the share is linear and the slope exponential along the logarithm of the wavelength; both
// are held at the ends.
func surface(mhz float64) scattering {
	table := [...]struct{ cm, slope, rough float64 }{
		{300, 1. / 10, 0.15}, {68, 1. / 7, 0.20}, {3.6, 1. / 3, 0.30}, {0.86, 1. / 2, 0.86},
	}
	along := math.Log(29979.2458 / mhz)
	last := len(table) - 1
	slope, rough := table[last].slope, table[last].rough
	if along >= math.Log(table[0].cm) {
		slope, rough = table[0].slope, table[0].rough
	}
	for i := range last {
		high, low := math.Log(table[i].cm), math.Log(table[i+1].cm)
		if along <= high && along >= low {
			f := (high - along) / (high - low)
			slope = table[i].slope * math.Pow(table[i+1].slope/table[i].slope, f)
			rough = table[i].rough + f*(table[i+1].rough-table[i].rough)
		}
	}
	return scattering{1 / (slope * slope), rough}
}

// likelyMHz is a band for which a spread is usual: at middle latitudes 15 Hz limb to
// limb for each GHz, on average over two years.
func likelyMHz(spreadHz float64) float64 { return max(144, min(24048, spreadHz/15*1000)) }

// profile is the power of an echo by x, the Doppler offset over half the limb-to-limb
// spread; 0 beyond -1 to 1. Hagfors 1964, J. Geophys. Res. 69, for the mirror-like part
// (form from memory); cos^1.5 of the angle of incidence for the rough one (from memory).
// Each part is normalised to 1 over its own range by newProfile.
type profile struct {
	table [profileSteps + 1]float64 // by the size of x, from 0 to 1
}

const profileSteps = 512

func newProfile(s scattering) *profile {
	var mirror, rough [profileSteps + 1]float64
	var mirrorSum, roughSum float64
	for i := range mirror {
		x := float64(i) / profileSteps
		mirror[i], rough[i] = s.mirrorAt(x), roughAt(x)
		share := 2.0 / profileSteps // both signs of x
		if i == 0 || i == profileSteps {
			share /= 2
		}
		mirrorSum += mirror[i] * share
		roughSum += rough[i] * share
	}
	p := new(profile)
	for i := range p.table {
		p.table[i] = (1-s.rough)*mirror[i]/mirrorSum + s.rough*rough[i]/roughSum
	}
	return p
}

// mirrorAt integrates Hagfors' law along the strip of the disc at x. With sin^2 = x^2 + y^2,
// the strip's element is dy / cos; y = sqrt(1-x^2) sin u takes the end's singularity away.
func (s scattering) mirrorAt(x float64) float64 {
	w := 1 - x*x
	if w <= 0 {
		return 0
	}
	root, sum := math.Sqrt(w), 0.0
	const n = 64
	for i := range n {
		u := (float64(i) + 0.5) / n * math.Pi / 2
		y := root * math.Sin(u)
		sin2 := x*x + y*y
		cos2 := max(0, 1-sin2)
		// dy/cos = root cos u du / (root cos u) = du
		d := cos2*cos2 + s.c*sin2
		sum += 1 / (d * math.Sqrt(d)) // d^-1.5, many times as fast as math.Pow
	}
	return sum / n
}

// roughAt is the same strip of a surface that returns cos^1.5.
func roughAt(x float64) float64 {
	w := 1 - x*x
	if w <= 0 {
		return 0
	}
	return math.Pow(w, 0.75)
}

// at is the density by x; its integral from -1 to 1 is 1.
func (p *profile) at(x float64) float64 {
	place := math.Abs(x) * profileSteps
	low := int(place)
	if low >= profileSteps {
		return 0
	}
	f := place - float64(low)
	return p.table[low]*(1-f) + p.table[low+1]*f
}

// kernel is the expected shape of an echo's power in the bins around its centre, sum 1,
// with an odd number of bins: the spectrum of the Moon seen by a burst of length toneS.
func (p *profile) kernel(spreadHz, toneS, binHz float64) []float64 {
	kernel, sum := p.fine(spreadHz, toneS, binHz).at(0), 0.0
	for _, w := range kernel {
		sum += w
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	return kernel
}

// fineKernel is a kernel in steps of a fraction of a bin, from which it is read at any place.
type fineKernel struct {
	values []float64 // the middle one is the centre
	half   int       // bins on either side
	whole  float64   // sum over bins, were all lobes kept
}

const (
	stepsPerBin = 8
	// lobes of the burst's own spectrum that are kept on either side.
	lobes = 3
)

// fine folds the Moon's profile with the spectrum of the burst.
func (p *profile) fine(spreadHz, toneS, binHz float64) fineKernel {
	step := binHz / stepsPerBin
	half := int(math.Ceil((spreadHz/2 + lobes/toneS) / binHz))
	middle := half * stepsPerBin
	k := fineKernel{values: make([]float64, 2*middle+1), half: half}
	points := 1 + 2*int(spreadHz/2/step)
	reach := int(lobes / toneS / step)
	shares := make([]float64, 2*reach+1)
	for i := range shares {
		share := sinc(float64(i-reach) * step * toneS)
		shares[i] = share * share
	}
	for i := range points {
		at := i - points/2 // steps from the centre
		power := 1.0
		if spreadHz > 0 {
			power = p.at(float64(at) * step / (spreadHz/2 + step/2))
		}
		k.whole += power / (toneS * binHz) // what all of sinc^2 adds up to in steps of a bin, wherever they begin
		for aside, share := range shares {
			if to := middle + at + aside - reach; to >= 0 && to < len(k.values) {
				k.values[to] += power * share
			}
		}
	}
	return k
}

// at is the share of an echo's power in each bin, its centre a fraction of a bin, -0.5 to 0.5, above the middle one.
// The lobes left out have theirs: 3 % of a narrow echo.
func (k fineKernel) at(centre float64) []float64 {
	bins := make([]float64, 2*k.half+1)
	for i := range bins {
		place := (float64(i) - centre) * stepsPerBin
		low := int(math.Floor(place))
		if low < 0 || low+1 >= len(k.values) {
			if low+1 == len(k.values) {
				bins[i] = k.values[low] / k.whole
			}
			continue
		}
		f := place - float64(low)
		bins[i] = (k.values[low]*(1-f) + k.values[low+1]*f) / k.whole
	}
	return bins
}

func sinc(x float64) float64 {
	if math.Abs(x) < 1e-9 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// noiseWidth is 1 / (sum of the squares of a kernel), in bins: the width of a box that
// lets as many independent values through.
func noiseWidth(k []float64) float64 {
	sum := 0.0
	for _, w := range k {
		sum += w * w
	}
	return 1 / sum
}

// NoiseWidthHz is the noise width of an echo spread by so many hertz limb to limb, of a tone of toneS seconds: as
// wide a box lets as much noise through as fits to its shape.
func NoiseWidthHz(mhz, spreadHz, toneS float64) float64 {
	return noiseWidth(newProfile(surface(mhz)).kernel(spreadHz, toneS, 1/toneS)) / toneS
}
