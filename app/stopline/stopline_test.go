package stopline

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

func listening(t *testing.T, stop func() string) (string, context.CancelFunc, chan error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "stop")
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- Listen(ctx, path, stop) }()
	for deadline := time.Now().Add(5 * time.Second); time.Now().Before(deadline); {
		if info, err := os.Lstat(path); err == nil && info.Mode().Perm() == 0o600 {
			return path, cancel, done
		}
	}
	t.Fatal("the socket never appeared")
	return "", nil, nil
}

func TestStopIsCarriedOutOnceForEachCall(t *testing.T) {
	var asked atomic.Int32
	path, cancel, done := listening(t, func() string { asked.Add(1); return "stop asked" })
	for range 3 {
		words, err := Ask(path)
		if err != nil || words != "stop asked" {
			t.Fatalf("answer %q, %v", words, err)
		}
	}
	if asked.Load() != 3 {
		t.Fatalf("stopped %d times, want 3", asked.Load())
	}
	cancel()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
}

func TestNoOtherWordIsAnOrder(t *testing.T) {
	var asked atomic.Int32
	path, _, _ := listening(t, func() string { asked.Add(1); return "stop asked" })
	for _, sent := range []string{"track", "stopp", strings.Repeat("stop", 40), ""} {
		connection, err := net.Dial("unix", path)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(connection, sent)
		var answer [64]byte
		n, _ := connection.Read(answer[:])
		if !strings.HasPrefix(string(answer[:n]), "only stop") {
			t.Errorf("to %q the panel said %q", sent, answer[:n])
		}
		connection.Close()
	}
	if asked.Load() != 0 {
		t.Fatal("a word other than stop stopped the dish")
	}
}

func TestTwoPanelsDoNotShareTheSocket(t *testing.T) {
	path, _, _ := listening(t, func() string { return "" })
	if err := Listen(t.Context(), path, func() string { return "" }); err == nil || !strings.Contains(err.Error(), "another panel") {
		t.Fatalf("a second panel listened: %v", err)
	}
}

func TestLeftOverSocketIsTakenOver(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stop")
	left, err := net.Listen("unix", path)
	if err != nil {
		t.Fatal(err)
	}
	left.(*net.UnixListener).SetUnlinkOnClose(false)
	left.Close()
	if err := clear(path); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		t.Fatal("the left-over socket is still there")
	}
}

func TestPlainFileIsNotRemoved(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stop")
	if err := os.WriteFile(path, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := clear(path); err == nil {
		t.Fatal("a plain file was taken for a socket")
	}
	if kept, _ := os.ReadFile(path); string(kept) != "mine" {
		t.Fatal("the file was touched")
	}
}

func TestNobodyThere(t *testing.T) {
	if _, err := Ask(filepath.Join(t.TempDir(), "stop")); !errors.Is(err, ErrNobody) {
		t.Fatalf("got %v", err)
	}
}
