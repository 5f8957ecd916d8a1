//go:build peers

package serve

import (
	"context"
	"io"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// What follows lets masters that strangers wrote speak with the enclosure over
// a pseudo-terminal: mbpoll, libmodbus and pymodbus.

// timedLine is a line that tells how long the enclosure behind it took for its slowest reply. A request that got none
// counts as long as it is until the next one comes.
type timedLine struct {
	io.ReadWriteCloser
	mu      sync.Mutex
	heard   time.Time
	pending bool
	worst   time.Duration
}

func (l *timedLine) Read(p []byte) (int, error) {
	n, err := l.ReadWriteCloser.Read(p)
	l.mu.Lock()
	defer l.mu.Unlock()
	if n > 0 {
		l.took()
		l.heard, l.pending = time.Now(), true
	}
	return n, err
}

func (l *timedLine) Write(p []byte) (int, error) {
	n, err := l.ReadWriteCloser.Write(p)
	l.mu.Lock()
	defer l.mu.Unlock()
	l.took()
	l.pending = false
	return n, err
}

func (l *timedLine) took() {
	if l.pending {
		l.worst = max(l.worst, time.Since(l.heard))
	}
}

// slowest is how long the slowest reply took.
func (l *timedLine) slowest() time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.worst
}

// onTerminal starts an enclosure and returns the path of its port.
func onTerminal(t *testing.T) string {
	t.Helper()
	path, _ := onTimedTerminal(t)
	return path
}

func onTimedTerminal(t *testing.T) (string, *timedLine) {
	t.Helper()
	terminal, err := OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	slave, _ := newSlave(t, nil)
	line := &timedLine{ReadWriteCloser: terminal}
	server := NewServer(slave, line)
	ctx, end := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Run(ctx) }()
	t.Cleanup(func() {
		end()
		if err := <-ended; err != nil {
			t.Errorf("the enclosure: %v", err)
		}
	})
	return terminal.Path, line
}

// ran runs a program and returns what it said, and whether its status was 0.
func ran(t *testing.T, name string, words ...string) (string, bool) {
	t.Helper()
	ctx, end := context.WithTimeout(t.Context(), 5*time.Minute)
	defer end()
	out, err := exec.CommandContext(ctx, name, words...).CombinedOutput()
	if _, exited := err.(*exec.ExitError); err != nil && !exited {
		t.Fatalf("running %s: %v", name, err)
	}
	return string(out), err == nil
}

func TestMbpoll(t *testing.T) {
	port := onTerminal(t)
	rows := []struct {
		name  string
		words []string
		good  bool
		says  string
	}{
		{"identity", []string{"-t", "4:hex", "-r", "0", "-c", "16"}, true, `\[0\]:\s+0x0001(?s:.*)\[15\]:\s+0x005F`},
		{"motion", []string{"-t", "4:hex", "-r", "32", "-c", "32"}, true, `\[46\]:\s+0x0008(?s:.*)\[63\]:`},
		{"motion by function 04", []string{"-t", "3:hex", "-r", "32", "-c", "32"}, true, `\[46\]:\s+0x0008`},
		{"readings", []string{"-t", "3", "-r", "64", "-c", "32"}, true,
			`\[64\]:\s+1000(?s:.*)\[95\]:\s+32768 \(-32768\)`},
		{"outside the map", []string{"-t", "4", "-r", "95", "-c", "2"}, false, "Illegal data address"},
		{"demand 10000", []string{"-t", "4", "-r", "18", "WRITE", "10000"}, true, "Written 1 references"},
		{"demand 10001", []string{"-t", "4", "-r", "18", "WRITE", "10001"}, false, "Illegal data value"},
		{"demand -10000 by function 16", []string{"-t", "4", "-r", "18", "WRITE", "55536", "0"}, true,
			"Written 2 references"},
		{"demand -10001", []string{"-t", "4", "-r", "18", "WRITE", "55535", "0"}, false, "Illegal data value"},
		{"writing motion", []string{"-t", "4", "-r", "32", "WRITE", "0"}, false, "Illegal data address"},
	}
	for _, row := range rows {
		words := []string{"-m", "rtu", "-a", "1", "-b", "19200", "-P", "none", "-0", "-1"}
		written := false
		for _, w := range row.words {
			if w == "WRITE" {
				w, written = port, true
			}
			words = append(words, w)
		}
		if !written {
			words = append(words, port)
		}
		out, ok := ran(t, "mbpoll", words...)
		if ok != row.good || !regexp.MustCompile(row.says).MatchString(out) {
			t.Errorf("%s: mbpoll %s, good %v, want %v with %q:\n%s", row.name, strings.Join(words, " "), ok, row.good,
				row.says, out)
		}
	}
}

// compiled compiles a C program against libmodbus.
func compiled(t *testing.T, source string) string {
	t.Helper()
	flags, ok := ran(t, "pkg-config", "--cflags", "--libs", "libmodbus")
	if !ok {
		t.Fatalf("libmodbus is not found: %s", flags)
	}
	program := filepath.Join(t.TempDir(), "program")
	words := append([]string{"-O1", "-Wall", "-o", program, source}, strings.Fields(flags)...)
	if out, ok := ran(t, "cc", words...); !ok {
		t.Fatalf("compiling %s: %s", source, out)
	}
	return program
}

// A master that waits half a second for a reply gets every one. Where the enclosure answered each request that it heard
// at once, the kernel, which carries the line, or the master itself was held for longer: it is tried again.
func TestLibmodbusMaster(t *testing.T) {
	program := compiled(t, filepath.Join("testdata", "master.c"))
	want := strconv.Itoa(20*libmodbusSeconds) + " exchanges, 0 errors"
	const quick, tries = 100 * time.Millisecond, 4
	for try := 1; ; try++ {
		port, line := onTimedTerminal(t)
		out, ok := ran(t, program, port, strconv.Itoa(libmodbusSeconds), "20")
		slowest := line.slowest()
		t.Logf("%s; the slowest reply after %v", strings.TrimSpace(out), slowest)
		if ok && strings.Contains(out, want) {
			return
		}
		if slowest > quick || try == tries || !strings.Contains(out, "timed out") {
			t.Fatalf("libmodbus says %q, want %q", out, want)
		}
	}
}

func TestPymodbusMaster(t *testing.T) {
	out, ok := ran(t, "/usr/bin/python3", filepath.Join("testdata", "master.py"), onTerminal(t))
	if !ok || !strings.Contains(out, "20 exchanges, 0 errors") {
		t.Errorf("pymodbus says %q", out)
	}
}
