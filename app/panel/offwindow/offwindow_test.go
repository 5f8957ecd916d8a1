package offwindow

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2/test"
)

// TestDo: whoever asked hears once what came of it, and is busy until then.
func TestDo(t *testing.T) {
	test.NewTempApp(t)
	synctest.Test(t, func(t *testing.T) {
		var marks []bool
		j := &Job{Mark: func(busy bool) { marks = append(marks, busy) }}
		got, heard := 0, 0
		free := make(chan struct{})
		ask := func() bool {
			return Do(j, time.Second, func(ctx Context) (int, error) {
				<-free
				return 7, ctx.Err()
			}, func(value int, err error) {
				heard++
				got = value
				if err != nil {
					t.Error(err)
				}
			})
		}
		if !ask() || !j.Busy() || ask() {
			t.Fatal("one thing at a time is begun")
		}
		close(free)
		synctest.Wait()
		if got != 7 || heard != 1 || j.Busy() || len(marks) != 2 || !marks[0] || marks[1] {
			t.Errorf("got %d, heard %d times, busy %v, marks %v", got, heard, j.Busy(), marks)
		}
		if !ask() {
			t.Error("it isn't ready again")
		}
		synctest.Wait()
		if heard != 2 {
			t.Errorf("heard %d times", heard)
		}
	})
}

// TestHangs: what never comes back is given up after its time, and is heard of no more.
func TestHangs(t *testing.T) {
	test.NewTempApp(t)
	synctest.Test(t, func(t *testing.T) {
		free := make(chan struct{})
		j := &Job{}
		var wrong []error
		begin := func() bool {
			return Do(j, Usual, func(Context) (int, error) {
				<-free
				return 1, nil
			}, func(_ int, err error) { wrong = append(wrong, err) })
		}
		begin()
		time.Sleep(Usual + time.Millisecond)
		synctest.Wait()
		if len(wrong) != 1 || !errors.Is(wrong[0], ErrNoAnswer) || j.Busy() {
			t.Fatalf("%v, busy %v", wrong, j.Busy())
		}
		if !begin() {
			t.Fatal("it can't be tried again")
		}
		close(free) // both come back, one of them too late
		synctest.Wait()
		if len(wrong) != 2 || wrong[1] != nil {
			t.Errorf("%v", wrong)
		}
		// What hangs doesn't pile up without end.
		free = make(chan struct{})
		for range 2 * maxStuck {
			begin()
			j.Cancel()
		}
		if j.stuck.Load() != maxStuck || !errors.Is(wrong[len(wrong)-1], ErrNoAnswer) {
			t.Errorf("%d hang, %v", j.stuck.Load(), wrong)
		}
		close(free)
	})
}

// TestCancel: what was cancelled ends its context and is heard of no more, and another thing can be asked at once.
func TestCancel(t *testing.T) {
	test.NewTempApp(t)
	synctest.Test(t, func(t *testing.T) {
		j := &Job{}
		var ended error
		Do(j, Usual, func(ctx Context) (int, error) {
			<-ctx.Done()
			ended = ctx.Err()
			return 0, ended
		}, func(int, error) { t.Error("heard of") })
		j.Cancel()
		if j.Busy() {
			t.Error("still busy")
		}
		heard := false
		Do(j, Usual, func(Context) (int, error) { return 0, nil }, func(int, error) { heard = true })
		synctest.Wait()
		if !errors.Is(ended, context.Canceled) || !heard {
			t.Errorf("context %v, the next heard of: %v", ended, heard)
		}
	})
}

// TestRead: only regular files of a bounded length are opened.
func TestRead(t *testing.T) {
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	if err := os.WriteFile(in("short"), []byte("text"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in("just"), bytes.Repeat([]byte("x"), MaxImport), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in("long"), bytes.Repeat([]byte("x"), MaxImport+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(in("pipe"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(in("pipe"), in("link")); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		path, wrong string
		length      int
	}{
		{" " + in("short") + " ", "", 4},
		{in("just"), "", MaxImport},
		{in("long"), "longer than 1024 KiB", 0},
		{in("pipe"), "not a regular file", 0},
		{in("link"), "not a regular file", 0},
		{"/dev/zero", "not a regular file", 0},
		{folder, "not a regular file", 0},
		{in("none"), "there is no file", 0},
		{"", "a path is needed", 0},
	} {
		text, err := Read(Context{t.Context()}, row.path)
		if (err == nil) != (row.wrong == "") || err != nil && !strings.Contains(err.Error(), row.wrong) ||
			len(text) != row.length {
			t.Errorf("%q: %d bytes, %v", row.path, len(text), err)
		}
	}
}

// TestWrite: a file that is there is replaced only where that was asked for.
func TestWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	ctx := Context{t.Context()}
	if err := Write(ctx, path, []byte("first"), false); err != nil {
		t.Fatal(err)
	}
	if err := Write(ctx, path, []byte("second"), false); !errors.Is(err, ErrExists) {
		t.Errorf("%v", err)
	}
	if err := Write(ctx, path, []byte("third"), true); err != nil {
		t.Fatal(err)
	}
	if text, _ := os.ReadFile(path); string(text) != "third" {
		t.Errorf("the file holds %q", text)
	}
}

// TestUnwritten: what a disk answered is said in a few words, without the names of files that nobody asked for.
func TestUnwritten(t *testing.T) {
	beside := func(code error) error {
		return fmt.Errorf("write /a/b: %w", &os.PathError{Op: "write", Path: "/a/.b.123", Err: code})
	}
	for want, err := range map[string]error{
		"Not written: the disk is full":       beside(syscall.ENOSPC),
		"Not written: permission denied":      beside(syscall.EACCES),
		"Not written: nothing has been heard": errors.New("nothing has been heard"),
	} {
		if got := Unwritten(err); got != want {
			t.Errorf("%v: %q, want %q", err, got, want)
		}
	}
}
