package plant

import "math"

// random is a small seeded generator: splitmix64 (Steele, Lea and Flood, Fast
// splittable pseudorandom number generators, 2014). Each use has its own, so
// that one more draw in one place changes nothing in another.
type random uint64

// seeded returns the generator of one use, by its number, under a seed.
func seeded(seed, use uint64) random {
	r := random(seed ^ use*0xd1342543de82ef95)
	r.next()
	r.next()
	return r
}

func (r *random) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	return scramble(uint64(*r))
}

func scramble(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// uniform is between 0 and 1, 1 excluded.
func (r *random) uniform() float64 { return float64(r.next()>>11) / (1 << 53) }

// symmetric is between -1 and 1.
func (r *random) symmetric() float64 { return 2*r.uniform() - 1 }

// normal has mean 0 and standard deviation 1: the sum of eight 16-bit parts of
// two draws, which leaves out what lies beyond 4.9 standard deviations.
func (r *random) normal() float64 {
	a, b := r.next(), r.next()
	sum := parts(a) + parts(b)
	// Each part has the variance (2^32-1)/12 about 32767.5.
	return (float64(sum) - 8*32767.5) / math.Sqrt(8*(1<<32-1)/12.0)
}

func parts(v uint64) uint64 { return v&0xffff + v>>16&0xffff + v>>32&0xffff + v>>48 }

// wander is a value that strays about 0 with standard deviation 1 and forgets
// where it was within a time: first-order noise (Gauss-Markov).
type wander float64

// move takes it on by h seconds under the time constant.
func (w *wander) move(r *random, h, constant float64) float64 {
	keep := math.Exp(-h / constant)
	*w = wander(float64(*w)*keep + r.normal()*math.Sqrt(1-keep*keep))
	return float64(*w)
}
