package audio

import (
	"context"
	"encoding/binary"
	"io"
	"math"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/app/audio/spectrum"
)

// A tape gives back what it was given, with its time, until it is overwritten.
func TestTape(t *testing.T) {
	var tape Tape
	began := time.Unix(1e9, 0)
	block := make([]float32, 240)
	if _, ok := tape.TimeOf(0); ok || tape.Read(0, block) {
		t.Error("an empty tape has something")
	}
	const blocks = TapeMinutes*60*50 + 500
	for b := range blocks {
		for i := range block {
			block[i] = float32(b*240+i) / 1e7
		}
		at := began.Add(time.Duration(b) * 20 * time.Millisecond)
		if b >= 15000 {
			at = at.Add(time.Hour) // nothing was heard meanwhile
		}
		tape.append(at, block)
	}
	got := make([]float32, 1000)
	from := int64(14999 * 240)
	if !tape.Read(from, got) || math.Abs(float64(got[999])-float64(from+999)/1e7) > 1e-4 {
		t.Errorf("sample %g", got[999])
	}
	for number, want := range map[int64]time.Time{
		from + 12:        began.Add(14999*20*time.Millisecond + time.Millisecond),
		from + 240 + 120: began.Add(time.Hour + 15000*20*time.Millisecond + 10*time.Millisecond),
		tape.Written():   began.Add(time.Hour + blocks*20*time.Millisecond),
	} {
		if at, ok := tape.TimeOf(number); !ok || !at.Equal(want) {
			t.Errorf("sample %d: %v, want %v", number, at, want)
		}
	}
	if tape.Written() != blocks*240 || tape.Oldest() != tape.Written()-tapeSamples || tape.Read(tape.Oldest()-1, got) ||
		tape.Read(tape.Written()-999, got) {
		t.Errorf("%d written, oldest %d", tape.Written(), tape.Oldest())
	}
	if _, ok := tape.TimeOf(tape.Oldest() - 1); ok {
		t.Error("what was overwritten has a time")
	}
}

// The time of a sample on the tape is that of the sound: the filter's delay is taken off.
func TestTimeOnTheTape(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := &made{devices: []Device{{ID: "in"}}}
		r := NewReceiver(m, "in")
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); r.Run(ctx) }()
		time.Sleep(time.Millisecond)
		began := time.Now()
		f := r.Feed()
		const pulse = 0.5003 // s, where a pulse stands
		for b := range 100 {
			time.Sleep(20 * time.Millisecond)
			block := make([]float32, InputFrames)
			for i := range block {
				x := (float64(b*InputFrames+i)/Rate - pulse) * 500
				block[i] = float32(math.Exp(-x * x))
			}
			m.give(block)
		}
		synctest.Wait()
		samples := make([]float32, r.Tape().Written())
		r.Tape().Read(0, samples)
		sum, middle := 0.0, 0.0
		for i, x := range samples {
			at, _ := r.Tape().TimeOf(int64(i))
			sum += float64(x)
			middle += float64(x) * at.Sub(began).Seconds()
		}
		if middle /= sum; math.Abs(middle-pulse) > 0.0001 {
			t.Errorf("the pulse of %g s is at %.5f s", pulse, middle)
		}
		raw := make([]byte, 2*InputFrames)
		if _, err := io.ReadFull(f, raw); err != nil {
			t.Error(err)
		}
		for range 25 {
			io.ReadFull(f, raw)
		}
		if v := int16(binary.LittleEndian.Uint16(raw)); v == 0 {
			t.Error("the feed has no pulse")
		}
		cancel()
		<-ended
		for range 100 {
			if _, err := io.ReadFull(f, raw); err != nil {
				break
			}
		}
		if _, err := f.Read(raw); err == nil {
			t.Error("a feed without input doesn't end")
		}
		f.Close()
		if len(r.feeds) != 0 {
			t.Error("a closed feed is fed")
		}
	})
	if TapeMinutes*60*spectrum.Rate*2 > 10<<20 {
		t.Error("the tape takes more than 10 MB")
	}
}
