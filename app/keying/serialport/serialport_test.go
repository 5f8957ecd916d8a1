//go:build linux

package serialport

import (
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"

	"go.bug.st/serial"
	"go.uber.org/goleak"
	"golang.org/x/sys/unix"
)

// asked plays the program that has the port open.
const asked = "BEAMHELM_TEST_SERIALPORT"

func TestMain(m *testing.M) {
	if path := os.Getenv(asked); path != "" {
		f, err := os.OpenFile(path, os.O_RDWR, 0)
		if err != nil {
			os.Exit(1)
		}
		raise(f)
		os.Stdout.WriteString("open\n")
		select {}
	}
	goleak.VerifyTestMain(m)
}

// raise has both lines high, and lets them fall at the last close.
func raise(f *os.File) {
	mode, _ := unix.IoctlGetTermios(int(f.Fd()), unix.TCGETS)
	mode.Cflag |= unix.HUPCL
	_ = unix.IoctlSetTermios(int(f.Fd()), unix.TCSETS, mode)
	_ = unix.IoctlSetPointerInt(int(f.Fd()), unix.TIOCMBIS, unix.TIOCM_RTS|unix.TIOCM_DTR)
}

// A port is worked by the library for serial ports as a real one is: both lines rise as it is opened and do what they
// are told. They fall at the last close only where HUPCL is set.
func TestLines(t *testing.T) {
	p := New(t, nil)
	open, err := serial.Open(p.Path, &serial.Mode{BaudRate: 9600, DataBits: 8})
	if err != nil {
		t.Fatal(err)
	}
	if p.Now() != (Lines{true, true}) || p.Opened() != 1 {
		t.Errorf("opened %d times: %v", p.Opened(), p.Now())
	}
	for _, set := range []func() error{func() error { return open.SetRTS(false) },
		func() error { return open.SetDTR(false) },
		func() error { return open.SetRTS(true) }} {
		if err := set(); err != nil {
			t.Fatal(err)
		}
	}
	if err := open.Close(); err != nil {
		t.Fatal(err)
	}
	closed(t, p)
	var got []Lines
	for _, c := range p.Changes() {
		got = append(got, c.Lines)
	}
	if want := []Lines{{true, true}, {false, true}, {}, {true, false}}; !slices.Equal(got, want) {
		t.Errorf("without HUPCL %v, want %v", got, want)
	}
	f, err := os.OpenFile(p.Path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	raise(f)
	f.Close()
	closed(t, p)
	if last := p.Changes()[len(p.Changes())-1]; last.Lines != (Lines{}) || !last.Closed {
		t.Errorf("with HUPCL %+v", last)
	}
}

// A program that is killed has its descriptors closed by the system.
func TestAKilledProgramCloses(t *testing.T) {
	told := make(chan Lines, 10)
	p := New(t, func(l Lines) { told <- l })
	program := exec.Command(os.Args[0])
	program.Env = []string{asked + "=" + p.Path}
	out, err := program.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := program.Start(); err != nil {
		t.Fatal(err)
	}
	if n, err := out.Read(make([]byte, 5)); n != 5 || err != nil {
		t.Fatalf("it opened nothing: %v", err)
	}
	if l := <-told; l != (Lines{true, true}) {
		t.Errorf("open: %v", l)
	}
	_ = program.Process.Kill()
	_ = program.Wait()
	select {
	case l := <-told:
		if l != (Lines{}) {
			t.Errorf("killed: %v", l)
		}
	case <-time.After(5 * time.Second):
		t.Errorf("the lines stay: %v", p.Now())
	}
}

// closed waits until nobody has the port open: the kernel tells of a close after it has returned.
func closed(t *testing.T, p *Port) {
	t.Helper()
	for end := time.Now().Add(5 * time.Second); p.Opened() > 0; <-time.After(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("still open")
		}
	}
}
