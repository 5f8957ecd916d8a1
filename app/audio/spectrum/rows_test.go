package spectrum

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// reel is a tape of noise of variance 0.01 with a tone.
type reel struct {
	samples []float32
	began   time.Time
	gapAt   int64 // from there on an hour later
}

func newReel(seconds int, hz, amplitude float64) *reel {
	chance := rand.New(rand.NewPCG(9, 9))
	t := &reel{began: time.Unix(1e9, 0), gapAt: math.MaxInt64}
	for i := range seconds * Rate {
		t.samples = append(t.samples, float32(0.1*chance.NormFloat64()+amplitude*math.Sin(
			2*math.Pi*hz*float64(i)/Rate)))
	}
	return t
}

func (t *reel) Written() int64 { return int64(len(t.samples)) }
func (t *reel) Oldest() int64  { return 0 }
func (t *reel) Read(from int64, into []float32) bool {
	if from < 0 || from+int64(len(into)) > t.Written() {
		return false
	}
	copy(into, t.samples[from:])
	return true
}
func (t *reel) TimeOf(n int64) (time.Time, bool) {
	at := t.began.Add(time.Duration(n) * time.Second / Rate)
	if n >= t.gapAt {
		at = at.Add(time.Hour)
	}
	return at, true
}

func never(time.Time, time.Time) bool { return false }

// A tone of known strength in noise of known density stands at its place, as high as it must: its power over the
// noise in 1.5 bins, which is what a bin of Hann's window hears.
func TestRows(t *testing.T) {
	const amplitude, hz = 0.02, 1234.0
	tape := newReel(60, hz, amplitude)
	for _, v := range []View{
		{0, 3000, 250 * time.Millisecond}, {0, 3000, 125 * time.Millisecond}, {734, 1734, time.Second},
		{1134, 1334, 5 * time.Second}, {1184, 1284, 2 * time.Second},
	} {
		var r Rows
		r.Look(v, 1000)
		for r.Next(tape, 7, never) > 0 {
		}
		rows := r.Rows()
		if want := int((60*Rate - int64(r.power.Length())) / r.samples()); len(rows) < want-1 || len(rows) > want+1 {
			t.Errorf("%+v: %d rows, want %d", v, len(rows), want)
		}
		mean := r.Mean(len(rows), nil)
		best, sum := 0, 0.0
		for i, over := range mean {
			if over > mean[best] {
				best = i
			}
			if math.Abs(r.FirstHz()+float64(i)*r.BinHz()-hz) > 6*r.BinHz() {
				sum += float64(over) / float64(len(mean)-13)
			}
		}
		if at := r.FirstHz() + float64(best)*r.BinHz(); math.Abs(at-hz) > r.BinHz()/2+1e-9 {
			t.Errorf("%+v: the tone is at %.2f Hz", v, at)
		}
		if off := db(sum); math.Abs(off) > 0.25 {
			t.Errorf("%+v: the noise lies at %.2f dB", v, off)
		}
		density := 0.01 / (Rate / 2)
		want := db(amplitude*amplitude/2/(density*1.5*r.BinHz()) + 1)
		if got := Decibels(mean[best]); got > want+0.5 || got < want-ScallopingDB-0.5 {
			t.Errorf("%+v: the tone stands %.2f dB over the noise, want %.2f, less up to %.2f", v, got, want,
				ScallopingDB)
		}
		if newest := rows[len(rows)-1]; newest.To.Sub(newest.From) != v.Average {
			t.Errorf("%+v: a row lasts %v", v, newest.To.Sub(newest.From))
		}
	}
}

// What was keyed is marked and leaves the noise alone; a gap in time is told; rows that aren't kept are dropped.
func TestRowsOfSendingAndGaps(t *testing.T) {
	tape := newReel(40, 1000, 0)
	for i := 20 * Rate; i < 25*Rate; i++ {
		tape.samples[i] *= 0.003 // the receiver is muted
	}
	tape.gapAt = 30 * Rate
	var r Rows
	r.Look(View{0, 3000, 500 * time.Millisecond}, 50)
	from, to := tape.began.Add(20*time.Second), tape.began.Add(25500*time.Millisecond)
	for r.Next(tape, 1000, func(a, b time.Time) bool { return a.Before(to) && b.After(from) }) > 0 {
	}
	gaps, sending := 0, 0
	for _, row := range r.Rows() {
		if row.Gap {
			gaps++
		}
		if row.Sending {
			sending++
		} else if off := math.Abs(row.FloorDB - r.Rows()[0].FloorDB); off > 0.3 {
			t.Errorf("at %v the noise is %.2f dB off", row.To, off)
		}
	}
	if gaps != 1 || sending < 10 || sending > 12 || len(r.Rows()) > 100 {
		t.Errorf("%d gaps, %d rows while sending, %d rows", gaps, sending, len(r.Rows()))
	}
	// Silence has no spectrum.
	clear(tape.samples)
	r.Forget()
	if r.Next(tape, 1000, never); r.Rows()[0].Over != nil || len(r.Mean(4, nil)) > 0 {
		t.Error("zeros have a spectrum")
	}
}

// A row of what the window shows at 8 rows a second.
func BenchmarkRow(b *testing.B) {
	tape := newReel(10, 1000, 0.1)
	var r Rows
	r.Look(View{0, 3000, 125 * time.Millisecond}, 300)
	for b.Loop() {
		r.next = 5 * Rate
		r.rows = r.rows[:0]
		r.Next(tape, 1, never)
	}
}
