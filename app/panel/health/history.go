package health

import (
	"math"
	"time"
)

// The sparklines cover ten minutes in columns of five seconds.
const (
	columnTime  = 5 * time.Second
	columnCount = 120
)

// history keeps the least and the greatest value of each column of the last ten
// minutes. Columns without a value are NaN.
type history struct {
	minimum, maximum [columnCount]float32
	column           int64 // number of the newest column, of five seconds since the epoch
	taken            time.Time
	any              bool // a value was added
}

// takenWithin is how long ago, in real time, the value before may have been taken where both are of one trace.
const takenWithin = time.Second

// add takes a value at a time, and says whether a new column began. With a time scale above 1, as in fast practice
// time, it fills the columns since the value before as well. A clock that was set back begins again.
func (h *history) add(at time.Time, value float64, scale int) bool {
	joined := at.Sub(h.taken) <= takenWithin*time.Duration(scale)
	h.taken = at
	column := at.UnixMilli() / columnTime.Milliseconds() // nanoseconds would end in 2262
	began := column != h.column || !h.any
	if !h.any || column < h.column || column-h.column >= columnCount {
		for i := range h.minimum {
			h.minimum[i], h.maximum[i] = float32(math.NaN()), float32(math.NaN())
		}
		h.column, h.any = column, true
	}
	v := float32(value)
	for ; h.column < column; h.column++ {
		next := slot(h.column + 1)
		h.minimum[next], h.maximum[next] = float32(math.NaN()), float32(math.NaN())
		if joined {
			h.minimum[next], h.maximum[next] = v, v
		}
	}
	i := slot(column)
	if math.IsNaN(float64(h.minimum[i])) {
		h.minimum[i], h.maximum[i] = v, v
	}
	h.minimum[i], h.maximum[i] = min(h.minimum[i], v), max(h.maximum[i], v)
	return began
}

// slot is where a column is kept; their numbers are negative before 1970.
func slot(column int64) int64 { return (column%columnCount + columnCount) % columnCount }

// at returns the least and greatest value of the column that is back columns old.
func (h *history) at(back int) (minimum, maximum float32) {
	i := slot(h.column - int64(back))
	return h.minimum[i], h.maximum[i]
}

// bounds returns the least and greatest of all columns; ok is false when there is none.
func (h *history) bounds() (minimum, maximum float32, ok bool) {
	if !h.any {
		return 0, 0, false
	}
	for back := range columnCount {
		low, high := h.at(back)
		if low != low { // no value
			continue
		}
		if !ok {
			minimum, maximum, ok = low, high, true
		}
		minimum, maximum = min(minimum, low), max(maximum, high)
	}
	return minimum, maximum, ok
}
