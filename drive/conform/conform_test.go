package conform

import (
	"context"
	"io"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
)

// stand is two axes that turn as they are driven.
type stand struct {
	out   plant.Output
	place [2]float64
}

func (d *stand) Step(in plant.Input) plant.Output {
	for i := range d.place {
		d.place[i] += 1000 * in.Applied[i] * in.Elapsed.Seconds()
		d.out.Axes[i].Counts = int32(d.place[i])
	}
	d.out.SupplyBack, d.out.Powered = true, in.Contactor
	return d.out
}

// tried are the findings of a test of what stands at the far end of a line.
func tried(t *testing.T, c Config, far func(ctx context.Context, line io.ReadWriteCloser)) (found []Finding, err error) {
	synctest.Test(t, func(t *testing.T) {
		pipe := serve.NewPipe()
		ctx, end := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { far(ctx, pipe.Far()); close(done) }()
		near := pipe.OpenNear()
		c.Unit, c.Character = 1, 11*time.Second/19200
		err = Run(ctx, near, c, func(f Finding) { found = append(found, f) })
		end()
		pipe.Far().Close()
		<-done
		near.Close()
	})
	return found, err
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

func TestReplicaKeepsEveryRule(t *testing.T) {
	for _, move := range []bool{false, true} {
		found, err := tried(t, Config{Move: move}, replica(t, &stand{}))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			if f.Outcome != Kept && (f.Outcome != LeftOut || move) {
				t.Errorf("%v: %s: %s", f.Outcome, f.Rule, f.Words)
			}
		}
		if len(found) != len(rules()) {
			t.Errorf("%d findings of %d rules", len(found), len(rules()))
		}
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
	return rtu.Seal(out, 0)
}

// An enclosure that keeps hardly any rule is told so: a rule that it can't break
// would be no test.
func TestACarelessEnclosureIsFound(t *testing.T) {
	found, err := tried(t, Config{Move: true}, careless)
	if err != nil {
		t.Fatal(err)
	}
	keeps := map[string]bool{}
	for _, f := range found {
		if f.Outcome == Kept {
			keeps[f.Rule] = true
		}
	}
	for _, f := range found {
		harmless := strings.HasPrefix(f.Rule, "0001") || strings.HasPrefix(f.Rule, "000D") || strings.Contains(f.Rule, "005F is answered") ||
			strings.Contains(f.Rule, "04 gives") || strings.Contains(f.Rule, "reads back") || strings.Contains(f.Rule, "at rest") || strings.Contains(f.Rule, "0032") ||
			strings.Contains(f.Rule, "within 10 ms") || strings.Contains(f.Rule, "trip 3") || strings.Contains(f.Rule, "another unit")
		if keeps[f.Rule] && !harmless {
			t.Errorf("kept by an enclosure that keeps nothing: %s", f.Rule)
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
	if err != nil || count(found, Broken) == 0 {
		t.Fatalf("%v: %v", err, found)
	}
	for _, f := range found {
		if f.Outcome == Broken && strings.Contains(f.Words, "stop circuit is open") {
			return
		}
	}
	t.Errorf("%v", found)
}
