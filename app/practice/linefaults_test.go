package practice

import (
	"bytes"
	"io"
	"testing"
)

// wire is a line that gives what it is fed, and keeps what it is told.
type wire struct {
	feed [][]byte
	told bytes.Buffer
}

func (w *wire) Read(p []byte) (int, error) {
	if len(w.feed) == 0 {
		return 0, io.EOF
	}
	n := copy(p, w.feed[0])
	w.feed = w.feed[1:]
	return n, nil
}
func (w *wire) Write(p []byte) (int, error) { return w.told.Write(p) }
func (w *wire) Close() error                { return nil }

func TestLineFaults(t *testing.T) {
	w := &wire{feed: [][]byte{{1}, {2}, {3}}}
	s := &Served{line: &faultyLine{ReadWriteCloser: w}}
	reply, room := []byte{0x11, 3, 2, 0x41, 0x42}, make([]byte, 8)
	say := func() []byte {
		w.told.Reset()
		if n, err := s.line.Write(reply); n != len(reply) || err != nil {
			t.Fatal(n, err)
		}
		return w.told.Bytes()
	}
	if n, _ := s.line.Read(room); n != 1 || room[0] != 1 || !bytes.Equal(say(), reply) {
		t.Errorf("a sound line spoils what passes")
	}
	if s.SetLine("storm", true) || !s.SetLine(LinkCut, true) || len(s.LineStanding()) != 1 {
		t.Errorf("faults that stand: %v", s.LineStanding())
	}
	if n, err := s.line.Read(room); err != io.EOF || len(say()) != 0 {
		t.Errorf("a cut line carries %d bytes, %v", n, err)
	}
	s.SetLine(LinkCut, false)
	s.SetLine(LinkNoisy, true)
	spoilt := 0
	for range 4 * spoilsEvery {
		if !bytes.Equal(say(), reply) {
			spoilt++
		}
	}
	if spoilt != 4 || reply[2] != 2 {
		t.Errorf("%d of %d replies spoilt, want one in %d", spoilt, 4*spoilsEvery, spoilsEvery)
	}
}
