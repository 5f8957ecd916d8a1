package spectrum

import (
	"math"
	"time"
)

// Tape is where samples of Rate come from, by their number.
type Tape interface {
	// Written is the number of the next sample, Oldest that of the oldest that is kept.
	Written() int64
	Oldest() int64
	// Read fills into from a number on; false where they aren't all there.
	Read(from int64, into []float32) bool
	// TimeOf is when a sample was heard.
	TimeOf(number int64) (time.Time, bool)
}

// View is what is looked at: the audio between two frequencies, each row the mean of some time.
type View struct {
	LowHz, HighHz float64
	Average       time.Duration
}

// Row is the spectrum of one piece of time.
type Row struct {
	// From and To are when the piece began and ended.
	From, To time.Time
	// Over is each bin's power over the median noise, a ratio of which Decibels makes dB; none where Gap.
	Over []float32
	// FloorDB is that noise in one bin, dB over the mean square of full scale.
	FloorDB float64
	// Gap says that nothing was heard for some time before this row.
	Gap bool
	// Sending says that the transmitter was keyed: what is heard is no noise of the sky.
	Sending bool
}

// pixels is how many bins a span should have at least: as many as a pane is wide.
const pixels = 400

// Lengths of a piece: shorter ones tell little, longer ones take too long to come about.
const (
	minLength = 4096
	maxLength = 32768
)

// LengthFor is how many samples a piece has for a span.
func LengthFor(spanHz float64) int {
	length := minLength
	for length < maxLength && float64(length)*spanHz < pixels*Rate {
		length *= 2
	}
	return length
}

// Rows makes the rows of a view from a tape. Its zero shows nothing; Look gives it a view.
type Rows struct {
	view View
	keep int
	// independent is for how many spectra those of a row count.
	independent float64
	power       *Power
	sum         []float64
	piece       []float32
	scratch     []float64
	floor       float64 // smoothed, a mean square; 0: not known yet
	next        int64   // the sample after the newest row
	rows        []Row   // oldest first
	begun       bool
}

// Look begins again with another view, where it is another; keep is how many rows are kept.
func (r *Rows) Look(v View, keep int) {
	if r.begun && v == r.view && keep <= r.keep {
		return
	}
	if length := LengthFor(v.HighHz - v.LowHz); r.power == nil || r.power.Length() != length {
		r.power = NewPower(length)
		r.sum, r.piece = make([]float64, r.power.Bins()), make([]float32, length)
	}
	pieces, hop := r.pieces(v)
	*r = Rows{view: v, keep: keep, independent: r.power.Independent(pieces, hop), power: r.power, sum: r.sum,
		piece: r.piece, scratch: r.scratch, next: -1, begun: true}
}

// Forget begins again with the same view.
func (r *Rows) Forget() {
	r.begun = false
	r.Look(r.view, r.keep)
}

// View is what is looked at.
func (r *Rows) View() View { return r.view }

// Rows are those that there are, oldest first. They aren't to be changed.
func (r *Rows) Rows() []Row { return r.rows }

// BinHz is the width of a bin.
func (r *Rows) BinHz() float64 { return float64(Rate) / float64(r.power.Length()) }

// bins are the first and the last of the view.
func (r *Rows) bins() (first, last int) {
	return max(0, int(math.Ceil(r.view.LowHz/r.BinHz()))),
		min(r.power.Bins()-1, int(math.Floor(r.view.HighHz/r.BinHz())))
}

// FirstHz is the frequency of a row's first bin.
func (r *Rows) FirstHz() float64 {
	first, _ := r.bins()
	return float64(first) * r.BinHz()
}

// pieces are how many pieces a row of a view is made of, at least half overlapping, and how far apart they are.
func (r *Rows) pieces(v View) (pieces, hop int) {
	step, length := int(v.Average.Seconds()*Rate), r.power.Length()
	pieces = max(1, (2*step+length-1)/length)
	return pieces, step / pieces
}

// Bins is how many bins a row has.
func (r *Rows) Bins() int {
	first, last := r.bins()
	return max(1, last-first+1)
}

// samples is how many samples a row has.
func (r *Rows) samples() int64 { return int64(r.view.Average.Seconds() * Rate) }

// Next makes the rows that have come about, at most some at a time, and says how
// many. sending says whether the transmitter was keyed in a piece of time.
func (r *Rows) Next(tape Tape, maximum int, sending func(from, to time.Time) bool) (made int) {
	if !r.begun {
		return 0
	}
	step, written := r.samples(), tape.Written()
	// What the window of the first piece needs must still be there.
	if oldest := tape.Oldest() + int64(r.power.Length()); r.next < oldest {
		r.next = max(oldest, written-step*int64(r.keep))
	}
	for ; made < maximum && r.next+step <= written; made++ {
		row := r.row(tape, r.next, r.next+step, sending)
		r.next += step
		if n := len(r.rows); n > 0 && row.From.Sub(r.rows[n-1].To) > maxApart {
			row.Gap = true
		}
		if len(r.rows) >= 2*r.keep {
			r.rows = append(r.rows[:0:0], r.rows[len(r.rows)-r.keep+1:]...)
		}
		r.rows = append(r.rows, row)
	}
	return made
}

// maxApart is the time between two rows from which something is missing.
const maxApart = 100 * time.Millisecond

// floorOver is over how long the noise is averaged.
const floorOver = 5 * time.Second

// row is the row of the samples between two numbers: pieces that overlap by half
// or more, the last ending with the row.
func (r *Rows) row(tape Tape, from, to int64, sending func(from, to time.Time) bool) (row Row) {
	row.From, _ = tape.TimeOf(from)
	row.To, _ = tape.TimeOf(to)
	row.Sending = sending(row.From, row.To)
	row.Gap = row.To.Sub(row.From) > r.view.Average+maxApart
	length := int64(r.power.Length())
	pieces, hop := r.pieces(r.view)
	clear(r.sum)
	taken := 0
	for i := range pieces {
		end := to - int64(i*hop)
		if tape.Read(end-length, r.piece) {
			r.power.Add(r.piece, r.sum)
			taken++
		}
	}
	if taken == 0 {
		row.Gap = true
		return row
	}
	r.overFloor(&row, float64(taken))
	return row
}

// floorSpanHz is the least span over which the median is taken, so that a strong signal in a narrow view isn't the
// noise.
const floorSpanHz = 1000

// overFloor works out dB over the noise from the sum of so many spectra.
func (r *Rows) overFloor(row *Row, taken float64) {
	middle, half := (r.view.LowHz+r.view.HighHz)/2, max(floorSpanHz, r.view.HighHz-r.view.LowHz)/2
	low := max(0, int((middle-half)/r.BinHz()))
	high := min(len(r.sum)-1, int((middle+half)/r.BinHz()))
	var floor float64
	floor, r.scratch = Floor(r.sum[low:high+1], r.independent, r.scratch)
	floor /= taken
	switch {
	case !(floor > 0):
		row.Gap = true // nothing but zeros
		return
	case r.floor == 0:
		r.floor = floor
	case !row.Sending:
		r.floor += (floor - r.floor) * min(1, r.view.Average.Seconds()/floorOver.Seconds())
	}
	row.FloorDB = 10 * math.Log10(r.floor)
	first, last := r.bins()
	row.Over = make([]float32, max(0, last-first+1))
	scale := 1 / (taken * r.floor)
	for i := range row.Over {
		row.Over[i] = float32(r.sum[first+i] * scale)
	}
}

// Decibels is a ratio of powers, not negative, in dB; nothing at all is -120 dB.
func Decibels(ratio float32) float64 { return 10 * math.Log10(float64(ratio)+1e-12) }

// Mean is the mean of the newest n rows that were heard, power over the noise in each bin; empty for none.
func (r *Rows) Mean(n int, into []float32) []float32 {
	count := 0
	into = into[:0]
	for i := len(r.rows) - 1; i >= 0 && count < n; i-- {
		row := &r.rows[i]
		if row.Over == nil || row.Sending {
			continue
		}
		if count == 0 {
			into = append(into, row.Over...)
		} else {
			for j, over := range row.Over {
				into[j] += over
			}
		}
		count++
	}
	for j := range into {
		into[j] /= float32(count)
	}
	return into
}
