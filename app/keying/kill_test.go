//go:build unix

package keying

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"go.uber.org/goleak"
)

// A pseudo-terminal has no RTS and no DTR, so the fall of a real line at the death of the process that owns the port
// can't be seen here: that is the system's doing, at the last close of a port. What is tried is the rest of
// the chain with real processes: a program that keys dies or is stopped, and the owner of the line, which lives on,
// drops a line that is a file.
const (
	playing = "BEAMHELM_TEST_KEYING" // owner or program
	filed   = "BEAMHELM_TEST_LINE"
)

func TestMain(m *testing.M) {
	switch os.Getenv(playing) {
	case "owner":
		if err := Own(os.Stdin, os.Stdout, file(os.Getenv(filed)), MaxLimit); err != nil {
			os.Exit(1)
		}
		os.Exit(0)
	case "program":
		os.Exit(program())
	}
	goleak.VerifyTestMain(m)
}

// program keys and says so; it never unkeys.
func program() int {
	command := exec.Command(os.Args[0])
	command.Env = []string{playing + "=owner", filed + "=" + os.Getenv(filed)}
	k, err := Start(command, MaxLimit)
	if err != nil {
		return 1
	}
	for !k.State().Ready {
		time.Sleep(time.Millisecond)
	}
	k.Key(true)
	for !k.State().High {
		time.Sleep(time.Millisecond)
	}
	fmt.Println("keyed")
	for k.State().Trouble == "" {
		k.Key(true)
		time.Sleep(time.Millisecond)
	}
	fmt.Println(k.State().Trouble)
	return 0
}

// file is a line that is a file of one byte.
type file string

func (f file) Set(high bool) error {
	state := "0"
	if high {
		state = "1"
	}
	return os.WriteFile(string(f), []byte(state), 0o600)
}

func (f file) Close() error { return f.Set(false) }

// keyed starts a program that keys a line, and returns it when it does.
func keyed(t *testing.T, line string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = []string{playing + "=program", filed + "=" + line}
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = command.Process.Kill() })
	told := bufio.NewScanner(out)
	if !told.Scan() || told.Text() != "keyed" {
		t.Fatalf("the program says %q", told.Text())
	}
	if high, _ := os.ReadFile(line); string(high) != "1" {
		t.Fatalf("told that it keys, the line is %q", high)
	}
	return command, told
}

// falls returns how long after a moment the line fell.
func falls(t *testing.T, line string, from time.Time) time.Duration {
	t.Helper()
	for deadline := from.Add(10 * time.Second); time.Now().Before(deadline); {
		if high, _ := os.ReadFile(line); string(high) == "0" {
			return time.Since(from)
		}
		<-time.After(time.Millisecond)
	}
	t.Fatal("the line stays high")
	return 0
}

// most is how long a line may stay high: the lapse, and what the busy computer of a test takes.
const most = lapse + 300*time.Millisecond

// Twenty programs are killed while they key.
func TestKilledWhileKeyed(t *testing.T) {
	longest := time.Duration(0)
	for i := range 20 {
		line := filepath.Join(t.TempDir(), fmt.Sprint("line", i))
		command, _ := keyed(t, line)
		from := time.Now()
		if err := command.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		took := falls(t, line, from)
		_ = command.Wait()
		if longest = max(longest, took); took > most {
			t.Errorf("kill %d: the line fell after %v", i, took)
		}
	}
	t.Logf("the longest of twenty: %v", longest)
}

// A program that is stopped keeps its process and its pipes; the line falls all the same, and stays low when it goes on.
func TestStoppedWhileKeyed(t *testing.T) {
	line := filepath.Join(t.TempDir(), "line")
	command, told := keyed(t, line)
	from := time.Now()
	if err := command.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	if took := falls(t, line, from); took > most {
		t.Errorf("the line fell after %v", took)
	}
	if err := command.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	if !told.Scan() || !strings.Contains(told.Text(), "no sign of life") {
		t.Errorf("going on, the program says %q", told.Text())
	}
	if high, _ := os.ReadFile(line); string(high) != "0" {
		t.Errorf("the line is %q", high)
	}
	_ = command.Wait()
}

// A port without lines is refused, not taken for one that never keys.
func TestAPortWithoutLines(t *testing.T) {
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	defer slave.Close()
	if _, err := Port(slave.Name(), false); err == nil || !strings.Contains(err.Error(), "no such line") {
		t.Errorf("%v", err)
	}
	if _, err := Port(filepath.Join(t.TempDir(), "none"), true); err == nil {
		t.Error("a port that isn't there was opened")
	}
}
