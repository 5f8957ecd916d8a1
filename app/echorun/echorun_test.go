package echorun

import (
	"context"
	"fmt"
	"slices"
	"strings"
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

// stand is everything around a station: what is done is written down with its time.
type stand struct {
	t      *testing.T
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
	if on != s.high {
		s.done = append(s.done, fmt.Sprint("key ", on))
		s.fell = time.Now()
	}
	s.high = on
}
func (s *stand) State() keying.State               { return s.line }
func (s *stand) Close()                            { s.Key(false) }
func (s *stand) Ready() bool                       { return true }
func (s *stand) Status() audio.OutputStatus        { return audio.OutputStatus{} }
func (s *stand) PlayAt(time.Time, []float32) error { s.done = append(s.done, "tone"); return nil }
func (s *stand) Clear()                            { s.done = append(s.done, "silence") }

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
		Status: func() *desk.Status { h.status.At, _ = now(); copied := h.status; return &copied }, Dish: func() Dish { return h.dish },
		Clock: now, Window: func() time.Duration { return h.window }, Output: h, Input: func() audio.InputStatus { return h.input }, Tape: &h.tape, Listen: func() {},
		Open: func() (keying.Keyer, error) { return h, nil },
	})
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { s.Run(ctx); close(ended) }()
	h.status.OwnEcho.MoonUp = true
	h.dish.Permit = false
	time.Sleep(6 * time.Second) // the line is opened with the permit withdrawn
	h.dish.Permit = true
	c := ownecho.Config{Cycles: 5, Lead: 300 * time.Millisecond, Back: 150 * time.Millisecond, Limit: 3 * time.Second, ToneHz: 1500,
		TransmitHz: 1296e6, ReceiveHz: 1296e6, Sky: sky, Here: ephem.Site{Lat: unit.AngleFromDeg(55), Lon: unit.AngleFromDeg(-3)}}
	h.status.OwnEcho.Request = &ownecho.Request{Number: 1, Config: c, MHz: 1296, SpreadHz: 12}
	for range 1000 {
		if time.Sleep(20 * time.Millisecond); h.high {
			break
		}
	}
	if !h.high || !slices.Contains(h.done, "tone") {
		t.Fatalf("never keyed: %v, %+v", h.done, s.Progress())
	}
	time.Sleep(time.Second)
	return h, func() {
		end()
		<-ended
		if h.high {
			t.Error("still keyed after the end")
		}
	}
}

// Whatever ends a run in a transmission drops the key at once and first, silences the tone then, and nothing is keyed again.
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
			before, at := len(h.done), time.Now()
			spoil(h)
			time.Sleep(2 * stepEvery)
			after := strings.Join(h.done[before:], ", ")
			if after != "key false, silence" || h.fell.Sub(at) > stepEvery {
				t.Errorf("%s: %s, after %v", name, after, h.fell.Sub(at))
			}
			h.dish, h.window, h.line, h.input.Trouble = Dish{Permit: true, Link: true, Stops: h.dish.Stops}, 0, keying.State{Ready: true}, ""
			h.status.OwnEcho.MoonUp = true
			time.Sleep(20 * time.Second)
			if after := h.done[before+2:]; slices.Contains(after, "key true") || slices.Contains(after, "tone") {
				t.Errorf("%s: afterwards %v", name, after)
			}
		})
	}
}

// An input that is opened anew, as that of practice is when somebody begins to listen, doesn't end a run; one that stays away does.
func TestAnInputIsOpened(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, end := begin(t)
		defer end()
		h.input.Device.ID = ""
		time.Sleep(200 * time.Millisecond)
		if !h.high {
			t.Error("it ended at once")
		}
		time.Sleep(opensWithin)
		h.input.Device.ID = "in"
		before := len(h.done)
		time.Sleep(20 * time.Second)
		if after := h.done[before:]; slices.Contains(after, "key true") {
			t.Errorf("it went on: %v", after)
		}
	})
}

// The end of the station drops the key.
func TestTheEndDropsTheKey(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h, end := begin(t)
		before := len(h.done)
		end()
		if after := strings.Join(h.done[before:], ", "); after != "key false, silence" {
			t.Error(after)
		}
	})
}
