//go:build linux

package link

import (
	"bufio"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/serve"
)

// nobody is the user that the panel runs as where this test runs as root.
const nobody = 65534

// panel starts a child process as an unprivileged user.
func panel(t *testing.T, binary, port, work string) (*exec.Cmd, *bufio.Reader) {
	t.Helper()
	command := exec.Command(binary)
	command.Dir = "/"
	command.Env = []string{childPort + "=" + port, childWork + "=" + work}
	if os.Geteuid() == 0 {
		command.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody,
			NoSetGroups: false}}
	}
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = command.Process.Kill() })
	return command, bufio.NewReader(out)
}

// copied is this test's own program where everybody may run it.
func copied(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "beamhelm-link-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	if err := os.Chmod(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	from, err := os.Open(self)
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	name := filepath.Join(folder, "panel")
	to, err := os.OpenFile(name, os.O_CREATE|os.O_WRONLY, 0o755)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(to, from); err != nil {
		t.Fatal(err)
	}
	if err := to.Close(); err != nil {
		t.Fatal(err)
	}
	return name
}

// TestKilledAtFullSlew: a panel that is killed at full slew leaves an enclosure
// that applies zero within its watchdog period, and a port that the same user can open again.
func TestKilledAtFullSlew(t *testing.T) {
	terminal, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() == 0 {
		if err := os.Chown(terminal.Path, nobody, nobody); err != nil {
			t.Fatal(err)
		}
	}
	server, e := newServer(t, terminal)
	server.Quiet = func() {
		if err := terminal.Release(); err != nil {
			t.Error(err)
		}
	}
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- server.Run(ctx) }()
	applied := func() (m enclosure.Motion) {
		server.Do(func() { m = e.Motion() })
		return m
	}
	binary := copied(t)
	first, _ := panel(t, binary, terminal.Path, "slew")
	for until := time.Now().Add(20 * time.Second); applied().Applied[0] != enclosure.FullDrive; time.Sleep(10 * ms) {
		if time.Now().After(until) {
			t.Fatalf("no slew after 20 s: %+v", applied())
		}
	}
	if err := first.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = first.Wait() // it was killed
	killed := time.Now()
	second, words := panel(t, binary, terminal.Path, "open")
	said := make(chan string, 1)
	var opened time.Duration
	go func() {
		line, _ := words.ReadString('\n')
		opened = time.Since(killed)
		said <- strings.TrimSpace(line)
	}()
	for applied().Applied[0] != 0 && time.Since(killed) < 10*time.Second {
		time.Sleep(ms)
	}
	took := time.Since(killed)
	if line := <-said; line != "open" {
		t.Errorf("the second panel said %q", line)
	}
	if err := second.Wait(); err != nil {
		t.Errorf("the second panel: %v", err)
	}
	t.Logf("drive ended %v after the kill, the port could be opened again after %v", took.Round(ms), opened.Round(ms))
	if took > time.Second+slack {
		t.Errorf("drive ended %v after the kill, the watchdog's period is 1 s", took)
	}
	if opened > time.Second {
		t.Errorf("the port could be opened again only %v after the kill", opened)
	}
	end()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
