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
	if second, err := open(); !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), "a second panel") {
		t.Errorf("the port is shared: %v, %v", second, err)
	}
	if _, err := Look(open, 1); !errors.Is(err, ErrInUse) {
		t.Errorf("looked at a port in use: %v", err)
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := open()
	if err != nil {
		t.Fatalf("after it was let go: %v", err)
	}
	again.Close()
}
