package commission

import (
	"math"
	"time"
)

// Push is what one push of an axis showed. Drives and counts are as the
// enclosure gives them, with nothing turned round by the settings.
type Push struct {
	Axis int       `json:"axis"`
	At   time.Time `json:"at"`
	// Drive is the one that was reached, -1 to 1.
	Drive float64 `json:"drive"`
	// Seconds is how long it was driven.
	Seconds float64 `json:"seconds"`
	// Counts came from its beginning until the axis stood again.
	Counts int32 `json:"counts"`
	// PerS is the steady speed, counts a second, with Steady.
	PerS   float64 `json:"counts_per_s"`
	Steady bool    `json:"steady"`
	// Even says that no gap between counts was more than thrice the usual one.
	Even bool `json:"even"`
	// CurrentA is the mean current while steady; 0 where not known.
	CurrentA float64 `json:"current_a"`
	// AccelerationTimeS is the time from a tenth to nine tenths of the speed; 0 where it can't be told.
	AccelerationTimeS float64 `json:"run_up_s"`
	// Owed are the counts that the steady speed would have given over the whole
	// drive, less those that came: the loss of starting, and the backlash.
	Owed float64 `json:"owed"`
	// Reversed: the push before went the other way.
	Reversed bool `json:"reversed"`
	// RanOn are the counts after the drive began to fall, where its ramp tells when; else after the sample before that.
	RanOn float64 `json:"ran_on"`
}

type sample struct {
	at      float64 // seconds since the beginning
	counts  int32
	applied float64
	current float64
}

// meter follows one axis through a push. The time is the enclosure's own.
type meter struct {
	have    bool
	millis  uint32
	samples []sample
	ended   int // index of the first sample without drive; 0 while driven
	before  float64
	quiet   float64 // seconds without a count since the drive ended
}

const (
	longestPush = 1200 // samples
	longestGap  = 1000 // ms between two samples
	standing    = 1.2  // seconds without a count: the axis stands
)

// take takes in a sample; ok says that a push is over.
func (m *meter) take(a *Axis) (p Push, ok bool) {
	gap := a.Millis - m.millis
	m.millis = a.Millis
	if gap == 0 && m.have {
		return p, false
	}
	if !m.have || gap > longestGap {
		m.have, m.samples, m.ended = true, nil, 0
	}
	s := sample{counts: a.Counts, applied: a.Applied, current: a.CurrentA}
	if n := len(m.samples); n > 0 {
		s.at = m.samples[n-1].at + float64(gap)/1000
	}
	driven := a.Applied != 0
	switch {
	case !driven && (len(m.samples) == 0 || m.samples[len(m.samples)-1].applied == 0) && m.ended == 0:
		// at rest: the newest is the beginning
		m.samples = append(m.samples[:0], sample{counts: a.Counts, current: a.CurrentA})
		return p, false
	case driven && m.ended != 0: // driven again before it stood
		p, ok = m.finish()
		m.samples, m.ended = append(m.samples[:0], sample{counts: a.Counts}, s), 0
		m.samples[1].at = float64(gap) / 1000
		return p, ok
	}
	m.samples = append(m.samples, s)
	n := len(m.samples)
	if driven {
		if n > longestPush {
			m.have = false
		}
		return p, false
	}
	if m.ended == 0 {
		m.ended, m.quiet = n-1, 0
	}
	m.quiet += float64(gap) / 1000
	if s.counts != m.samples[n-2].counts {
		m.quiet = 0
	}
	if m.quiet < standing && n < 2*longestPush {
		return p, false
	}
	p, ok = m.finish()
	m.samples, m.ended = append(m.samples[:0], sample{counts: a.Counts}), 0
	return p, ok
}

// finish works a push out of its samples.
func (m *meter) finish() (p Push, ok bool) {
	all, end := m.samples, m.ended
	if end < 3 {
		return p, false
	}
	driven := all[:end]
	for _, s := range driven {
		if math.Abs(s.applied) > math.Abs(p.Drive) {
			p.Drive = s.applied
		}
	}
	p.Seconds = all[end].at - all[0].at
	p.Counts = all[len(all)-1].counts - all[0].counts
	_, left := reached(driven, p.Drive)
	p.RanOn = math.Abs(float64(all[len(all)-1].counts - all[max(0, left-1)].counts))
	p.Reversed = m.before != 0 && math.Signbit(m.before) != math.Signbit(p.Drive)
	m.before = p.Drive
	steady := atSpeed(driven, p.Drive)
	if len(steady) < 8 || steady[len(steady)-1].at-steady[0].at < 1 {
		return p, true
	}
	p.PerS, p.Steady = slope(steady), true
	p.Even = even(steady, p.PerS)
	p.CurrentA = meanCurrent(steady)
	p.AccelerationTimeS = accelerationTime(driven, p.PerS)
	whole := 0.0 // of the drive reached, seconds
	for i := 1; i < end; i++ {
		whole += (all[i].applied + all[i-1].applied) / 2 / p.Drive * (all[i].at - all[i-1].at)
	}
	p.RanOn = max(0, p.RanOn-math.Abs(p.PerS)*untilFall(all, left))
	p.Owed = math.Abs(p.PerS)*whole - math.Abs(float64(all[end-1].counts-all[0].counts))
	return p, true
}

// atSpeed are the samples at the drive reached, without the first second of it, in which the axis runs up.
func atSpeed(driven []sample, drive float64) []sample {
	from, to := reached(driven, drive)
	begin := driven[from].at
	for from < to && driven[from].at < begin+1 {
		from++
	}
	return driven[from:to]
}

// reached is where the drive was reached first, and where it was left last.
func reached(driven []sample, drive float64) (from, to int) {
	from = len(driven) - 1
	for i, s := range driven {
		if math.Abs(s.applied-drive) < 0.02 {
			from, to = min(from, i), i+1
		}
	}
	return min(from, to), to
}

// untilFall is the time from the last sample at the drive reached, before that
// of index left, until the drive began to fall: by its ramp, from the two
// samples after it. It is 0 where they don't tell. A computer that looks late
// must not lengthen the way after it.
func untilFall(all []sample, left int) float64 {
	if left < 1 || left+1 >= len(all) {
		return 0
	}
	last, first, second := all[left-1], all[left], all[left+1]
	rate := (math.Abs(first.applied) - math.Abs(second.applied)) / (second.at - first.at)
	if !(rate > 0) || second.applied == 0 {
		return 0
	}
	fell := (math.Abs(last.applied) - math.Abs(first.applied)) / rate
	return max(0, first.at-last.at-fell)
}

// slope is the straight line through the counts, counts a second.
func slope(s []sample) float64 {
	var n, t, c, tt, tc float64
	for _, x := range s {
		y := float64(x.counts - s[0].counts)
		n, t, c, tt, tc = n+1, t+x.at, c+y, tt+x.at*x.at, tc+x.at*y
	}
	if d := n*tt - t*t; d > 0 {
		return (n*tc - t*c) / d
	}
	return 0
}

// even says that the counts flow: no gap is more than thrice what the speed
// gives, with three looks and more in it.
func even(s []sample, perS float64) bool {
	if math.Abs(perS) < 0.2 {
		return false
	}
	last, looks := s[0].at, 0
	for i := 1; i < len(s); i++ {
		if looks++; looks > 2 && s[i].at-last > 3/math.Abs(perS) {
			return false
		}
		if s[i].counts != s[i-1].counts {
			last, looks = s[i].at, 0
		}
	}
	return true
}

func meanCurrent(s []sample) float64 {
	sum, n := 0.0, 0.0
	for _, x := range s {
		if !math.IsNaN(x.current) {
			sum, n = sum+math.Abs(x.current), n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// accelerationTime is the time from a tenth to nine tenths of a speed, by the speed over
// three samples; 0 where there are too few counts to tell.
func accelerationTime(s []sample, perS float64) float64 {
	if math.Abs(perS) < 5 {
		return 0
	}
	const wide = 3
	tenth := -1.0
	for i := wide; i < len(s); i++ {
		speed := math.Abs(float64(s[i].counts-s[i-wide].counts)) / (s[i].at - s[i-wide].at)
		middle := (s[i].at + s[i-wide].at) / 2
		if tenth < 0 && speed > 0.1*math.Abs(perS) {
			tenth = middle
		}
		if speed > 0.9*math.Abs(perS) {
			return max(0, middle-tenth)
		}
	}
	return 0
}
