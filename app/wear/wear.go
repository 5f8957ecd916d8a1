// Package wear finds slow trouble: what a dish does now against what it has
// done before in the same circumstances. No limit of a reading sees a bearing
// that begins to stiffen; the dish's own past does. It is pure: moments come in.
package wear

import (
	"math"
	"time"
)

// Block is the mean of some readings taken in the same circumstances.
type Block struct {
	Mean float64   `json:"mean"`
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Past is what is usual in some circumstances. Its zero knows nothing.
type Past struct {
	// N is how many blocks it is made of, Mean their mean, Square half the mean
	// squared difference between each and the one before: their variance, if
	// nothing creeps, and hardly more if something does (von Neumann's).
	N      float64   `json:"n"`
	Mean   float64   `json:"mean"`
	Square float64   `json:"square"`
	First  time.Time `json:"first"`
	// Before is the newest block that became a part of it.
	Before Block `json:"before"`
	// Odd is how many blocks in a row were out of it, Since when the first of
	// them began, Now the newest block of all.
	Odd   int       `json:"odd,omitempty"`
	Since time.Time `json:"since,omitzero"`
	Now   Block     `json:"now"`
}

// The shape of judging.
const (
	// known is how many blocks make a past that may be compared with.
	known = 6
	// told is after how many odd blocks in a row it is told: one may be a gust.
	told = 3
	// learned is after how many blocks what is usual follows but slowly: as the
	// seasons do, by a part of slowly, and not by what happens in a night or a month.
	learned = 60
	slowly  = 120 * 24 * time.Hour
	// scatters is how many standard deviations are nothing unusual.
	scatters = 4
)

// Known reports that there is enough of a past to compare with.
func (p Past) Known() bool { return p.N >= known }

// Scatter is the standard deviation of the blocks.
func (p Past) Scatter() float64 { return math.Sqrt(max(0, p.Square)) }

// Allowed is how far from the mean a block may be in circumstances of a kind.
func (p Past) Allowed(k *Kind) float64 {
	return max(k.Floor, k.Share*math.Abs(p.Mean), scatters*p.Scatter())
}

// Unusual reports that a value is out of what is usual, on a side that matters.
func (p Past) Unusual(k *Kind, value float64) bool {
	if !p.Known() {
		return false
	}
	off := value - p.Mean
	switch k.Side {
	case More:
		return off > p.Allowed(k)
	case Less:
		return -off > p.Allowed(k)
	}
	return math.Abs(off) > p.Allowed(k)
}

// Take takes a block in. What is odd does not become a part of what is usual.
func (p Past) Take(k *Kind, b Block) Past {
	p.Now = b
	if p.Unusual(k, b.Mean) {
		if p.Odd == 0 {
			p.Since = b.From
		}
		p.Odd++
		return p
	}
	p.Odd, p.Since = 0, time.Time{}
	if p.N == 0 {
		p.First = b.From
	}
	p.N++
	weight := 1 / p.N
	if p.N > learned {
		weight = max(0, min(b.To.Sub(p.Before.To).Hours()/slowly.Hours(), 1.0/learned))
	}
	p.Mean += (b.Mean - p.Mean) * weight
	if p.N > 1 {
		step := b.Mean - p.Before.Mean
		p.Square += (step*step/2 - p.Square) / min(p.N-1, learned)
	}
	p.Before = b
	return p
}

// Stands reports that it has been out of what is usual for long enough to be told.
func (p Past) Stands(k *Kind) bool { return p.Odd >= k.Told }
