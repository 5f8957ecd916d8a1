// Package soundserver is a sound server of a test's own, PulseAudio, with null
// sinks in place of cards: what is played on one is heard from its monitor. It
// leaves nothing behind, and knows nothing of the computer's own sound.
package soundserver

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Server is a sound server.
type Server struct {
	t       testing.TB
	folder  string
	process *exec.Cmd
	log     *os.File
}

// New starts a server for a test, which is the one that programs of the test find from then on.
// It ends with the test.
func New(t testing.TB) *Server {
	t.Helper()
	folder, err := os.MkdirTemp("", "sound-*") // short: the path of a socket has 107 characters at most
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	for name, value := range map[string]string{
		"XDG_RUNTIME_DIR": folder, "PULSE_RUNTIME_PATH": folder, "PULSE_STATE_PATH": folder,
		"PULSE_COOKIE": filepath.Join(folder, "cookie"), "PULSE_SERVER": "unix:" + filepath.Join(folder, "native"),
	} {
		t.Setenv(name, value)
	}
	s := &Server{t: t, folder: folder}
	s.Start()
	t.Cleanup(s.Kill)
	return s
}

// Start starts it again after Kill. No sink is there.
func (s *Server) Start() {
	s.t.Helper()
	var err error
	if s.log, err = os.Create(filepath.Join(s.folder, "log")); err != nil {
		s.t.Fatal(err)
	}
	s.process = exec.Command("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
		"--disable-shm=yes", "--realtime=no", "--high-priority=no",
		"-L", "module-native-protocol-unix auth-anonymous=1 auth-cookie-enabled=0 socket="+filepath.Join(s.folder,
			"native"))
	s.process.Stdout, s.process.Stderr = s.log, s.log
	if err := s.process.Start(); err != nil {
		s.t.Fatalf("the sound server (Debian's package pulseaudio): %v", err)
	}
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		_, err := s.control("info")
		if err == nil {
			return
		}
		if time.Now().After(end) {
			words, _ := os.ReadFile(s.log.Name())
			s.t.Fatalf("the sound server does not answer: %v\n%s", err, words)
		}
	}
}

// Kill ends it at once, as a crash does.
func (s *Server) Kill() {
	if s.process == nil {
		return
	}
	s.process.Process.Kill()
	s.process.Wait()
	s.log.Close()
	s.process = nil
}

// Plug plugs a sink in, and with it the input NAME.monitor. The result is for Unplug.
func (s *Server) Plug(name, description string) (module string) {
	s.t.Helper()
	module, err := s.control("load-module", "module-null-sink", "sink_name="+name, "rate=48000", "channels=1",
		fmt.Sprintf(`sink_properties='device.description="%s"'`, description))
	if err != nil {
		s.t.Fatal(err)
	}
	return module
}

// Unplug takes a sink away.
func (s *Server) Unplug(module string) {
	s.t.Helper()
	if _, err := s.control("unload-module", module); err != nil {
		s.t.Fatal(err)
	}
}

// control has the server told something by its own program.
func (s *Server) control(words ...string) (string, error) {
	out, err := exec.Command("pactl", words...).CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("pactl %s: %w: %s", strings.Join(words, " "), err, out)
	}
	return strings.TrimSpace(string(out)), nil
}
