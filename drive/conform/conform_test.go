package conform

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
)

// stand is two axes that turn as they are driven.
type stand struct {
	out   plant.Output
	place [2]float64
	since [2]time.Duration
}

func (d *stand) Step(in plant.Input) plant.Output {
	for i := range d.place {
		d.place[i] += 1000 * in.Applied[i] * in.Elapsed.Seconds()
		a, counts := &d.out.Axes[i], int32(d.place[i])
		d.since[i] += in.Elapsed
		if counts != a.Counts {
			a.Upward, d.since[i] = counts > a.Counts, 0
		}
		a.Counts, a.SinceCount = counts, d.since[i]
	}
	d.out.SupplyBack, d.out.Powered = true, in.Contactor
	return d.out
}

// over has somebody try what stands at the far end of a line.
func over(t *testing.T, far func(context.Context, io.ReadWriteCloser), try func(ctx context.Context, near rtu.Line)) {
	synctest.Test(t, func(t *testing.T) {
		pipe := serve.NewPipe()
		ctx, end := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { far(ctx, pipe.Far()); close(done) }()
		near := pipe.OpenNear()
		try(ctx, near)
		end()
		pipe.Far().Close()
		<-done
		near.Close()
	})
}

// tried are the findings of a test of what stands at the far end of a line.
func tried(t *testing.T, c Config, far func(ctx context.Context, line io.ReadWriteCloser)) (found []Finding,
	err error) {
	over(t, far, func(ctx context.Context, near rtu.Line) {
		c.Unit, c.Character = 1, 11*time.Second/19200
		err = Run(ctx, near, c, func(f Finding) { found = append(found, f) })
	})
	return found, err
}

// brokenIn calls every finding of a broken rule an error of the test.
func brokenIn(t *testing.T, what string) func(Finding) {
	return func(f Finding) {
		if f.Outcome == Broken {
			t.Errorf("%s: %s is called broken: %s", what, f.ID, f.Words)
		}
	}
}

// replica is the simulated enclosure.
func replica(t *testing.T, dish serve.Dish) func(context.Context, io.ReadWriteCloser) {
	return func(ctx context.Context, line io.ReadWriteCloser) {
		e, err := serve.New(dish, serve.Default())
		if err != nil {
			t.Error(err)
			return
		}
		_ = serve.NewServer(serve.NewSlave(e), line).Run(ctx)
	}
}

func count(found []Finding, o Outcome) (n int) {
	for _, f := range found {
		if f.Outcome == o {
			n++
		}
	}
	return n
}

// Over a line in real goroutines, and with a drive supply that is there at once.
func TestReplicaKeepsEveryRule(t *testing.T) {
	for _, c := range []Config{{}, {Permit: true}, {Move: true}, {Move: true, Permit: true}} {
		found, err := tried(t, c, replica(t, &stand{}))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			if f.Outcome != Kept && f.Outcome != NotTried {
				t.Errorf("%v: %s: %s", f.Outcome, f.ID, f.Words)
			}
		}
		if len(found) != len(rules()) {
			t.Errorf("%d findings of %d rules", len(found), len(rules()))
		}
	}
}

// Every rule has a name of its own, a place on the page, and rests only on rules that are tried before it.
func TestRules(t *testing.T) {
	known := map[string]bool{}
	for _, r := range rules() {
		if known[r.id] || r.id == "" || r.section == "" || r.words == "" || (r.try == nil) != (r.needs == Hands) {
			t.Errorf("rule %q: %+v", r.id, r)
		}
		for _, id := range r.after {
			if !known[id] {
				t.Errorf("rule %q rests on %q, which is not tried before it", r.id, id)
			}
		}
		known[r.id] = true
	}
}

// careless answers everything as well as it can and refuses nothing: registers
// that are only memory, whatever is written.
func careless(ctx context.Context, line io.ReadWriteCloser) {
	var registers [0x10000]uint16
	registers[1], registers[0xF] = 3, 0x5F
	listener := rtu.Listener{Unit: 1}
	var buffer [256]byte
	begun := time.Now()
	for ctx.Err() == nil {
		n, err := line.Read(buffer[:])
		if err != nil {
			return
		}
		// A frame without a look at its CRC, and of any unit.
		frame := buffer[:n]
		_ = listener.BadFrames
		if n < 4 {
			continue
		}
		registers[0x2B] = uint16(time.Since(begun).Milliseconds() / 2)
		if _, err := line.Write(answer(&registers, frame)); err != nil {
			return
		}
	}
}

// answer obeys a request, whatever it is.
func answer(registers *[0x10000]uint16, frame []byte) []byte {
	word := func(i int) int {
		if i+1 >= len(frame) {
			return 0
		}
		return int(frame[i])<<8 | int(frame[i+1])
	}
	out := []byte{frame[0], frame[1]}
	read := func(address, count int) {
		out = append(out, byte(2*count))
		for i := range count {
			v := registers[(address+i)&0xFFFF]
			out = append(out, byte(v>>8), byte(v))
		}
	}
	write := func(address, count, at int) {
		for i := range count {
			registers[(address+i)&0xFFFF] = uint16(word(at + 2*i))
		}
	}
	switch frame[1] {
	case 3, 4:
		read(word(2), word(4)&0x7F)
	case 6:
		write(word(2), 1, 4)
		out = append(out, frame[2:6]...)
	case 16:
		write(word(2), word(4)&0x7F, 7)
		out = append(out, frame[2:6]...)
	case 23:
		write(word(6), word(8)&0x7F, 11)
		read(word(2), word(4)&0x7F)
	}
	return rtu.AppendCRC(out, 0)
}

// An enclosure that keeps hardly any rule is told so: a rule that it can't break
// would be no test.
func TestACarelessEnclosureIsFound(t *testing.T) {
	found, err := tried(t, Config{Move: true}, careless)
	if err != nil {
		t.Fatal(err)
	}
	// What a bare memory does as well as an enclosure.
	harmless := []string{"map-whole", "input-reads", "write-06", "write-16", "write-23", "not-early", "not-late",
		"fitted", "turn-counts", "identity-end",
		"reads-back", "parts", "starts", "state-bits", "at-rest", "clears", "dog-at-rest", "applied-truth", "gust",
		"other-unit", "unfinished"}
	for _, f := range found {
		if f.Outcome == Kept && !slices.Contains(harmless, f.ID) {
			t.Errorf("kept by an enclosure that keeps nothing: %s", f.ID)
		}
	}
	if n := count(found, Broken); n < 20 {
		t.Errorf("only %d broken", n)
	}
}

func TestNothingThere(t *testing.T) {
	found, err := tried(t, Config{}, func(ctx context.Context, line io.ReadWriteCloser) { <-ctx.Done() })
	if err == nil || !strings.Contains(err.Error(), "nothing answers as unit 1") || len(found) > 0 {
		t.Errorf("%v, %v", err, found)
	}
}

// blocked is a dish whose stop circuit is open.
type blocked struct{ stand }

func (d *blocked) Step(in plant.Input) plant.Output {
	out := d.stand.Step(in)
	out.StopOpen = true
	return out
}

func TestAnOpenStopCircuitIsTold(t *testing.T) {
	found, err := tried(t, Config{Move: true}, replica(t, &blocked{}))
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for _, f := range found {
		if f.Outcome == NotTried && strings.Contains(f.Words, "stop circuit is open") {
			told++
		}
		if f.Outcome == Broken {
			t.Errorf("%s is called broken: %s", f.ID, f.Words)
		}
	}
	if told < 10 {
		t.Errorf("%d rules are not tried for it", told)
	}
}

// noisy is a line on which one reply is lost.
type noisy struct {
	rtu.Line
	exchanges, loses int
}

func (n *noisy) Write(p []byte) (int, error) {
	if n.exchanges++; n.exchanges == n.loses {
		return len(p), nil
	}
	return n.Line.Write(p)
}

// A lost reply breaks no rule: what it spoilt is tried again, and said to be in doubt.
func TestALostReplyBreaksNothing(t *testing.T) {
	for loses := 8; loses < 220; loses += 3 {
		over(t, replica(t, &stand{}), func(ctx context.Context, near rtu.Line) {
			line := &noisy{near, 0, loses}
			what := fmt.Sprintf("request %d lost", loses)
			if err := Run(ctx, line, Config{Unit: 1, Character: 11 * time.Second / 19200},
				brokenIn(t, what)); err != nil {
				t.Errorf("%s: %v", what, err)
			}
		})
	}
}

// A test that is ended leaves everything off, and at once.
func TestEnded(t *testing.T) {
	e, err := serve.New(&stand{}, serve.Default())
	if err != nil {
		t.Fatal(err)
	}
	server := func(ctx context.Context, line io.ReadWriteCloser) {
		_ = serve.NewServer(serve.NewSlave(e), line).Run(ctx)
	}
	over(t, server, func(ctx context.Context, near rtu.Line) {
		ctx, end := context.WithCancel(ctx)
		var ended time.Time
		err := Run(ctx, near, Config{Unit: 1, Move: true}, func(f Finding) {
			if f.ID == "power-off" {
				ended = time.Now().Add(time.Second / 2)
				time.AfterFunc(time.Second/2, end)
			}
		})
		if !errors.Is(err, context.Canceled) || time.Since(ended) > time.Second {
			t.Errorf("%v, %v after the end", err, time.Since(ended))
		}
	})
	if m := e.Motion(); m.State&enclosure.StatePower != 0 || m.Applied != [2]int16{} || m.Trips != 0 {
		t.Errorf("left behind: %+v", m)
	}
}

// busy is a clock of a computer that is far too busy.
type busy struct{ wallClock }

func (b busy) Sleep(ctx context.Context, d time.Duration) { b.wallClock.Sleep(ctx, d+d/2+time.Second) }

// What a busy computer spoils is said to be in doubt, never broken.
func TestABusyComputerBreaksNothing(t *testing.T) {
	for _, c := range []Config{{}, {Move: true, Permit: true}} {
		over(t, replica(t, &stand{}), func(ctx context.Context, near rtu.Line) {
			c.Unit, c.Clock = 1, busy{wallClock{time.Now()}}
			if err := Run(ctx, near, c, brokenIn(t, "busy")); err != nil {
				t.Error(err)
			}
		})
	}
}

// unplugged is a line that is pulled at a request.
type unplugged struct {
	rtu.Line
	left int
}

func (u *unplugged) Write(p []byte) (int, error) {
	if u.left--; u.left < 0 {
		return 0, io.ErrClosedPipe
	}
	return u.Line.Write(p)
}

// A line that is pulled out ends the test, which says that nothing is confirmed; it isn't sixty broken rules.
func TestUnplugged(t *testing.T) {
	over(t, replica(t, &stand{}), func(ctx context.Context, near rtu.Line) {
		broken := 0
		err := Run(ctx, &unplugged{near, 60}, Config{Unit: 1}, func(f Finding) {
			if f.Outcome == Broken {
				broken++
			}
		})
		if err == nil || !strings.Contains(err.Error(), "no longer answers") ||
			!strings.Contains(err.Error(), "not confirmed") || broken > 1 {
			t.Errorf("%d broken, then %v", broken, err)
		}
	})
}

// An enclosure that starts again in the middle, as by a supply that gives in to a motor, is told.
func TestStartedAgain(t *testing.T) {
	e, err := serve.New(&stand{}, serve.Default())
	if err != nil {
		t.Fatal(err)
	}
	var server atomic.Pointer[serve.Server]
	over(t, func(ctx context.Context, line io.ReadWriteCloser) {
		server.Store(serve.NewServer(serve.NewSlave(e), line))
		_ = server.Load().Run(ctx)
	}, func(ctx context.Context, near rtu.Line) {
		err := Run(ctx, near, Config{Unit: 1, Move: true}, func(f Finding) {
			if f.ID == "dog" {
				time.AfterFunc(300*time.Millisecond, func() { server.Load().Do(e.Restart) })
			}
		})
		if err == nil || !strings.Contains(err.Error(), "started again") {
			t.Error(err)
		}
	})
}
