package keying

import (
	"errors"
	"io"
	"math/rand/v2"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

// stand is a line that remembers.
type stand struct {
	mu           sync.Mutex
	high, closed bool
	fails        bool // to be raised
	stays        bool // fails to be dropped by order
	raised, fell time.Time
}

func (s *stand) Set(high bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case high && s.fails:
		return errors.New("the adapter is gone")
	case !high && s.high && s.stays:
		return errors.New("the driver refuses")
	case high && !s.high:
		s.raised = time.Now()
	case !high && s.high:
		s.fell = time.Now()
	}
	s.high = high
	return nil
}

func (s *stand) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.high {
		s.fell = time.Now()
	}
	s.high, s.closed = false, true
	return nil
}

func (s *stand) is() bool { s.mu.Lock(); defer s.mu.Unlock(); return s.high }

// Whatever is heard and when, the line is never high for longer than the limit, nor with nothing heard for the lapse,
// nor after it fell by itself without an order to unkey in between.
func TestWatchdogAlwaysDrops(t *testing.T) {
	for seed := range uint64(200) {
		chance := rand.New(rand.NewPCG(seed, 1))
		w := watchdog{limit: 3 * time.Second}
		var now, heard, since time.Duration
		high, barred := false, false
		for range 400 {
			step := time.Duration(chance.Int64N(int64(400 * time.Millisecond)))
			if w.high && w.next() <= now+step { // the owner's timer
				now = w.next()
				w.look(now)
			} else {
				now += step
				on := chance.Float64() < 0.9
				w.hear(on, now)
				heard = now
				if !on {
					barred = false
				}
			}
			if w.high && !high {
				since = now
				if barred {
					t.Fatalf("seed %d: raised again after it fell by itself", seed)
				}
			}
			if high && !w.high && w.dropped != "" {
				barred = true
			}
			if high = w.high; high && (now-since >= w.limit || now-heard >= lapse) {
				t.Fatalf("seed %d: high for %v, heard %v ago", seed, now-since, now-heard)
			}
		}
	}
}

func TestLimitAndAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		line := &stand{}
		var k Keyer = Beside(line, 3*time.Second)
		synctest.Wait()
		if s := k.State(); !s.Ready || s.High || line.is() {
			t.Fatalf("%+v", s)
		}
		k.Key(true)
		synctest.Wait()
		if !k.State().High || !line.is() {
			t.Fatal("not keyed at once")
		}
		for range 29 {
			time.Sleep(100 * time.Millisecond)
			k.Key(true) // pressing on doesn't make it longer
		}
		if !line.is() {
			t.Error("fell before the limit")
		}
		time.Sleep(200 * time.Millisecond)
		synctest.Wait()
		if s := k.State(); line.is() || s.High || s.Trouble == "" || line.fell.Sub(line.raised) > 3*time.Second {
			t.Errorf("high for %v, %+v", line.fell.Sub(line.raised), s)
		}
		for range 30 {
			k.Key(true)
			time.Sleep(50 * time.Millisecond)
			synctest.Wait()
			if line.is() {
				t.Fatal("keyed again without having been unkeyed")
			}
		}
		k.Key(false)
		time.Sleep(100 * time.Millisecond)
		k.Key(true)
		synctest.Wait()
		if s := k.State(); !line.is() || s.Trouble != "" {
			t.Errorf("not keyed after unkeying: %+v", s)
		}
		k.Key(false)
		synctest.Wait()
		if line.is() {
			t.Error("not unkeyed at once")
		}
		k.Key(true)
		synctest.Wait()
		k.Close()
		if line.is() || !line.closed {
			t.Error("still keyed after the end")
		}
	})
}

// Keying that isn't asked for again ends by itself, though the owner of the line still gets its signs of life until
// then.
func TestKeyingIsRenewed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		line := &stand{}
		k := Beside(line, 3*time.Second)
		synctest.Wait()
		time.Sleep(time.Second) // nothing is asked: the beat rests
		k.Key(true)
		synctest.Wait()
		time.Sleep(time.Second)
		synctest.Wait()
		if up := line.fell.Sub(line.raised); line.is() || up < lapse || up > lapse+2*beat || k.State().Trouble == "" {
			t.Errorf("high for %v, %+v", up, k.State())
		}
		k.Key(true)
		time.Sleep(2 * beat)
		if line.is() {
			t.Error("keyed again without having been unkeyed")
		}
		k.Close()
	})
}

// The owner of a line by itself: silence, the end of its input and a line that fails each drop it.
func TestOwner(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		for name, row := range map[string]struct {
			line  *stand
			then  func(to *io.PipeWriter)
			after time.Duration
		}{
			"silence":      {&stand{}, func(*io.PipeWriter) {}, lapse},
			"end of input": {&stand{}, func(to *io.PipeWriter) { to.Close() }, 0},
			"unkeyed":      {&stand{}, func(to *io.PipeWriter) { _, _ = to.Write([]byte{unkey}) }, 0},
			"won't drop":   {&stand{stays: true}, func(to *io.PipeWriter) { _, _ = to.Write([]byte{unkey}) }, 0},
		} {
			in, to := io.Pipe()
			ended := make(chan error, 1)
			line := row.line
			go func() { ended <- Own(in, io.Discard, line, 3*time.Second) }()
			_, _ = to.Write([]byte{'x', key})
			synctest.Wait()
			if !line.is() {
				t.Fatalf("%s: not keyed", name)
			}
			began := time.Now()
			row.then(to)
			time.Sleep(lapse + time.Millisecond)
			synctest.Wait()
			if line.is() || line.fell.Sub(began) > row.after {
				t.Errorf("%s: fell after %v, expected %v", name, line.fell.Sub(began), row.after)
			}
			to.Close()
			in.Close()
			<-ended
		}
		line := &stand{fails: true}
		k := Beside(line, time.Second)
		synctest.Wait()
		k.Key(true)
		synctest.Wait()
		if s := k.State(); s.High || s.Trouble == "" || line.is() {
			t.Errorf("a line that can't be raised: %+v", s)
		}
		k.Close()
	})
}

// The limit and the lapse are kept on both sides: with an owner that keeps none, the program unkeys by itself, whether
// it is asked to key all the time or once.
func TestTheProgramKeepsTheLimitsToo(t *testing.T) {
	t.Run("limit", func(t *testing.T) { unkeysBy(t, 40, time.Second) })
	t.Run("lapse", func(t *testing.T) { unkeysBy(t, 0, lapse) })
}

// unkeysBy has the program key after a while at rest, asks again so many times, and looks when it unkeys.
func unkeysBy(t *testing.T, again int, within time.Duration) {
	synctest.Test(t, func(t *testing.T) {
		orders, to := io.Pipe()
		from, told := io.Pipe()
		k := remote(to, from, time.Second, func() {})
		_, _ = told.Write([]byte{ready, '\n'})
		time.Sleep(time.Second)
		began := time.Now()
		var high, low time.Time
		ended := make(chan struct{})
		go func() {
			defer close(ended)
			var b [1]byte
			for {
				if _, err := orders.Read(b[:]); err != nil {
					return
				}
				switch {
				case b[0] == key:
					high = time.Now()
				case low.IsZero():
					low = time.Now()
				}
			}
		}()
		k.Key(true)
		for range again {
			time.Sleep(100 * time.Millisecond)
			k.Key(true)
		}
		time.Sleep(2 * time.Second)
		told.Close()
		k.Close()
		<-ended
		if last := high.Sub(began); last > within || low.Sub(began) > within+2*beat {
			t.Errorf("keyed until %v, unkeyed after %v", last, low.Sub(began))
		}
	})
}
