package stopline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if os.Getenv(childEnv) != "" {
		child()
		return
	}
	goleak.VerifyTestMain(m)
}

// until waits for a condition.
func until(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("it never came to this: %s", what)
		}
	}
}

// short is a folder whose path a socket's address has room for.
func short(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "bh")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	return filepath.Join(folder, "own")
}

// listening runs a line in a folder, and returns it with the path of its socket.
func listening(t *testing.T, folder, name string, stop Stopper) (*Line, string, func()) {
	t.Helper()
	l := New(stop)
	l.folders, l.name = []string{folder}, prefix+name+suffix
	ctx, end := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { l.Run(ctx); close(done) }()
	stopped := func() { end(); <-done }
	t.Cleanup(stopped)
	path := filepath.Join(folder, l.name)
	until(t, "it listens", func() bool {
		info, err := os.Lstat(path)
		return err == nil && info.Mode().Perm() == 0o600
	})
	return l, path, stopped
}

func standing(context.Context) (bool, string) { return true, "standing still" }

func TestEveryPanelIsStopped(t *testing.T) {
	folder := short(t)
	var first, second atomic.Int32
	_, _, _ = listening(t, folder, "1", func(context.Context) (bool,
		string) {
		first.Add(1)
		return true, "Cold Harbour Field: standing still"
	})
	_, _, end := listening(t, folder, "2", func(context.Context) (bool,
		string) {
		second.Add(1)
		return false, "second: not confirmed"
	})
	for range 3 {
		answers, err := askIn([]string{folder})
		if err != nil || len(answers) != 2 {
			t.Fatalf("%v, %v", answers, err)
		}
		if a := answers[0]; a.Err != nil || !a.Standing || a.Words != "Cold Harbour Field: standing still" {
			t.Errorf("the first says %+v", a)
		}
		if a := answers[1]; a.Err != nil || a.Standing || a.Words != "second: not confirmed" {
			t.Errorf("the second says %+v", a)
		}
	}
	if first.Load() != 3 || second.Load() != 3 {
		t.Errorf("stopped %d and %d times, want 3 and 3", first.Load(), second.Load())
	}
	end()
	if answers, err := askIn([]string{folder}); err != nil || len(answers) != 1 {
		t.Errorf("after the second has ended: %v, %v", answers, err)
	}
}

func TestNoOtherWordIsAnOrder(t *testing.T) {
	var times atomic.Int32
	_, path, _ := listening(t, short(t), "1", func(context.Context) (bool, string) { times.Add(1); return true, "" })
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
	if times.Load() != 0 {
		t.Fatal("a word other than stop stopped the dish")
	}
}

// What a dead panel left is passed over by who asks, and removed by the next panel.
func TestLeftOverSockets(t *testing.T) {
	folder := short(t)
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, prefix+"99"+suffix)
	left, err := net.Listen("unix", path)
	if err != nil {
		t.Fatal(err)
	}
	left.(*net.UnixListener).SetUnlinkOnClose(false)
	left.Close()
	plain := filepath.Join(folder, prefix+"plain"+suffix)
	if err := os.WriteFile(plain, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if answers, err := askIn([]string{folder}); err != nil || len(answers) != 0 {
		t.Errorf("%v, %v", answers, err)
	}
	listening(t, folder, "1", standing)
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		t.Error("the left-over socket is still there")
	}
	if kept, _ := os.ReadFile(plain); string(kept) != "mine" {
		t.Error("a plain file was touched")
	}
}

// A socket that somebody removed, as a cleaner of old files does, is made again.
func TestARemovedSocketIsMadeAnew(t *testing.T) {
	folder := short(t)
	_, path, _ := listening(t, folder, "1", standing)
	if err := os.RemoveAll(folder); err != nil {
		t.Fatal(err)
	}
	until(t, "the socket is there again", func() bool { _, err := os.Lstat(path); return err == nil })
	until(t, "it answers again", func() bool {
		answers, err := askIn([]string{folder})
		return err == nil && len(answers) == 1 && answers[0].Standing
	})
}

// Nobody else's folder is listened in, nor asked in: another user could have
// made it first, and would answer in the panel's place.
func TestFoldersOfOthers(t *testing.T) {
	base := filepath.Dir(short(t))
	open, link, foreign, loose := filepath.Join(base, "open"), filepath.Join(base, "link"),
		filepath.Join(base, "foreign"), filepath.Join(base, "loose", "own")
	for _, err := range []error{
		os.Mkdir(open, 0o700), os.Chmod(open, 0o770), os.Symlink("open", link), os.Mkdir(foreign, 0o700),
		os.MkdirAll(loose, 0o700), os.Chmod(filepath.Dir(loose), 0o777),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	tried := []string{open, link, loose}
	if os.Getuid() == 0 {
		if err := os.Chown(foreign, 65534, 65534); err != nil {
			t.Fatal(err)
		}
		tried = append(tried, foreign)
	}
	for _, folder := range tried {
		if got, err := usable([]string{folder}, "stop-1.socket"); err == nil {
			t.Errorf("%s is used", got)
		}
		if _, err := askIn([]string{folder}); err == nil {
			t.Errorf("%s is asked in without a word", folder)
		}
		l := New(standing)
		l.folders = []string{folder}
		ctx, end := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { l.Run(ctx); close(done) }()
		until(t, "the trouble is told", func() bool { return strings.Contains(l.Trouble(), folder) })
		end()
		<-done
	}
}

func TestWhoIsTrusted(t *testing.T) {
	if err := isTrusted(os.Getuid()); err != nil {
		t.Error(err)
	}
	if err := isTrusted(0); err != nil {
		t.Error(err)
	}
	if err := isTrusted(os.Getuid() + 1); err == nil {
		t.Error("another user is trusted")
	}
	for _, wrong := range []string{"", "relative"} {
		t.Setenv("XDG_RUNTIME_DIR", wrong)
		for _, folder := range Folders() {
			if !filepath.IsAbs(folder) {
				t.Errorf("%q is where a socket may lie", folder)
			}
		}
	}
}

// TestCallersEndWithTheLine: neither one who says nothing nor one who waits for
// the dish keeps the line from ending, and both are gone with it.
func TestCallersEndWithTheLine(t *testing.T) {
	folder := short(t)
	asked := make(chan struct{})
	_, path, end := listening(t, folder, "1", func(ctx context.Context) (bool, string) {
		close(asked)
		<-ctx.Done()
		return false, "the panel is ending"
	})
	var callers []net.Conn
	for _, says := range []string{"", word + "\n"} {
		caller, err := net.Dial("unix", path)
		if err != nil {
			t.Fatal(err)
		}
		defer caller.Close()
		fmt.Fprint(caller, says)
		callers = append(callers, caller)
	}
	<-asked
	began := time.Now()
	end()
	goleak.VerifyNone(t)
	if took := time.Since(began); took > patience/2 {
		t.Errorf("it took %v", took)
	}
	if answer, err := io.ReadAll(callers[1]); err != nil || string(answer) != "asked the panel is ending\n" {
		t.Errorf("%q, %v", answer, err)
	}
}
