package rtu

import (
	"bytes"
	"slices"
	"testing"
	"time"
)

func TestListener(t *testing.T) {
	read := (&Request{Unit: 1, Function: ReadHolding, ReadAddress: 0x20, ReadCount: 22}).Append(nil)
	write := (&Request{Unit: 1, Function: ReadWrite, ReadAddress: 0x20, ReadCount: 22, WriteAddress: 0x10,
		Write: make([]uint16, 6)}).Append(nil)
	damaged := slices.Clone(write)
	damaged[14] ^= 0x10
	longer := slices.Clone(write)
	longer[10] = 200 // a spoilt byte count: it waits for what never comes
	others := slices.Concat((&Request{Unit: 9, Function: ReadHolding, ReadAddress: 1, ReadCount: 3}).Append(nil),
		AppendCRC([]byte{9, 3, 6, 1, 3, 0, 0, 0, 1}, 0), AppendCRC([]byte{9, 0x83, 2}, 0),
		AppendCRC([]byte{9, 0x2B, 14, 1, 0}, 0))
	rows := []struct {
		name  string
		input []byte
		found [][]byte
		bad   uint16
		// after is how long after the last byte the frames are looked for.
		after time.Duration
	}{
		{"one", read, [][]byte{read}, 0, 0},
		{"two at once", slices.Concat(read, write), [][]byte{read, write}, 0, 0},
		{"to all", AppendCRC([]byte{0, 6, 0, 0x10, 0, 1}, 0), [][]byte{AppendCRC([]byte{0, 6, 0, 0x10, 0, 1}, 0)}, 0,
			0},
		{"frames of others", slices.Concat(others, read), [][]byte{read}, 0, 0},
		{"a bad CRC, then a good frame", slices.Concat(damaged, read), [][]byte{read}, 1, 0},
		{"two bad ones in a row are one run", slices.Concat(damaged, damaged, read), [][]byte{read}, 1, 0},
		{"bad, good, bad, good", slices.Concat(damaged, read, damaged, read), [][]byte{read, read}, 2, 0},
		{"a spoilt byte count, a good frame behind", slices.Concat(longer, read), [][]byte{read}, 1, 0},
		{"a noise byte before", slices.Concat([]byte{0x37}, read), [][]byte{read}, 1, 0},
		{"unfinished", write[:20], nil, 0, 0},
		{"unfinished, 19 ms later", write[:20], nil, 0, 19 * time.Millisecond},
		{"unfinished, 20 ms later", write[:20], nil, 1, 20 * time.Millisecond},
		{"a function nobody knows", AppendCRC([]byte{1, 0x41, 1, 2, 3}, 0),
			[][]byte{AppendCRC([]byte{1, 0x41, 1, 2, 3}, 0)}, 0,
			0},
	}
	for _, row := range rows {
		for _, chunk := range []int{1, 7, 1000} {
			l := Listener{Unit: 1}
			var found [][]byte
			look := func(at time.Duration) {
				for {
					frame, ok := l.Next(at)
					if !ok {
						return
					}
					found = append(found, bytes.Clone(frame))
				}
			}
			for part := range slices.Chunk(row.input, chunk) {
				l.Put(part, 0)
				look(0)
			}
			look(row.after)
			if !slices.EqualFunc(found, row.found, bytes.Equal) || l.BadFrames != row.bad {
				t.Errorf("%s, by %d: found % X, %d bad, want % X, %d bad", row.name, chunk, found, l.BadFrames,
					row.found, row.bad)
			}
		}
	}
}

// FuzzListener: a good request behind any rubbish is found once the line has been silent.
func FuzzListener(f *testing.F) {
	f.Add([]byte{1, 23, 0, 0, 0, 0, 0, 0, 0, 0, 255}, true)
	f.Add([]byte{9, 3, 6}, false)
	f.Fuzz(func(t *testing.T, rubbish []byte, silence bool) {
		l := Listener{Unit: 1}
		l.Put(rubbish, 0)
		for {
			frame, ok := l.Next(0)
			if !ok {
				break
			}
			if !CRCValid(frame) || frame[0] > 1 {
				t.Fatalf("found % X", frame)
			}
		}
		if silence { // rubbish may hold what is a frame by its CRC: one of 65536 does
			for _, ok := l.Next(unfinishedFor); ok; _, ok = l.Next(unfinishedFor) {
			}
		}
		request := (&Request{Unit: 1, Function: ReadHolding, ReadCount: 1}).Append(nil)
		l.Put(request, unfinishedFor)
		seen := false
		for _, at := range []time.Duration{unfinishedFor, 2 * unfinishedFor} {
			for frame, ok := l.Next(at); ok; frame, ok = l.Next(at) {
				seen = seen || bytes.Equal(frame, request)
			}
		}
		if silence && !seen {
			t.Fatalf("after % X and silence a good request was not found", rubbish)
		}
	})
}
