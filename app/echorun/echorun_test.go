package echorun

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"

	"beamhelm/app/audio"
	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/keying"
	"beamhelm/assets"
	"beamhelm/ephem"

	"github.com/soniakeys/unit"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// stand is everything around a station: what is done is written down with its time. Its parts are looked at and
// changed under mu.
type stand struct {
	t      *testing.T
	mu     sync.Mutex
	done   []string
	high   bool
	status desk.Status
	dish   Dish
	window time.Duration
	line   keying.State
	input  audio.InputStatus
	tape   audio.Tape
	fell   time.Time
}

func (s *stand) Key(on bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if on != s.high {
		s.done = append(s.done, fmt.Sprint("key ", on))
		s.fell = time.Now()
	}
	s.high = on
}
func (s *stand) State() keying.State               { return looked(s, func() keying.State { return s.line }) }
func (s *stand) Close()                            { s.Key(false) }
func (s *stand) Ready() bool                       { return true }
func (s *stand) Status() audio.OutputStatus        { return audio.OutputStatus{} }
func (s *stand) PlayAt(time.Time, []float32) error { s.did("tone"); return nil }
func (s *stand) Clear()                            { s.did("silence") }

func (s *stand) did(what string) { s.with(func(*stand) { s.done = append(s.done, what) }) }

// with changes something of a stand while nobody looks.
func (s *stand) with(change func(*stand)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change(s)
}

// looked is something of a stand.
func looked[T any](s *stand, look func() T) T {
	s.mu.Lock()
	defer s.mu.Unlock()
	return look()
}

// since is what was done after the first so many.
func (s *stand) since(before int) []string {
	return looked(s, func() []string { return slices.Clone(s.done[before:]) })
}

func (s *stand) keyed() bool { return looked(s, func() bool { return s.high }) }

// begin starts a station, and a run of so many cycles; it goes on to the first transmission.
func begin(t *testing.T) (*stand, func()) {
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	h := &stand{t: t, line: keying.State{Ready: true}, dish: Dish{Permit: true, Link: true}}
	h.input.Device.ID = "in"
	from, sky0 := time.Now(), time.Date(2027, 4, 14, 19, 0, 0, 0, time.UTC)
	now := func() (time.Time, time.Duration) { d := time.Since(from); return sky0.Add(d), d }
	s := New(Config{
		Status: func() *desk.Status {
			return looked(h, func() *desk.Status { h.status.At, _ = now(); copied := h.status; return &copied })
		},
		Dish:  func() Dish { return looked(h, func() Dish { return h.dish }) },
		Clock: now, Window: func() time.Duration { return looked(h, func() time.Duration { return h.window }) },
		Output: h,
		Input:  func() audio.InputStatus { return looked(h, func() audio.InputStatus { return h.input }) },
		Tape:   &h.tape, Listen: func() {}, Open: func() (keying.Keyer, error) { return h, nil },
	})
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { s.Run(ctx); close(ended) }()
	h.with(func(h *stand) { h.status.OwnEcho.MoonUp, h.dish.Permit = true, false })
	time.Sleep(6 * time.Second) // the line is opened with the permit withdrawn
	h.with(func(h *stand) { h.dish.Permit = true })
	c := ownecho.Config{Cycles: 5, Lead: 300 * time.Millisecond, Back: 150 * time.Millisecond, Limit: 3 * time.Second,
		ToneHz: 1500, TransmitHz: 1296e6, ReceiveHz: 1296e6, Sky: sky,
		Here: ephem.Site{Lat: unit.AngleFromDeg(55), Lon: unit.AngleFromDeg(-3)}}
	h.with(func(h *stand) {
		h.status.OwnEcho.Request = &ownecho.Request{Number: 1, Config: c, MHz: 1296, SpreadHz: 12}
	})
	for range 1000 {
		if time.Sleep(20 * time.Millisecond); h.keyed() {
			break
		}
	}
	if done := h.since(0); !h.keyed() || !slices.Contains(done, "tone") {
		t.Fatalf("never keyed: %v, %+v", done, s.Progress())
	}
	time.Sleep(time.Second)
	return h, func() {
		end()
		<-ended
		if h.keyed() {
			t.Error("still keyed after the end")
		}
	}
}

// Whatever ends a run in a transmission drops the key at once and first, silences the tone then, and nothing is keyed
// again.
func TestTheKeyFallsFirst(t *testing.T) {
	for name, spoil := range map[string]func(*stand){
		"the permit is lost":       func(h *stand) { h.dish.Permit = false },
		"a Stop":                   func(h *stand) { h.dish.Stops++ },
		"a trip":                   func(h *stand) { h.dish.Tripped = true },
		"the link is lost":         func(h *stand) { h.dish.Link = false },
		"somebody is at the dish":  func(h *stand) { h.dish.AtDish = true },
		"the window hangs":         func(h *stand) { h.window = 2 * time.Second },
		"the desk takes it back":   func(h *stand) { h.status.OwnEcho.Request = nil },
		"the Moon is left":         func(h *stand) { h.status.OwnEcho.MoonUp = false },
		"the line has trouble":     func(h *stand) { h.line.Trouble = "the adapter is gone" },
		"the receiver isn't heard": func(h *stand) { h.input.Trouble = "unplugged" },
	} {
		synctest.Test(t, func(t *testing.T) {
			h, end := begin(t)
			defer end()
			before, at := len(h.since(0)), time.Now()
			h.with(spoil)
			time.Sleep(2 * stepEvery)
			after := strings.Join(h.since(before), ", ")
			if took := looked(h, func() time.Time { return h.fell }).Sub(at); after != "key false, silence" ||
				took > stepEvery {
				t.Errorf("%s: %s, after %v", name, after, took)
			}
			h.with(func(h *stand) {
				h.dish, h.window = Dish{Permit: true, Link: true, Stops: h.dish.Stops}, 0
				h.line, h.input.Trouble = keying.State{Ready: true}, ""
				h.status.OwnEcho.MoonUp = true
			})
			time.Sleep(20 * time.Second)
			if after := h.since(before + 2); slices.Contains(after, "key true") || slices.Contains(after, "tone") {
				t.Errorf("%s: afterwards %v", name, after)
			}
		})
	}
}

// An input that is opened again, as that of practice is when somebody begins to listen, doesn't end a run; one that
// stays away does.
func TestAnInputIsOpened(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, end := begin(t)
		defer end()
		h.with(func(h *stand) { h.input.Device.ID = "" })
		time.Sleep(200 * time.Millisecond)
		if !h.keyed() {
			t.Error("it ended at once")
		}
		time.Sleep(opensWithin)
		h.with(func(h *stand) { h.input.Device.ID = "in" })
		before := len(h.since(0))
		time.Sleep(20 * time.Second)
		if after := h.since(before); slices.Contains(after, "key true") {
			t.Errorf("it went on: %v", after)
		}
	})
}

// The end of the station drops the key.
func TestTheEndDropsTheKey(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, end := begin(t)
		before := len(h.since(0))
		end()
		if after := strings.Join(h.since(before), ", "); after != "key false, silence" {
			t.Error(after)
		}
	})
}
