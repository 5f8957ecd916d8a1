//go:build peers

package rig

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/firmware"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
)

// world is what is done at the dish, told to the firmware by its pins and to
// the simulated enclosure by its dish's output, at the same milliseconds.
type world struct {
	out       plant.Output
	ordered   bool // power, by the simulated enclosure
	orderedMS int  // for how long
	powered   bool
	// calm: no request is being answered, which may hold up a tick of the firmware for a millisecond or two.
	calm      bool
	ends      [4]bool // open at the millisecond before
	sinceMove [2]int
	justMoved [2]bool
}

func newWorld() *world {
	w := &world{}
	w.out.SupplyBack, w.out.Band, w.out.FeedTurnDegrees = true, 0, math.NaN()
	for i := range w.out.Readings {
		w.out.Readings[i] = math.NaN()
	}
	for i := range w.out.Axes {
		w.out.Axes[i].SinceCount = -1
	}
	return w
}

// pass begins a millisecond: what was done before it goes on.
func (w *world) pass() {
	for i := range w.out.Axes {
		if w.justMoved[i] {
			w.sinceMove[i], w.justMoved[i] = -1, false
			w.out.Axes[i].SinceCount = 0
		}
		if w.out.Axes[i].SinceCount >= 0 {
			w.sinceMove[i]++
			w.out.Axes[i].SinceCount = time.Duration(w.sinceMove[i]) * time.Millisecond
		}
	}
}

// change does something at the dish, or takes it back.
func (w *world) change(random *rand.Rand) {
	o := &w.out
	if random.IntN(2) == 0 {
		o.StopOpen, o.HandPanel, o.DoorOpen, o.Keyed, o.SupplyBack = false, false, false, false, true
		for i := range o.Axes {
			a := &o.Axes[i]
			a.EndLow, a.EndHigh, a.DriveFault = false, false, false
		}
		return
	}
	axis := random.IntN(2)
	a := &o.Axes[axis]
	switch random.IntN(9) {
	case 0:
		o.StopOpen = !o.StopOpen
	case 1:
		o.HandPanel = !o.HandPanel
	case 2:
		o.HandDrive[axis] = float64(random.IntN(3)-1) * 0.3
	case 3:
		o.Keyed = !o.Keyed
	case 4:
		a.EndHigh = !a.EndHigh
	case 5:
		a.EndLow = !a.EndLow
	case 6:
		a.DriveFault = !a.DriveFault
	case 7:
		o.DoorOpen = !o.DoorOpen
	default:
		by := int32(random.IntN(5) - 2)
		if by == 0 {
			break
		}
		a.Counts, a.Upward, w.justMoved[axis] = a.Counts+by, by > 0, true
		if on := random.IntN(3) == 0; on != a.OnMark {
			if a.OnMark = on; on {
				a.MarkCounts = a.Counts
			}
		}
	}
}

// Step is the simulated enclosure's look at the world.
func (w *world) Step(in plant.Input) plant.Output {
	if w.ordered = in.Contactor; w.ordered {
		w.orderedMS++
	} else {
		w.orderedMS = 0
	}
	w.powered = w.orderedMS > comesOn && (w.powered || w.calm)
	out := w.out
	out.Powered, out.Band = w.powered, in.Band
	return out
}

// comesOn is how long drive power takes, in milliseconds.
const comesOn = 30

// show is the firmware's.
func (w *world) show(r *Rig) {
	o := &w.out
	for i, name := range [2]string{"AZ_", "EL_"} {
		for by := o.Axes[i].Counts - r.shown[i]; by != 0; by = o.Axes[i].Counts - r.shown[i] {
			r.shown[i] += by / max(by, -by)
			at := uint32(max(by, -by)) * 1000
			for track, high := range quarters[r.shown[i]&3] {
				r.set(3000-at, tracks[i][track], high)
			}
		}
		r.set(4500, name+"MARK", !o.Axes[i].OnMark)
		r.set(0, name+"FAULT", o.Axes[i].DriveFault)
	}
	// The simulated one heeds an end that opens a millisecond after it sees it, the firmware at once.
	ends := [4]bool{o.Axes[0].EndHigh, o.Axes[0].EndLow, o.Axes[1].EndHigh, o.Axes[1].EndLow}
	for i, name := range [4]string{"AZ_CLOCKWISE", "AZ_COUNTER", "EL_UPPER", "EL_LOWER"} {
		r.set(0, name, ends[i] && w.ends[i])
	}
	w.ends = ends
	for _, contact := range []struct {
		name string
		open bool
	}{
		{"STOP", o.StopOpen}, {"HAND", o.HandPanel}, {"DOOR", o.DoorOpen}, {"KEYED", !o.Keyed},
		{"READY", !o.SupplyBack},
		{"HAND_CLOCKWISE", o.HandDrive[0] <= 0}, {"HAND_COUNTER", o.HandDrive[0] >= 0},
		{"HAND_UP", o.HandDrive[1] <= 0}, {"HAND_DOWN", o.HandDrive[1] >= 0},
		{"SUPPLY", !w.powered},
	} {
		r.set(0, contact.name, contact.open)
	}
}

// asker makes requests, most of them such as a panel might make.
type asker struct {
	random   *rand.Rand
	sequence uint16
	orders   uint16
}

func (a *asker) request() []byte {
	r := a.random
	q := rtu.Request{Unit: 1, Function: rtu.ReadWrite, ReadAddress: 0x20, ReadCount: 22, WriteAddress: 0x10}
	switch kind := r.IntN(20); {
	case kind < 9: // a tick
		clear := uint16(0)
		if a.orders == 0 && r.IntN(2) == 0 {
			clear = 0x1FF
		}
		before, az, el := a.orders, a.demand(), a.demand()
		if r.IntN(20) == 0 {
			a.orders = uint16(r.IntN(64)) & 0x3D
		} else if r.IntN(5) == 0 {
			a.orders = []uint16{0, 1, 5}[r.IntN(3)]
		}
		if a.orders&^before&1 != 0 && r.IntN(5) > 0 {
			az, el, clear = 0, 0, 0
		}
		a.sequence++
		q.Write = []uint16{a.sequence, a.orders, az, el, uint16(200 + r.IntN(1801)), clear}
	case kind < 12:
		q.WriteAddress, q.Write = uint16(0x10+r.IntN(16)), []uint16{uint16(r.IntN(300))}
		q.ReadAddress, q.ReadCount = 0, 0x60
	case kind < 14:
		q.Function, q.ReadAddress, q.ReadCount = rtu.ReadHolding, uint16(r.IntN(0x60)), uint16(1+r.IntN(0x60))
	case kind < 15:
		q.Function, q.ReadAddress, q.ReadCount = rtu.ReadInput, uint16(r.IntN(0x80)), uint16(r.IntN(130))
	case kind < 17:
		q.Function, q.WriteAddress, q.Write = rtu.WriteOne, uint16(0x0C+r.IntN(24)), []uint16{uint16(r.Uint32())}
	case kind < 18:
		q.Function, q.WriteAddress = rtu.WriteMany, uint16(0x0E+r.IntN(8))
		for range 1 + r.IntN(16) {
			q.Write = append(q.Write, uint16(r.IntN(3)))
		}
	case kind < 19: // slow orders
		a.sequence++
		q.Write = []uint16{a.sequence, a.orders, 0, 0, 1000, 0, 0, 0, uint16(r.IntN(256)), uint16(r.IntN(16)),
			uint16(r.Uint32())}
	default: // a function that isn't known, or a byte count that is wrong
		if r.IntN(2) == 0 {
			return rtu.AppendCRC([]byte{1, byte(r.IntN(128)), byte(r.Uint32()), byte(r.Uint32())}, 0)
		}
		return rtu.AppendCRC([]byte{1, 16, 0, 0x10, 0, byte(r.IntN(4)), 4, 0, 1, 0, 0}, 0)
	}
	frame := q.Append(nil)
	if r.IntN(25) == 0 {
		frame[r.IntN(len(frame))] ^= byte(1 << r.IntN(8))
	}
	if r.IntN(40) == 0 {
		frame[0] = byte(r.IntN(256))
	}
	return frame
}

func (a *asker) demand() uint16 {
	if a.random.IntN(2) == 0 {
		return 0
	}
	return uint16(int16(a.random.IntN(20001) - 10000))
}

// fellow is a firmware and the simulated enclosure side by side.
type fellow struct {
	t     *testing.T
	rig   *Rig
	world *world
	slave *serve.Slave
	ended uint64 // the beginning of the millisecond in which the last frame ended
}

func newFellow(t *testing.T, body Body) *fellow {
	rows := map[string][]int64{"baud": {115200}, "contactor_ms": {0}, "fault_input": {1, 1}, "reference_mv": {0}}
	for _, name := range []string{"marks", "hand_panel", "ready_input", "door_input", "warning", "transmit_gate",
		"band_switch", "detector", "brakes"} {
		rows[name] = []int64{1}
	}
	f := &fellow{t: t, rig: New(t, body, stationWith(t, rows)), world: newWorld()}
	f.rig.Dish = f.world.show
	for i := range 2 {
		f.rig.Analog(i, 2503) // 512 steps
	}
	c := serve.Default()
	c.Step, c.Baud, c.Firmware = time.Millisecond, 115200, firmware.Revision
	c.Fitted = enclosure.FittedAzimuth | enclosure.FittedElevation | enclosure.FittedHandPanel |
		enclosure.FittedDetector | enclosure.FittedTransmitGate |
		enclosure.FittedMarkLatch | enclosure.FittedBandSwitch | enclosure.FittedBrakes | enclosure.FittedWarning
	e, err := serve.New(f.world, c)
	if err != nil {
		t.Fatal(err)
	}
	f.slave = serve.NewSlave(e)
	f.align()
	return f
}

// tickAt is where in a millisecond of the rig the firmware makes its tick, or
// later by as much as it takes to answer.
const tickAt = 9000

// align shifts the rig's milliseconds so that the firmware's tick is at tickAt of
// them, and lets the simulated enclosure run as long as the firmware has.
func (f *fellow) align() {
	r := f.rig
	r.For(50 * time.Millisecond)
	millis := func() uint32 {
		q := rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadAddress: 0x2A, ReadCount: 2}
		reply := f.exchange(q.Append(nil), nil)
		return uint32(reply[3])<<24 | uint32(reply[4])<<16 | uint32(reply[5])<<8 | uint32(reply[6])
	}
	// Each request ends 0.1 ms into a millisecond. The rig is shifted until the firmware counts one less then.
	before := int64(millis()) - int64(r.now/Millisecond)
	for range 40 {
		r.step(Millisecond / 20)
		if now := int64(millis()) - int64(r.now/Millisecond); now != before {
			// The tick has just come to be about 0.1 ms into the millisecond.
			r.step((Millisecond + 1600 - tickAt) % Millisecond)
			counted := time.Duration(millis()) * time.Millisecond
			f.slave.Run(counted + time.Duration((r.now-f.ended)/Millisecond)*time.Millisecond)
			f.take([]byte{1, 3, 0, 0, 0, 1, 0x84, 0x0A})
			return
		}
	}
	f.t.Fatal("the firmware's millisecond is nowhere")
}

// take lets the simulated enclosure hear a frame now, a byte after the other as
// it comes over a line.
func (f *fellow) take(frame []byte) []byte {
	for _, b := range frame {
		f.slave.Hear([]byte{b}, f.slave.Enclosure().Now())
	}
	return f.said()
}

// said is what the simulated enclosure has to say.
func (f *fellow) said() []byte {
	reply, _, ok := f.slave.Say()
	if !ok {
		return nil
	}
	reply = bytes.Clone(reply)
	f.slave.Said()
	return reply
}

// exchange lets both hear a frame that ends 0.1 ms into a millisecond, and
// returns what the firmware answers. other, where set, gets what the other one does.
func (f *fellow) exchange(frame []byte, other *[]byte) []byte {
	r := f.rig
	length := uint64(len(frame)) * r.Character()
	end := ((r.now+length)/Millisecond+2)*Millisecond + r.now%Millisecond + 1600
	r.free, f.ended = end-length, end-1600
	r.waiting = append(r.waiting, frame...)
	r.Sent, r.SentAt = r.Sent[:0], r.SentAt[:0]
	quiet := 0
	for quiet < 45 {
		if other != nil {
			if r.now <= end && end < r.now+Millisecond {
				*other = f.take(frame)
			}
			f.world.pass()
			f.world.calm = len(r.waiting) > 6
		}
		n := len(r.Sent)
		if other != nil {
			f.slave.Run(f.slave.Enclosure().Now() + time.Millisecond)
			if late := f.said(); late != nil { // a frame found in what was held
				*other = late
			}
		}
		r.Run()
		switch {
		case len(r.waiting) > 0 || len(r.Sent) > n:
			quiet = 0
		case len(r.Sent) > 0:
			quiet += 15
		default:
			quiet++
		}
	}
	return bytes.Clone(r.Sent)
}

func sameAnswers(t *testing.T, body Body, seed uint64, requests int) {
	f := newFellow(t, body)
	random := rand.New(rand.NewPCG(seed, 22))
	a := asker{random: random}
	answered, refused, silent, powered := 0, 0, 0, 0
	for n := range requests {
		if random.IntN(10) == 0 {
			f.world.change(random)
		}
		frame := a.request()
		var want []byte
		got := f.exchange(frame, &want)
		if !bytes.Equal(got, want) {
			at := 0
			for at < min(len(got), len(want)) && got[at] == want[at] {
				at++
			}
			t.Fatalf("seed %d, request %d:\n% X\nthe firmware answers  % X\nthe simulated one     % X\nfrom byte %d "+
				"on, that is register %d of them", seed, n, frame, got, want, at, (at-3)/2)
		}
		if f.rig.High("CONTACTOR") != f.world.ordered {
			t.Fatalf("seed %d, request %d: only one of the two has ordered power on", seed, n)
		}
		switch {
		case len(got) == 0:
			silent++
		case got[1]&0x80 != 0:
			refused++
		default:
			answered++
		}
		if f.slave.Enclosure().Motion().State&enclosure.StatePower != 0 {
			powered++
		}
	}
	t.Logf("%s: %d requests answered the same, byte for byte: %d replies, %d refusals, %d without an answer; drive "+
		"power on at %d of them",
		body, requests, answered, refused, silent, powered)
	if answered == 0 || refused == 0 || silent == 0 || powered == 0 {
		t.Error("some kind of answer is missing")
	}
}

// TestSameAnswers: random requests, with things done at the dish between them,
// are answered the same by the firmware and by the simulated enclosure.
func TestSameAnswers(t *testing.T) {
	t.Parallel()
	for _, body := range []Body{Chip, Native} {
		for seed := range uint64(askedSeeds) {
			t.Run(string(body), func(t *testing.T) { sameAnswers(t, body, 100+seed, askedTimes) })
		}
	}
}
