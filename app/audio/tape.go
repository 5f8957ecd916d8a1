package audio

import (
	"math"
	"sort"
	"sync"
	"time"

	"beamhelm/app/audio/spectrum"
)

// TapeMinutes is how many minutes of audio are kept.
const TapeMinutes = 5

// What a tape holds: samples of spectrum.Rate, and a time for each block of them.
const (
	tapeSamples = TapeMinutes * 60 * spectrum.Rate
	tapeMarks   = TapeMinutes*60*Rate/InputFrames + 16
)

// Tape keeps the newest minutes of audio in memory, with their time. A sample
// has a number, counted from the first there ever was. Its methods may be called from any goroutine.
type Tape struct {
	mu      sync.Mutex
	samples []int16 // a ring, made when the first come
	written int64
	marks   []tapeMark // a ring of the blocks
	marked  int64
}

// tapeMark is the time of the first sample of a block.
type tapeMark struct {
	number int64
	at     time.Time
}

// append adds a block whose first sample has a time.
func (t *Tape) append(at time.Time, samples []float32) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.samples == nil {
		t.samples, t.marks = make([]int16, tapeSamples), make([]tapeMark, tapeMarks)
	}
	t.marks[t.marked%tapeMarks] = tapeMark{t.written, at}
	t.marked++
	for _, x := range samples {
		t.samples[t.written%tapeSamples] = int16(math.Round(float64(max(-1, min(1, x))) * math.MaxInt16))
		t.written++
	}
}

// Written is how many samples there ever were: the number of the next.
func (t *Tape) Written() int64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.written
}

// Oldest is the number of the oldest sample that is kept.
func (t *Tape) Oldest() int64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.oldest()
}

func (t *Tape) oldest() int64 {
	if t.marked == 0 {
		return 0
	}
	// Of the oldest mark, for a sample without a time is of no use.
	first := t.marks[max(0, t.marked-tapeMarks)%tapeMarks].number
	return max(first, t.written-tapeSamples)
}

// Read fills into with the samples from a number on, full scale 1; false where they aren't all kept.
func (t *Tape) Read(from int64, into []float32) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	if from < t.oldest() || from+int64(len(into)) > t.written {
		return false
	}
	for at := from % tapeSamples; len(into) > 0; at = 0 { // the ring may end within it
		piece := t.samples[at:min(int(at)+len(into), tapeSamples)]
		for i, x := range piece {
			into[i] = float32(x) / math.MaxInt16
		}
		into = into[len(piece):]
	}
	return true
}

// TimeOf is when a sample was heard; false where it isn't kept. The one after the newest has a time too.
func (t *Tape) TimeOf(number int64) (time.Time, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.marked == 0 || number < t.oldest() || number > t.written {
		return time.Time{}, false
	}
	first := max(0, t.marked-tapeMarks)
	n := sort.Search(int(t.marked-first), func(i int) bool {
		return t.marks[(first+int64(i))%tapeMarks].number > number
	})
	m := t.marks[(first+int64(n)-1)%tapeMarks]
	return m.at.Add(time.Duration(number-m.number) * time.Second / spectrum.Rate), true
}
