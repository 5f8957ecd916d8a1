//go:build linux

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

	"beamhelm/app/keying/serialport"
)

// Real processes and the lines of a port, seen from outside them: a program that keys dies or is stopped, and the owner
// of the line, which lives on, drops it; or the owner itself dies, and the system closes its port.
const (
	playing = "BEAMHELM_TEST_KEYING" // owner or program
	at      = "BEAMHELM_TEST_PORT"
)

func TestMain(m *testing.M) {
	switch os.Getenv(playing) {
	case "owner":
		line, err := Port(os.Getenv(at), false)
		if err != nil {
			Refuse(os.Stdout, err)
			os.Exit(1)
		}
		if err := Own(os.Stdin, os.Stdout, line, MaxLimit); err != nil {
			os.Exit(1)
		}
		os.Exit(0)
	case "program":
		os.Exit(program())
	}
	goleak.VerifyTestMain(m)
}

// program keys and says so, with the number of the owner's process; it never unkeys.
func program() int {
	command := exec.Command(os.Args[0])
	command.Env = []string{playing + "=owner", at + "=" + os.Getenv(at)}
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
	fmt.Println("keyed", command.Process.Pid)
	for k.State().Trouble == "" {
		k.Key(true)
		time.Sleep(time.Millisecond)
	}
	fmt.Println(k.State().Trouble)
	return 0
}

// keyed starts a program that keys by a port, and returns it when it does, with the number of its owner's process.
func keyed(t *testing.T, port *serialport.Port) (program *exec.Cmd, told *bufio.Scanner, owner int) {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = []string{playing + "=program", at + "=" + port.Path}
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = command.Process.Kill() })
	told = bufio.NewScanner(out)
	if !told.Scan() {
		t.Fatal("the program says nothing")
	}
	if _, err := fmt.Sscanf(told.Text(), "keyed %d", &owner); err != nil {
		t.Fatalf("the program says %q", told.Text())
	}
	if now := port.Now(); now != (serialport.Lines{RTS: true}) {
		t.Fatalf("told that it keys, the port has %v", now)
	}
	return command, told, owner
}

// falls returns how long after a moment the line fell, and how. The other line must not have risen.
func falls(t *testing.T, port *serialport.Port, from time.Time) (time.Duration, serialport.Change) {
	t.Helper()
	for deadline := from.Add(10 * time.Second); time.Now().Before(deadline); <-time.After(time.Millisecond) {
		for _, c := range port.Since(from) {
			if c.Lines == (serialport.Lines{}) {
				return c.At.Sub(from), c
			}
			t.Errorf("%v after the moment: %v", c.At.Sub(from), c.Lines)
		}
	}
	t.Fatal("the line stays high")
	return 0, serialport.Change{}
}

// free waits until nobody has the port open.
func free(t *testing.T, port *serialport.Port) {
	t.Helper()
	for end := time.Now().Add(5 * time.Second); port.Opened() > 0; <-time.After(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the port stays open")
		}
	}
}

// most is how long a line may stay high: the lapse, and what the busy computer of a test takes.
const maximum = lapse + 300*time.Millisecond

// Twenty programs are killed while they key: the owner drops the line. Twenty owners are killed: the system does, as it
// closes the port, though another program had switched that off before.
func TestKilledWhileKeyed(t *testing.T) {
	for _, who := range []string{"program", "owner"} {
		port, longest := serialport.New(t, nil), time.Duration(0)
		for i := range 20 {
			command, told, owner := keyed(t, port)
			from := time.Now()
			killed := command.Process.Pid
			if who == "owner" {
				killed = owner
			}
			if err := syscall.Kill(killed, syscall.SIGKILL); err != nil {
				t.Fatal(err)
			}
			took, how := falls(t, port, from)
			if longest = max(longest, took); took > maximum || how.Closed != (who == "owner") {
				t.Errorf("%s, kill %d: the line fell after %v, closed by the system: %v", who, i, took, how.Closed)
			}
			if who == "owner" && (!told.Scan() || !strings.Contains(told.Text(), "owner has ended")) {
				t.Errorf("without the owner the program says %q", told.Text())
			}
			_ = command.Wait()
			free(t, port)
		}
		t.Logf("the longest of twenty kills of the %s: %v", who, longest)
	}
}

// A program that is stopped keeps its process and its pipes; the line falls all the same, and stays low when it goes
// on.
func TestStoppedWhileKeyed(t *testing.T) {
	port := serialport.New(t, nil)
	command, told, _ := keyed(t, port)
	from := time.Now()
	if err := command.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	if took, _ := falls(t, port, from); took > maximum {
		t.Errorf("the line fell after %v", took)
	}
	if err := command.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	// Whichever of the two is the first to look knows a reason of its own.
	if !told.Scan() || !strings.Contains(told.Text(), "no sign of life") &&
		!strings.Contains(told.Text(), "nobody asked") {
		t.Errorf("going on, the program says %q", told.Text())
	}
	if now := port.Now(); now != (serialport.Lines{}) {
		t.Errorf("the port has %v", now)
	}
	_ = command.Wait()
	free(t, port)
}

// A port is open with both lines low, after the moment in which the system raises both; each line keys alone.
func TestTheLinesOfAPort(t *testing.T) {
	for _, dtr := range []bool{false, true} {
		port := serialport.New(t, nil)
		line, err := Port(port.Path, dtr)
		if err != nil {
			t.Fatal(err)
		}
		for _, high := range []bool{true, false, true} {
			if err := line.Set(high); err != nil {
				t.Fatal(err)
			}
			if now, want := port.Now(), (serialport.Lines{RTS: high && !dtr, DTR: high && dtr}); now != want {
				t.Errorf("DTR keys: %v, keyed: %v: the port has %v", dtr, high, now)
			}
		}
		if err := line.Close(); err != nil {
			t.Fatal(err)
		}
		free(t, port)
		all := port.Changes()
		for _, c := range all[2:] {
			if dtr && c.RTS || !dtr && c.DTR {
				t.Errorf("the other line rose: %v", all)
			}
		}
		if pulse := all[1].At.Sub(all[0].At); all[1].Lines != (serialport.Lines{}) || pulse > maximum {
			t.Errorf("opened: %v, then %v for %v", all[0].Lines, all[1].Lines, pulse)
		}
	}
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
