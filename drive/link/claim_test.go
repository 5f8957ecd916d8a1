//go:build unix

package link

import (
	"errors"
	"strings"
	"testing"

	"github.com/creack/pty"
)

// A second panel doesn't get a port that another one uses, and is told so; when
// the first has let it go, or has died, it gets it.
func TestAPortIsNotShared(t *testing.T) {
	master, terminal, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	defer terminal.Close()
	open := Serial(Settings{Path: terminal.Name(), Parity: NoParity})
	first, err := open()
	if err != nil {
		t.Fatal(err)
	}
	other := Serial(Settings{Path: terminal.Name(), Parity: NoParity})
	if second, err := other(); !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), "a second panel") {
		t.Errorf("the port is shared: %v, %v", second, err)
	}
	if _, err := Look(other, 1); !errors.Is(err, ErrInUse) {
		t.Errorf("looked at a port in use: %v", err)
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := other()
	if err != nil {
		t.Fatalf("after it was let go: %v", err)
	}
	again.Close()
}

// A port that this panel itself still holds, because a call into it hangs, is not put down to somebody else.
func TestAHungPortIsOurOwn(t *testing.T) {
	master, terminal, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	defer terminal.Close()
	open := Serial(Settings{Path: terminal.Name(), Parity: NoParity})
	line, err := open()
	if err != nil {
		t.Fatal(err)
	}
	hung := &guarded{line: line, inside: 1} // a call that has not returned
	if err := hung.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := open(); !errors.Is(err, ErrHung) || errors.Is(err, ErrInUse) {
		t.Errorf("opened again while a call hangs: %v", err)
	}
	hung.leave()
	again, err := open()
	if err != nil {
		t.Fatalf("after the call has returned: %v", err)
	}
	again.Close()
}
