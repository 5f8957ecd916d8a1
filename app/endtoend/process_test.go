//go:build window || planted

// Package endtoend drives the finished program as an operator would: a real
// window, a pointer, a keyboard, and a simulated enclosure in a process of its
// own whose truth no part of the panel can touch. Those tests have the build tag
// window and need a display of their own and xdotool; the check script brings
// both. The tests with the tag planted need no window: their program is built so
// that any of its goroutines can be made to fail.
package endtoend

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"beamhelm/app/logfile"
)

// binary is the program under test, built by TestMain from the sources as they are.
var binary string

func TestMain(m *testing.M) {
	for _, s := range []os.Signal{os.Interrupt, syscall.SIGHUP} {
		if signal.Ignored(s) {
			// As for what a script starts in the background, or nohup: the programs under test must not inherit it.
			signal.Notify(make(chan os.Signal, 1), s)
		}
	}
	folder, err := os.MkdirTemp("", "beamhelm-endtoend-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	binary = filepath.Join(folder, "beamhelm")
	if err := buildProgram(binary, tags); err != nil {
		fmt.Fprintln(os.Stderr, "building the program:", err)
		os.Exit(1)
	}
	status := m.Run()
	os.RemoveAll(folder)
	os.Exit(status)
}

// buildProgram builds the program from the sources as they are.
func buildProgram(path, tags string) error {
	build := exec.Command("go", "build", "-tags", "no_emoji "+tags, "-o", path, "beamhelm/app")
	build.Stdout, build.Stderr = os.Stderr, os.Stderr
	return build.Run()
}

// process is a running program that ends with its test.
type process struct {
	*exec.Cmd
	output output
	ended  chan struct{}
	err    error
}

// output is what a process has said so far.
type output struct {
	mu   sync.Mutex
	said bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.said.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.said.String()
}

// start runs the program with its own empty home, so that no settings and no
// kept position of the person who runs the test are touched.
func start(t *testing.T, home string, arguments ...string) *process {
	t.Helper()
	return startWith(t, home, func(*exec.Cmd) {}, arguments...)
}

// startWith is the same of a command that is changed before it runs.
func startWith(t *testing.T, home string, change func(*exec.Cmd), arguments ...string) *process {
	t.Helper()
	p := &process{Cmd: exec.Command(binary, arguments...), ended: make(chan struct{})}
	p.Stdout, p.Stderr = &p.output, &p.output
	p.Env = append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home+"/config", "XDG_STATE_HOME="+home+"/state",
		"XDG_DATA_HOME="+home+"/share", "XDG_CACHE_HOME="+home+"/cache", "XDG_RUNTIME_DIR="+home+"/run")
	change(p.Cmd)
	if err := os.MkdirAll(home+"/run", 0o700); err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatalf("starting beamhelm %s: %v", strings.Join(arguments, " "), err)
	}
	go func() {
		p.err = p.Wait()
		close(p.ended)
	}()
	t.Cleanup(func() {
		p.end()
		if t.Failed() {
			t.Logf("beamhelm %s said:\n%s", strings.Join(arguments, " "), p.output.String())
		}
	})
	return p
}

// end asks the process to end and insists after five seconds.
func (p *process) end() {
	p.Process.Signal(syscall.SIGTERM)
	select {
	case <-p.ended:
	case <-time.After(5 * time.Second):
		p.Process.Kill()
		<-p.ended
	}
}

// code waits for the process to end and returns its exit status.
func (p *process) code(t *testing.T, within time.Duration) int {
	t.Helper()
	select {
	case <-p.ended:
		return p.ProcessState.ExitCode()
	case <-time.After(within):
		t.Fatalf("still running after %v", within)
		return 0
	}
}

// privateFolder is a folder whose path is short enough for a socket in it, whatever the test is called.
func privateFolder(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "b")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	return folder
}

// readLog is the log of the one session under a state folder.
func readLog(t *testing.T, state string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(state, "beamhelm", "other", "*", logfile.Name))
	if err != nil || len(found) != 1 {
		t.Fatalf("logs: %v, %v", found, err)
	}
	text, err := os.ReadFile(found[0])
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
