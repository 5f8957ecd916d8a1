package logfile

import (
	"context"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// run lets a log write until the function that it returns is called.
func run(t *testing.T, f *File) (end func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	go f.Run(ctx)
	return func() {
		cancel()
		<-f.ended
	}
}

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	return string(text)
}

// TestALineLeftInTheMiddle: what a full disk or a kill left of a line does not take the next one in.
func TestALineLeftInTheMiddle(t *testing.T) {
	f := New(filepath.Join(t.TempDir(), Name))
	if err := os.WriteFile(f.path, []byte("time=1 msg=whole\ntime=2 msg=ha"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"time=3 msg=next\n", "time=4 msg=last\n"} {
		end := run(t, f)
		if _, err := f.Write([]byte(line)); err != nil {
			t.Fatal(err)
		}
		end()
		f = New(f.path)
	}
	if got, want := read(t, f.path),
		"time=1 msg=whole\ntime=2 msg=ha\ntime=3 msg=next\ntime=4 msg=last\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestRotation: the two files hold the newest lines, whole, and no more bytes than they may.
func TestRotation(t *testing.T) {
	f := New(filepath.Join(t.TempDir(), "state", Name))
	f.maxBytes = 1000
	end := run(t, f)
	log := f.Logger()
	for i := range 300 {
		log.Info("one of many", "number", i)
		f.Flush(time.Minute)
	}
	end()
	newer, older := read(t, f.path), read(t, f.path+Older)
	if len(older) < 1000 || len(older) > 1100 || len(newer) > 1100 {
		t.Errorf("%d and %d bytes", len(older), len(newer))
	}
	lines := strings.Split(strings.TrimSpace(older+newer), "\n")
	for i, line := range lines {
		number := 300 - len(lines) + i
		if !strings.HasSuffix(line, " msg=\"one of many\" number="+slog.IntValue(number).String()) ||
			!strings.HasPrefix(line, "time=20") {
			t.Errorf("line %d is %q", i, line)
		}
	}
	if about, err := os.Stat(f.path); err != nil || about.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", about.Mode(), err)
	}
	// The next session goes on in the same file.
	again := New(f.path)
	end = run(t, again)
	again.Logger().Info("begun again")
	end()
	if text := read(t, f.path); !strings.HasPrefix(text, newer) || !strings.Contains(text, "begun again") {
		t.Errorf("%q", text)
	}
}

// TestDropped: what doesn't fit the queue is counted, and told in its place.
func TestDropped(t *testing.T) {
	f := New(filepath.Join(t.TempDir(), Name))
	log := f.Logger()
	for range maxWaiting + 7 {
		log.Info("nobody writes yet")
	}
	end := run(t, f)
	f.Flush(time.Minute)
	log.Info("last")
	end()
	text := read(t, f.path)
	if lines := strings.Count(text, "nobody writes yet"); lines != maxWaiting ||
		strings.Count(text, `msg="log lines dropped" lines=7`) != 1 {
		t.Errorf("%d lines; %.200s", lines, text)
	}
}

// TestWhatCannotBeOpened: a pipe or a folder in its place holds nothing up.
func TestWhatCannotBeOpened(t *testing.T) {
	for name, make := range map[string]func(string) error{
		"pipe":   func(path string) error { return syscall.Mkfifo(path, 0o600) },
		"folder": func(path string) error { return os.Mkdir(path, 0o700) },
	} {
		f := New(filepath.Join(t.TempDir(), Name))
		if err := make(f.path); err != nil {
			t.Fatal(err)
		}
		end := run(t, f)
		f.Logger().Info("lost")
		end()
		if f.dropped.Load() != 1 {
			t.Errorf("%s: %d lines dropped", name, f.dropped.Load())
		}
	}
}

// TestPlain: a line stays one line, nothing from outside reaches a terminal raw, and secrets stay out.
func TestPlain(t *testing.T) {
	for _, row := range []struct {
		name, text string
		lacks      []string
		has        string
	}{
		{"line's end and escape", "one\ntime=2026 level=ERROR\x1b[2Jtwo", []string{"\n", "\x1b"}, `one\ntime=2026`},
		{"C1 control and direction mark", "a\u009bb\u202ec\u2066d", []string{"\u009b", "\u202e", "\u2066"},
			`a\u009bb\u202ec`},
		{"password in an address", `parse "mqtts://dish:sec ret/@club.example:8883": invalid`,
			[]string{"sec", "ret/", "dish:"}, "club.example"},
		{"token of a camera", `Get "http://192.0.2.7/shot.jpg?user=me&token=secret": refused`,
			[]string{"secret", "token="},
			"shot.jpg"},
		{"much too long", strings.Repeat("x", 3*maxText), []string{strings.Repeat("x", maxText+1)}, "xxx..."},
	} {
		f := New(filepath.Join(t.TempDir(), Name))
		f.Logger().Warn(row.text, "text", row.text, "error", errors.New(row.text))
		line := strings.TrimSuffix(string(<-f.lines), "\n")
		for _, lacks := range row.lacks {
			if strings.Contains(line, lacks) {
				t.Errorf("%s: %q holds %q", row.name, line, lacks)
			}
		}
		if strings.Count(line, row.has) != 3 {
			t.Errorf("%s: %q has %q not three times", row.name, line, row.has)
		}
	}
}

// TestSparing: what changes all the time is logged once in an interval, and how often it was not.
func TestSparing(t *testing.T) {
	f := New(filepath.Join(t.TempDir(), Name))
	s := NewSparing(f.Logger(), time.Minute)
	now := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	for i := range 601 { // ten minutes
		words := ""
		if i%2 == 1 {
			words = "no answer"
		}
		s.Say(now.Add(time.Duration(i)*time.Second), "camera", words)
	}
	close(f.lines)
	lines := 0
	for line := range f.lines {
		if lines++; !strings.Contains(string(line), "camera") {
			t.Errorf("%s", line)
		}
	}
	if lines < 8 || lines > 10 {
		t.Errorf("%d lines in ten minutes", lines)
	}
}
