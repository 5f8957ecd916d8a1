//go:build peers

package link

import (
	"bufio"
	"context"
	"errors"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/drive"
	"beamhelm/drive/badcable"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
)

// What follows lets the panel's side speak with slaves that strangers wrote, on
// libmodbus and pymodbus, over two pseudo-terminals and a relay between them.

// joined returns the ports at the two ends of a good line.
func joined(t *testing.T) (panel, peer string) {
	t.Helper()
	near, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	far, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	c := badcable.Default()
	c.Baud = 115200
	relay, err := badcable.NewRelay(near, far, c)
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- relay.Run(ctx) }()
	t.Cleanup(func() {
		end()
		if err := <-ended; err != nil {
			t.Errorf("the relay: %v", err)
		}
	})
	return near.Path, far.Path
}

// started starts a slave and waits until it is ready.
func started(t *testing.T, name string, words ...string) {
	t.Helper()
	command := exec.Command(name, words...)
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var trouble strings.Builder
	command.Stderr = &trouble
	if err := command.Start(); err != nil {
		t.Fatalf("starting %s: %v", name, err)
	}
	t.Cleanup(func() {
		_ = command.Process.Kill()
		_ = command.Wait() // it was killed
	})
	if line, err := bufio.NewReader(out).ReadString('\n'); err != nil || strings.TrimSpace(line) != "ready" {
		_ = command.Process.Kill()
		_ = command.Wait()
		t.Fatalf("%s is not ready: %q, %v\n%s", name, line, err, trouble.String())
	}
}

// drives lets the link and then the bare master speak with a slave.
func drives(t *testing.T, port string) {
	c, end, ended := newCaller(t, Serial(Settings{Path: port, Parity: NoParity}))
	c.good(10*time.Second, enclosure.Demand{})
	for i := range 50 {
		// A busy computer may make one late; how many in all is judged below.
		r := c.good(5*time.Second, enclosure.Demand{Az: int16(i)})
		if r.Motion.Counts[0] != -2 || r.Motion.StartCounter != 5 {
			t.Errorf("exchange %d: %+v", i, r.Motion)
		}
	}
	for _, a := range []drive.Ask{drive.AskReadings, drive.AskMoreReadings, drive.AskIdentity, drive.AskSlow} {
		now := time.Since(c.began)
		r := c.port.Exchange(drive.Request{Ask: a, Demand: enclosure.Demand{WatchdogMillis: 1000},
			Deadline: now + 200*ms})
		if r.Err != nil {
			t.Errorf("ask %d: %v", a, r.Err)
		}
		if a == drive.AskReadings && r.Readings.Value(enclosure.DriveSupply) != 27.41 {
			t.Errorf("the drive supply is %v", r.Readings.Value(enclosure.DriveSupply))
		}
	}
	if s := c.port.Status(); s.Quiet.Errors() > 20 || s.WithoutReadWrite {
		t.Errorf("the status is %+v", s)
	}
	end()
	if err := <-ended; err != nil {
		t.Errorf("ending the link: %v", err)
	}
	line, err := Serial(Settings{Path: port, Parity: NoParity})()
	if err != nil {
		t.Fatal(err)
	}
	defer line.Close()
	began := time.Now()
	m := rtu.NewMaster(line, func() time.Duration { return time.Since(began) })
	for _, row := range []struct {
		q    rtu.Request
		want error
	}{
		{rtu.Request{Function: rtu.WriteOne, WriteAddress: 0x12, Write: []uint16{0xFFFE}}, nil},
		{rtu.Request{Function: rtu.WriteMany, WriteAddress: 0x12, Write: []uint16{0xFFFE, 3}}, nil},
		{rtu.Request{Function: rtu.ReadHolding, ReadAddress: 0x12, ReadCount: 2}, nil},
		{rtu.Request{Function: rtu.ReadInput, ReadAddress: 0x5F, ReadCount: 2}, rtu.IllegalDataAddress},
		{rtu.Request{Function: rtu.ReadHolding, ReadAddress: 0x5F, ReadCount: 2}, rtu.IllegalDataAddress},
	} {
		row.q.Unit = 1
		registers, err := m.Exchange(&row.q, time.Since(began)+time.Second)
		if !errors.Is(err, row.want) || row.want == nil && row.q.ReadCount > 0 &&
			(registers[0] != 0xFFFE || registers[1] != 3) {
			t.Errorf("function %d at %04X: %v, %v, want %v", row.q.Function, row.q.ReadAddress+row.q.WriteAddress,
				registers, err, row.want)
		}
	}
}

func TestLibmodbusSlave(t *testing.T) {
	flags, err := exec.Command("pkg-config", "--cflags", "--libs", "libmodbus").Output()
	if err != nil {
		t.Fatalf("libmodbus is not found: %v", err)
	}
	program := filepath.Join(t.TempDir(), "slave")
	words := append([]string{"-O1", "-Wall", "-o", program, filepath.Join("testdata", "slave.c")},
		strings.Fields(string(flags))...)
	if out, err := exec.Command("cc", words...).CombinedOutput(); err != nil {
		t.Fatalf("compiling the slave: %v\n%s", err, out)
	}
	panel, peer := joined(t)
	started(t, program, peer)
	drives(t, panel)
}

func TestPymodbusSlave(t *testing.T) {
	panel, peer := joined(t)
	started(t, "/usr/bin/python3", filepath.Join("testdata", "slave.py"), peer)
	drives(t, panel)
}
