// Package echorun does what a measurement of the station's own echoes asks: it keys, plays the tones, and looks
// for the echoes in what the receiver gave. What to do when is decided in package ownecho, from one step to the next;
// here is the goroutine that steps it, apart from the window and from the desk's longer work. Whatever ends a
// run drops the key first and silences the tone afterwards; the key falls by itself where the steps stop coming.
package echorun

import (
	"context"
	"math"
	"sync/atomic"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/keying"
	"beamhelm/ending"
)

// Dish is what is known of the dish at a moment, by the loop itself.
type Dish struct {
	// Permit is given and Keyed reported by the enclosure. Link says that both are of now.
	Permit, Keyed, Link bool
	Tripped, AtDish     bool
	Stops               uint64
}

// Output is the sound output that goes to the transmitter.
type Output interface {
	Ready() bool
	Status() audio.OutputStatus
	PlayAt(at time.Time, samples []float32) error
	Clear()
}

// Config is what a run works with.
type Config struct {
	Status func() *desk.Status
	Dish   func() Dish
	// Clock tells the time of the sky and, of the same moment, that of a clock that nobody sets.
	Clock func() (sky time.Time, now time.Duration)
	// Window is for how long the window has given no sign of life.
	Window func() time.Duration
	// Open opens what keys; nil where the operator does. It is opened again where its owner has ended.
	Open   func() (keying.Keyer, error)
	Output Output
	Input  func() audio.InputStatus
	// Listen says that somebody listens to the receiver.
	Listen func()
	Tape   *audio.Tape
	// Simulated says that dish and transmitter are; Wanted, if any, is told whether a run is wanted.
	Simulated bool
	Wanted    func(bool)
}

// Station runs the measurements of a station. Its methods may be called from any goroutine.
type Station struct {
	c        Config
	progress atomic.Pointer[ownecho.Progress]

	// What follows belongs to Run's goroutine.
	keyer       keying.Keyer
	opened      time.Time
	trouble     string // why there is no keyer
	state       ownecho.State
	request     *ownecho.Request
	asked       uint64
	began       time.Time // of the run, by the monotonic clock
	ended       time.Time
	looked      int
	looking     bool
	counted     int
	countedAt   time.Time
	toneTrouble string // why the newest tone wasn't sent
	high        bool
	heard       time.Time // when an input was last there
	answers     chan answer
	now         ownecho.Progress
	wanted      bool
	detection   ending.Group
}

// New returns a station. Nothing is opened yet.
func New(c Config) *Station {
	s := &Station{c: c, answers: make(chan answer, 1)}
	s.progress.Store(&ownecho.Progress{Has: true, Trouble: "it has just begun"})
	return s
}

// Progress is how the newest run stands.
func (s *Station) Progress() ownecho.Progress { return *s.progress.Load() }

const (
	// stepEvery is how often it steps in a run, idleEvery else.
	idleEvery = 100 * time.Millisecond
	stepEvery = 20 * time.Millisecond
	// windowSilent is for how long a run goes on without a sign of life from the window, statusOld without one from the
	// desk.
	windowSilent = 1500 * time.Millisecond
	statusOld    = 1500 * time.Millisecond
	// opensWithin is how long an input may take to be opened when somebody begins to listen.
	opensWithin = 2 * time.Second
	// reopenAfter is how long after a loss what keys is opened again.
	reopenAfter = 5 * time.Second
)

// Run steps until the context ends, and unkeys at its end.
func (s *Station) Run(ctx context.Context) {
	ticker, every := time.NewTicker(idleEvery), idleEvery
	defer ticker.Stop()
	defer s.detection.Wait()
	defer func() {
		if s.keyer != nil {
			s.keyer.Close()
		}
		s.c.Output.Clear()
	}()
	for {
		select {
		case <-ctx.Done():
			return
		case a := <-s.answers:
			s.take(a)
		case <-ticker.C:
		}
		ending.Here("own echoes")
		s.step()
		if wanted := s.every(); wanted != every {
			every = wanted
			ticker.Reset(every)
		}
	}
}

// every is how often to step now.
func (s *Station) every() time.Duration {
	if s.state.Running {
		return stepEvery
	}
	return idleEvery
}

// step makes a step of the run and does what it comes to: the key first.
func (s *Station) step() {
	status, dish := s.c.Status(), s.c.Dish()
	s.reopen(status, dish)
	in := s.inputs(status, dish)
	config := ownecho.Config{}
	if s.request != nil {
		config = s.request.Config
	}
	out := ownecho.Step(&config, &s.state, &in)
	if s.keyer != nil && (out.Key || s.high || s.keyer.State().Trouble != "") {
		s.keyer.Key(out.Key)
	}
	s.high = out.Key
	if out.Silence {
		s.c.Output.Clear()
	}
	if out.HasTone {
		s.play(out.Tone, in.At)
	}
	s.tell(&in, &out)
	s.look()
}

// inputs are what a step may know of the moment.
func (s *Station) inputs(status *desk.Status, dish Dish) ownecho.Inputs {
	in := ownecho.Inputs{
		Permit: dish.Permit, Keyed: dish.Keyed, LinkGood: dish.Link, Tripped: dish.Tripped,
		AtDish:      dish.AtDish || status.Working,
		WindowAlive: s.c.Window() < windowSilent, Practice: status.Practice, Simulated: s.c.Simulated,
	}
	in.At, in.Now = s.c.Clock()
	echo := &status.OwnEcho
	fresh := in.At.Sub(status.At) < statusOld
	in.MoonUp = fresh && echo.MoonUp
	if in.Place, in.Off = echo.Place, echo.Off; !fresh {
		in.Place = -1
	}
	sound := s.soundTrouble()
	in.SoundReady, in.KeyerReady = sound == "", s.keyerTrouble() == ""
	request := echo.Request
	switch {
	case request != nil && request.Number != s.asked && !s.state.Running:
		s.asked, s.request, s.looked = request.Number, request, 0
		s.began = time.Now()
		in.Start, in.Stop = true, dish.Stops != request.Stops
	case s.state.Running:
		in.Stop = dish.Stops != s.request.Stops
		in.End = request == nil || request.Number != s.request.Number
	}
	if request != nil || echo.Waiting || s.state.Running {
		s.c.Listen()
	}
	if s.c.Wanted != nil && (request != nil || echo.Waiting) != s.wanted {
		s.wanted = !s.wanted
		s.c.Wanted(s.wanted)
	}
	return in
}

// soundTrouble says why audio doesn't go both ways; empty where it does.
func (s *Station) soundTrouble() string {
	switch in := s.c.Input(); {
	case in.Trouble != "":
		return in.Trouble
	case in.Device.ID != "":
		s.heard = time.Now()
	case time.Since(s.heard) > opensWithin:
		return "no receiver audio is heard: choose an input in Set-up"
	}
	if why := s.c.Output.Status().Trouble; why != "" {
		return why
	}
	if !s.c.Output.Ready() {
		return "the tone output is starting"
	}
	return ""
}

// keyerTrouble says why nothing can be keyed; empty where it can, or the operator keys.
func (s *Station) keyerTrouble() string {
	switch {
	case s.c.Open == nil:
		return ""
	case s.keyer == nil:
		return s.trouble
	}
	if state := s.keyer.State(); state.Trouble != "" {
		return "the keying line: " + state.Trouble
	} else if !state.Ready {
		return "the keying line is being opened"
	}
	return ""
}

// reopen opens what keys, while nothing may transmit: opening a port raises its lines for a moment.
func (s *Station) reopen(status *desk.Status, dish Dish) {
	if s.c.Open == nil || s.state.Running || time.Since(s.opened) < reopenAfter || dish.Permit ||
		status.PermitRequested {
		return
	}
	if s.keyer != nil {
		if state := s.keyer.State(); state.Ready || state.Trouble == "" {
			return
		}
		s.keyer.Close()
		s.keyer = nil
	}
	s.opened = time.Now()
	var err error
	if s.keyer, err = s.c.Open(); err != nil {
		s.keyer, s.trouble = nil, err.Error()
	}
}

// The tone: its level leaves room for the sound card, its edges keep it narrow.
const (
	toneLevel = 0.5
	toneEdge  = 10 * time.Millisecond
)

// play hands a tone over. at is the time of the sky now.
func (s *Station) play(t ownecho.Tone, at time.Time) {
	samples := make([]float32, int(t.Lasts.Seconds()*audio.Rate))
	edge := toneEdge.Seconds() * audio.Rate
	for i := range samples {
		out := min(float64(i), float64(len(samples)-1-i))
		level := toneLevel
		if out < edge {
			level *= (1 - math.Cos(math.Pi*out/edge)) / 2
		}
		samples[i] = float32(level * math.Sin(2*math.Pi*t.Hz*float64(i)/audio.Rate))
	}
	if err := s.c.Output.PlayAt(time.Now().Add(t.At.Sub(at)), samples); err != nil {
		s.toneTrouble = err.Error() // nothing is heard in this cycle; the next is tried
	}
}
