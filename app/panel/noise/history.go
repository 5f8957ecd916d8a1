package noise

import (
	"math"
	"slices"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// cellTime is the finest time that the strip resolves.
const (
	cellTime  = 250 * time.Millisecond
	cellCount = int(view.NoiseTime/cellTime) + 16 // a little more, so that a column at the edge is whole
)

// cell is a short time of the past.
type cell struct {
	minimum, maximum float32 // dB as the detector gives them; NaN where there was no clean level
	keyed            bool
	mark             uint8
}

// empty is a cell without a sample.
func empty() cell { return cell{minimum: float32(math.NaN()), maximum: float32(math.NaN())} }

// history keeps the last ten minutes.
type history struct {
	cells  [cellCount]cell
	newest int64 // number of the newest cell since the epoch
	any    bool  // a sample was added
}

// add takes in a sample, which fills the time of the sky since the one before where both are of one trace. A clock
// that was set back begins again.
func (h *history) add(sample desk.NoiseSample) {
	number := numberOf(sample.At)
	if !h.any || number < h.newest-1 || number-h.newest >= int64(cellCount) {
		for i := range h.cells {
			h.cells[i] = empty()
		}
		h.newest, h.any = number, true
	}
	from := min(number, max(h.newest, numberOf(sample.At.Add(-sample.Since)))+1)
	for h.newest < number {
		h.newest++
		*h.cell(h.newest) = empty()
	}
	for k := from; k <= number; k++ {
		h.cell(k).take(sample)
	}
	if sample.Mark != 0 {
		h.cell(number).mark = sample.Mark
	}
}

// numberOf is the number of the cell of a moment since the epoch.
func numberOf(at time.Time) int64 {
	return at.UnixMilli() / cellTime.Milliseconds() // nanoseconds would end in 2262
}

// take adds the level of a sample to the cell.
func (c *cell) take(sample desk.NoiseSample) {
	c.keyed = c.keyed || sample.Keyed
	if v := float32(sample.LevelDB); sample.Clean && v == v {
		if c.minimum != c.minimum {
			c.minimum, c.maximum = v, v
		}
		c.minimum, c.maximum = min(c.minimum, v), max(c.maximum, v)
	}
}

func (h *history) cell(number int64) *cell {
	n := int64(cellCount)
	return &h.cells[((number%n)+n)%n]
}

// column is a part of the strip one pixel wide: what its cells have together.
// Columns are counted since the epoch, so that a trace moves on by whole pixels
// and never changes on its way.
type column struct {
	cell
	has  bool // there was a sample
	ours bool // it lies in a turn of ours
}

// columns returns n columns, the newest last; the newest one's number tells
// whether the strip has moved on.
func (h *history) columns(n int, into []column) (columns []column, newest int64) {
	if !h.any || n <= 0 {
		return into[:0], 0
	}
	cellsIn := float64(view.NoiseTime/cellTime) / float64(n)
	newest = int64(math.Floor(float64(h.newest) / cellsIn))
	columns = into[:0]
	for number := newest - int64(n) + 1; number <= newest; number++ {
		c := column{cell: empty()}
		from, to := int64(math.Ceil(float64(number)*cellsIn)), int64(math.Ceil(float64(number+1)*cellsIn))
		if to == from { // columns are finer than cells: one cell is seen more than once
			from, to = from-1, from
		}
		for k := max(from, h.newest-int64(cellCount)+1); k < to && k <= h.newest; k++ {
			c.join(*h.cell(k))
		}
		columns = append(columns, c)
	}
	return columns, newest
}

// join adds a cell to the column.
func (c *column) join(other cell) {
	c.has = c.has || other.keyed || other.minimum == other.minimum
	c.keyed = c.keyed || other.keyed
	if other.mark != 0 {
		c.mark = other.mark
	}
	if other.minimum != other.minimum {
		return
	}
	if c.minimum != c.minimum {
		c.minimum, c.maximum = other.minimum, other.maximum
		return
	}
	c.minimum, c.maximum = min(c.minimum, other.minimum), max(c.maximum, other.maximum)
}

// bounds returns the least and the greatest level of columns, but for as many
// odd columns at either end as are left out; NaN where there is none.
func bounds(columns []column, odd int) (minimum, maximum float64) {
	var lows, highs []float64
	for _, c := range columns {
		if c.minimum == c.minimum {
			lows, highs = append(lows, float64(c.minimum)), append(highs, float64(c.maximum))
		}
	}
	n := len(lows)
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	slices.Sort(lows)
	slices.Sort(highs)
	odd = min(odd, (n-1)/2)
	return lows[odd], highs[n-1-odd]
}
