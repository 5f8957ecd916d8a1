package guard

import (
	"math"
	"time"
)

// The wind rule works on means of the sensor's values of 1 s, beside its gusts. The
// stow limit holds for a mean of 10 minutes, which is the wind that weather services
// report, and the warning for a mean of 1 minute, which shows sooner what is coming.
// So it is the gust limit that acts in a gust. (WMO-No. 8, Guide to Instruments and
// Methods of Observation, chapter on surface wind: mean of 10 minutes, gusts of 3 s;
// WMO/TD-No. 1555: means of 1 minute beside it. From memory.)
const (
	windBlock     = 10 * time.Second
	warningBlocks = 6  // 1 min
	stowBlocks    = 60 // 10 min
	minWindTimes  = 50 // fewer values of 1 s are no mean yet
)

// windMeans are the last ten minutes of the wind, in blocks of ten seconds. The
// block that is being filled is reckoned with: a mean is of up to a block more than its time.
type windMeans struct {
	Sum   [stowBlocks + 1]float64 // m/s
	Count [stowBlocks + 1]int
	Block int64         // of the newest value
	Next  time.Duration // when the next value is taken
}

// update takes the newest value of 1 s, once a second, unless it is old or missing.
func (m *windMeans) update(f *Facts) {
	if f.Now < m.Next {
		return
	}
	m.Next = f.Now + time.Second
	block := int64(f.Now / windBlock)
	for b := max(m.Block+1, block-stowBlocks); b <= block; b++ {
		m.Sum[b%(stowBlocks+1)], m.Count[b%(stowBlocks+1)] = 0, 0
	}
	m.Block = block
	if f.Connected && f.ReadingsAge <= readingsLast && !math.IsNaN(f.WindMean) {
		m.Sum[block%(stowBlocks+1)] += f.WindMean
		m.Count[block%(stowBlocks+1)]++
	}
}

// mean is the mean over that many blocks and the newest, m/s; NaN while there are too few values.
func (m *windMeans) mean(blocks int64) float64 {
	sum, count := 0.0, 0
	for b := max(0, m.Block-blocks); b <= m.Block; b++ {
		sum += m.Sum[b%(stowBlocks+1)]
		count += m.Count[b%(stowBlocks+1)]
	}
	if count < minWindTimes {
		return math.NaN()
	}
	return sum / float64(count)
}

// windStow begins above the limit of the mean of 10 minutes or of the gusts, and ends
// when both have stayed below theirs by the hysteresis for as long as is set.
func windStow(c *Config, f *Facts, s *State, _ int) bool {
	l := &c.Limits
	mean := s.Wind.mean(stowBlocks)
	over := func(by float64) bool {
		return l.WindMean > 0 && mean > l.WindMean-by || l.WindGust > 0 && f.WindGust > l.WindGust-by
	}
	switch {
	case over(0), s.Windy && over(l.WindHysteresis):
		s.Windy = true
		s.GustUntil = f.Now + l.WindClear
	case f.Now >= s.GustUntil:
		s.Windy = false
	}
	return s.Windy
}

// windWarning begins when the mean of 1 minute is above its limit and ends when it is below by the hysteresis.
func windWarning(c *Config, _ *Facts, s *State, _ int) bool {
	l := &c.Limits
	limit := l.WindWarn
	if s.Breezy {
		limit -= l.WindHysteresis
	}
	s.Breezy = l.WindWarn > 0 && s.Wind.mean(warningBlocks) > limit
	return s.Breezy
}

// windFrozen finds a sensor that has shown one and the same figure for ten
// minutes; a true calm is told from ice only by the operator, so 0 is judged after two hours.
func windFrozen(_ *Config, f *Facts, s *State, _ int) bool {
	if math.IsNaN(f.WindMean) || f.WindMean != s.WindSame || s.WindSince == 0 {
		s.WindSame, s.WindSince = f.WindMean, f.Now+1
		return false
	}
	limit := 10 * time.Minute
	if f.WindMean == 0 {
		limit = 2 * time.Hour
	}
	return f.Now-s.WindSince > limit
}
