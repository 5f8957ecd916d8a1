package step

import (
	"strings"
	"testing"
)

// The comment of every mode and the table say the same: a lock-out ends in rest
// alone, nothing follows itself, and every mode can be left and locked out.
func TestSuccessors(t *testing.T) {
	for m := range modeCount {
		if m.mayBecome(m) {
			t.Errorf("%v may follow itself", m)
		}
		if m != LockedOut && !m.mayBecome(LockedOut) {
			t.Errorf("%v can't be locked out", m)
		}
		if next := m == LockedOut || m == Idle; !next && !m.mayBecome(Idle) {
			t.Errorf("%v can't rest", m)
		}
		if LockedOut.mayBecome(m) != (m == Idle) {
			t.Errorf("locked out may become %v: %v", m, LockedOut.mayBecome(m))
		}
	}
	if modeCount.mayBecome(Idle) || int(modeCount) != len(modeWords) {
		t.Error("a mode without a name")
	}
}

// A change that may not be is refused, counted and told; the lock decides too.
func TestEnterRefuses(t *testing.T) {
	for _, w := range []struct {
		name     string
		from, to Mode
		locked   bool
		refused  bool
	}{
		{"rest to coming to rest", Idle, Halting, false, true},
		{"locked out to holding", LockedOut, Holding, true, true},
		{"locked out to rest without Release", LockedOut, Idle, true, true},
		{"locked out to rest", LockedOut, Idle, false, false},
		{"slewing to locked out without a lock", Slewing, LockedOut, false, true},
		{"slewing to locked out", Slewing, LockedOut, true, false},
		{"holding to itself", Holding, Holding, false, false},
	} {
		s := State{Mode: w.from, Lock: Lock{Locked: w.locked}}
		s.enter(w.to, &Inputs{Now: 1})
		e := s.Events[s.Event%MaxEvents]
		if refused := s.Illegal == 1 && s.Mode == w.from && e.Kind == IllegalChange &&
			strings.Contains(e.String(), "fault of the program"); refused != w.refused {
			t.Errorf("%s: mode %v, refused %d times, told %v", w.name, s.Mode, s.Illegal, e)
		}
	}
}
