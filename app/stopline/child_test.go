//go:build unix

package stopline

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// childEnv holds what this program does in place of the tests: the kind and the folder.
const childEnv = "STOPLINE_TEST_CHILD"

// child is a panel in a process of its own.
func child() {
	kind, folder, _ := strings.Cut(os.Getenv(childEnv), " ")
	l := New(standing)
	l.folders = []string{folder}
	ctx, end := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { l.Run(ctx); close(done) }()
	for l.listens(folder) != nil {
	}
	var usual unix.Rlimit
	if kind == "full" {
		if err := unix.Getrlimit(unix.RLIMIT_NOFILE, &usual); err != nil {
			panic(err)
		}
		if err := unix.Setrlimit(unix.RLIMIT_NOFILE, &unix.Rlimit{Cur: 3, Max: usual.Max}); err != nil {
			panic(err)
		}
	}
	fmt.Println("listening")
	if kind == "full" {
		for !strings.Contains(l.Trouble(), "too many open files") {
		}
		fmt.Println(l.Trouble())
		if err := unix.Setrlimit(unix.RLIMIT_NOFILE, &usual); err != nil {
			panic(err)
		}
	}
	_, _ = io.Copy(io.Discard, os.Stdin)
	end()
	<-done
}

// listens reports that the socket is there and closed to others.
func (l *Line) listens(folder string) error {
	info, err := os.Lstat(filepath.Join(folder, l.name))
	if err == nil && info.Mode().Perm() != 0o600 {
		err = os.ErrPermission
	}
	return err
}

func startChild(t *testing.T, kind, folder string) *bufio.Reader {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childEnv+"="+kind+" "+folder)
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { in.Close(); _ = c.Wait() })
	lines := bufio.NewReader(out)
	if line, err := lines.ReadString('\n'); err != nil || line != "listening\n" {
		t.Fatalf("%q, %v", line, err)
	}
	return lines
}

// A panel that had no descriptor left for a caller tells it, goes on and answers when it has.
func TestAMomentWithoutDescriptors(t *testing.T) {
	folder := short(t)
	lines := startChild(t, "full", folder)
	answers := make(chan []Answer)
	go func() {
		got, err := askIn([]string{folder})
		if err != nil {
			t.Error(err)
		}
		answers <- got
	}()
	if line, err := lines.ReadString('\n'); err != nil || !strings.Contains(line, "too many open files") {
		t.Errorf("it told %q, %v", line, err)
	}
	if got := <-answers; len(got) != 1 || !got[0].Standing {
		t.Errorf("%+v", got)
	}
}
