package practice

import (
	"io"
	"slices"
	"sync/atomic"
)

// LineFault is a fault of the line to the enclosure, not of the dish.
type LineFault struct{ Name, Words string }

// Names of the faults of the line.
const (
	LinkCut   = "link-cut"
	LinkNoisy = "link-noisy"
)

// LineFaults are all there are.
func LineFaults() []LineFault {
	return []LineFault{
		{LinkCut, "the cable to the enclosure is cut: nothing arrives on either side"},
		{LinkNoisy, "interference on the cable: one reply in four arrives spoilt"},
	}
}

// spoilsEvery is how many replies there are to one that is spoilt.
const spoilsEvery = 4

// faultyLine is the enclosure's end of a line that can be cut, or spoil what passes.
type faultyLine struct {
	io.ReadWriteCloser
	cut, noisy atomic.Bool
	replies    atomic.Uint64
}

// Read implements io.Reader: what arrives while the line is cut is lost.
func (f *faultyLine) Read(p []byte) (int, error) {
	for {
		if n, err := f.ReadWriteCloser.Read(p); err != nil || !f.cut.Load() {
			return n, err
		}
	}
}

// Write implements io.Writer.
func (f *faultyLine) Write(p []byte) (int, error) {
	if f.cut.Load() {
		return len(p), nil
	}
	if f.noisy.Load() && len(p) > 0 && f.replies.Add(1)%spoilsEvery == 0 {
		p = slices.Clone(p)
		p[len(p)/2] ^= 0x10
	}
	return f.ReadWriteCloser.Write(p)
}

// of is the switch of a fault; nil where it is none of the line's.
func (f *faultyLine) of(name string) *atomic.Bool {
	switch name {
	case LinkCut:
		return &f.cut
	case LinkNoisy:
		return &f.noisy
	}
	return nil
}

// SetLine begins a fault of the line or ends it; false: it is none of the line's.
func (s *Served) SetLine(name string, on bool) bool {
	fault := s.line.of(name)
	if fault != nil {
		fault.Store(on)
	}
	return fault != nil
}

// LineStanding are the names of the line's faults that stand.
func (s *Served) LineStanding() (names []string) {
	for _, f := range LineFaults() {
		if s.line.of(f.Name).Load() {
			names = append(names, f.Name)
		}
	}
	return names
}
