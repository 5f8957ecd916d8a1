package audio

import (
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"
)

// TestMain: whatever is started here ends with its owner.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// made is a sound system whose blocks the test hands over.
type made struct {
	mu      sync.Mutex
	devices []Device
	wrong   error
	got     func([]float32)
	hangs   bool // a close that never ends
	closed  int
	free    chan struct{}
}

func (m *made) Inputs() ([]Device, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.devices, m.wrong
}

func (m *made) Outputs() ([]Device, error) { return m.Inputs() }

func (m *made) Capture(_ string, got func([]float32)) (Stream, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.got = got
	return m, nil
}

func (m *made) Play(_ string, fill func([]float32)) (Stream, error) { return m.Capture("", fill) }

func (m *made) Close() {
	m.mu.Lock()
	m.closed++
	m.got = nil
	hangs := m.hangs
	m.mu.Unlock()
	if hangs {
		<-m.free
	}
}

// give hands a block over, where one is wanted.
func (m *made) give(samples []float32) {
	m.mu.Lock()
	got := m.got
	m.mu.Unlock()
	if got != nil {
		got(samples)
	}
}

func TestOrderAndFind(t *testing.T) {
	all := Order([]Device{{ID: "3", Name: "Monitor of A", Monitor: true}, {ID: "2", Name: "usb"},
		{ID: "1", Name: "Line"}, {ID: "4", Name: "usb"}})
	order := ""
	for _, d := range all {
		order += d.ID
	}
	if order != "1243" {
		t.Errorf("order %s", order)
	}
	for wanted, id := range map[string]string{"3": "3", "line": "1", "4": "4", "none": "", "usb": ""} {
		if d, err := Find(all, wanted); d.ID != id || (err == nil) != (id != "") {
			t.Errorf("%s: %+v, %v", wanted, d, err)
		}
	}
}

// Blocks come late by chance, never early: the time of the first frame is found within 5 ms, frames that are lost
// are found and filled, and a clock that is 200 ppm off is followed.
func TestAxis(t *testing.T) {
	const ppm = 200
	a := newAxis(InputFrames)
	began := time.Unix(1e9, 0)
	frame := int64(0) // of the device
	lostAt, lost := 5000, int64(0)
	for block := range 10000 {
		if block == lostAt {
			frame += 7200 // 150 ms
		}
		frame += InputFrames
		due := began.Add(time.Duration(float64(lasts(frame)) * (1 + ppm*1e-6)))
		late := time.Duration(0)
		if block%7 != 0 {
			late = time.Duration(block*7919%40) * time.Millisecond // the computer is busy
		}
		if block > 8000 && block < 8040 {
			late = began.Add(time.Duration(float64(lasts(frame+(8040-int64(block))*InputFrames)) * (1 + ppm*1e-6))).Sub(
				due)
		}
		first, missing := a.passed(due.Add(late), InputFrames)
		lost += missing
		want := due.Add(-lasts(InputFrames))
		if off := first.Sub(want); (block > axisBlocks && block < lostAt || block > lostAt+axisBlocks) &&
			(off < -5*time.Millisecond || off > 5*time.Millisecond) {
			t.Fatalf("block %d: %v off", block, off)
		}
	}
	if lost < 7200-240 || lost > 7200+240 {
		t.Errorf("%d frames found lost of 7200", lost)
	}
}

// A device that falls silent is lost, and found again; a close that never ends is left behind.
func TestInputIsFoundAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := &made{devices: []Device{{ID: "usb", Name: "USB"}}, free: make(chan struct{}), hangs: true}
		var heard atomic.Int64
		in := NewInput(m, "USB", func(b Block) { heard.Add(int64(len(b.Samples))) })
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); in.Run(ctx) }()
		play := func(tenths int, value float32) {
			block := make([]float32, InputFrames)
			for i := range block {
				block[i] = value
			}
			for range 5 * tenths {
				m.give(block)
				time.Sleep(20 * time.Millisecond)
			}
		}
		time.Sleep(10 * time.Millisecond)
		play(10, 0.5)
		if s := in.Status(); s.Device.Name != "USB" || s.Trouble != "" || heard.Load() != Rate ||
			math.Abs(s.Level.RMSDBFS+6.02) > 0.01 || s.Level.Clipping {
			t.Errorf("%+v, %d samples", s, heard.Load())
		}
		play(1, 1)
		if !in.Status().Level.Clipping {
			t.Error("clipping isn't told")
		}
		time.Sleep(silentAfter + closeWithin + 100*time.Millisecond)
		m.mu.Lock()
		if s := in.Status(); !strings.Contains(s.Trouble, "unplugged") || m.closed != 1 {
			t.Errorf("silence: %+v, closed %d times", s, m.closed)
		}
		m.wrong = ErrNone
		m.mu.Unlock()
		time.Sleep(again)
		if s := in.Status(); !strings.Contains(s.Trouble, ErrNone.Error()) {
			t.Errorf("no sound system: %+v", s)
		}
		m.mu.Lock()
		m.wrong = nil
		m.mu.Unlock()
		time.Sleep(again)
		play(22, 0)
		if s := in.Status(); s.Trouble != "" || !s.Level.Dead {
			t.Errorf("found again: %+v", s)
		}
		cancel()
		<-ended
		close(m.free)
	})
}

// Joined systems are listed together; one that is missing doesn't matter while another is there.
func TestJoined(t *testing.T) {
	there := &made{devices: []Device{{ID: "simulated"}}}
	none := &made{wrong: errors.New("none")}
	j := Joined{none, there}
	if all, err := j.Inputs(); err != nil || len(all) != 1 {
		t.Errorf("%v, %v", all, err)
	}
	if s, err := j.Capture("simulated", func([]float32) {}); s != Stream(there) || err != nil {
		t.Errorf("%v, %v", s, err)
	}
	if _, err := j.Capture("other", nil); err != ErrNotFound {
		t.Errorf("%v", err)
	}
	if _, err := (Joined{none}).Outputs(); err == nil {
		t.Error("no system, and no word of it")
	}
}

// A sound begins at its frame and is played whole across blocks; what is cleared isn't heard.
func TestOutputPlaysAtItsTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := &made{devices: []Device{{ID: "out"}}}
		o := NewOutput(m, "out")
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); o.Run(ctx) }()
		time.Sleep(time.Millisecond)
		began := time.Now()
		var played []float32
		ask := func(blocks int) {
			for range blocks {
				room := make([]float32, OutputFrames)
				m.give(room)
				played = append(played, room...)
				time.Sleep(200 * time.Millisecond)
			}
		}
		ask(15)
		tone := make([]float32, 20000)
		for i := range tone {
			tone[i] = 1
		}
		if err := o.PlayAt(time.Now().Add(1550*time.Millisecond), tone); err != nil {
			t.Fatal(err)
		}
		from := int(framesIn(time.Since(began) + 1550*time.Millisecond))
		ask(15)
		first, count := -1, 0
		for i, x := range played {
			if x != 0 {
				count++
				if first < 0 {
					first = i
				}
			}
		}
		if first != from || count != len(tone) {
			t.Errorf("%d samples from %d, want %d from %d", count, first, len(tone), from)
		}
		if err := o.PlayAt(time.Now().Add(2*time.Second), tone); err != nil {
			t.Fatal(err)
		}
		o.Clear()
		played = nil
		ask(15)
		for _, x := range played {
			if x != 0 {
				t.Fatal("what was cleared is heard")
			}
		}
		cancel()
		<-ended
	})
}

// What is made as it is heard is open while somebody listens, and only then; a noise meter's feed is a listener.
func TestOnDemand(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := &made{devices: []Device{{ID: "simulated", OnDemand: true}}}
		r := NewReceiver(m, "simulated")
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); r.Run(ctx) }()
		open := func() bool { m.mu.Lock(); defer m.mu.Unlock(); return m.got != nil }
		pass := func(d time.Duration) {
			for range int(d / (20 * time.Millisecond)) {
				m.give(make([]float32, InputFrames))
				time.Sleep(20 * time.Millisecond)
				synctest.Wait()
			}
		}
		pass(time.Minute)
		if open() || r.Status().Device.ID != "simulated" || r.Tape().Written() != 0 {
			t.Fatalf("with nobody listening: open %v, %+v", open(), r.Status())
		}
		for range 20 { // a pane that is shown
			r.Listen()
			pass(time.Second)
			if !open() {
				t.Fatal("closed while somebody listens")
			}
		}
		if pass(listensFor); open() {
			t.Error("open though nobody listens any more")
		}
		feed, read := r.Feed(), make(chan error)
		go func() {
			var err error
			for room := make([]byte, 2*InputFrames); err == nil; _, err = feed.Read(room) {
			}
			read <- err
		}()
		if pass(20 * time.Second); !open() {
			t.Error("closed while a feed is read")
		}
		_ = feed.Close()
		if err := <-read; err != io.EOF {
			t.Error(err)
		}
		if pass(listensFor + time.Second); open() {
			t.Error("open though the feed is closed")
		}
		cancel()
		<-ended
	})
}
