package desk

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/level"
	"beamhelm/app/desk/measuring"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/desk/radio"
	"beamhelm/app/wear"
	"beamhelm/drive"
	"beamhelm/drive/step"
	"beamhelm/ending"
)

// Loop is what the desk needs of the drive's loop.
type Loop interface {
	Status() *step.Status
	EventsSince(number uint64) []step.Event
	// Ticked has something after each new status.
	Ticked() <-chan struct{}
	Ask(step.Command)
	// Stops counts the Stops, which Stop asks; Hand drops what was begun before one.
	Stop()
	Stops() uint64
	Hand(drive.Orders)
	SetSurroundings(drive.Surroundings)
}

// Clock tells the time of the sky and, of the same moment, the loop's time.
type Clock func() (sky time.Time, loop step.Nanos)

// Runner lets a desk run beside a loop. Its methods may be called from any
// goroutine, but Step and Run belong to one.
type Runner struct {
	config  Config
	loop    Loop
	clock   Clock
	port    string
	line    func() Line
	records func() string
	beside  func() []alarm.Condition
	time    TimeSource
	skyTime TimeScaler

	status atomic.Pointer[Status]
	wake   chan struct{}

	state        State
	loopEvent    uint64
	meter        level.State
	measured     []level.Measured // since the last step
	other        OtherMeter       // nil: the enclosure's detector
	dial         func() radio.Dialled
	echoes       func() ownecho.Progress
	alive        atomic.Int64 // when the window last gave a sign of life, the loop's time
	sampled      uint64
	sampledAt    step.Nanos // the newest of them
	sampledScale int        // the time scale of it
	usual        uint64     // the change of what is usual that was kept last, and when
	usualAt      step.Nanos
	mark         uint8
	next         step.Nanos

	mu     sync.Mutex
	orders []Given
	events []Event
	noise  []NoiseSample
	kept   Kept
}

// The most that the runner keeps: events, ten minutes of noise at 20 a second, and orders that wait.
const (
	keptEvents = 4096
	keptNoise  = 12000
	maxOrders  = 256
)

// stepEvery is how often the desk steps when nothing is asked: with a tick of the loop that comes no
// more than stepEarly before its time, so that both wake the processor once, or by its own clock.
const (
	stepEvery = 100 * time.Millisecond
	stepEarly = 20 * time.Millisecond
)

// RunnerConfig is what a runner needs besides the desk's configuration.
type RunnerConfig struct {
	Kept Kept
	// Port names the line on the screen; Line, if any, tells how it is.
	Port string
	Line func() Line
	// Records, if any, tells why nothing can be recorded; empty for no trouble.
	Records func() string
	// Beside, if any, tells what else beside the dish is in trouble, each under a key of its own.
	Beside func() []alarm.Condition
	// Time, if any, is what the clock is compared with.
	Time TimeSource
	// SkyTime, if any, can make the sky's time run faster.
	SkyTime TimeScaler
	// Meter, if any, measures the noise in place of the enclosure's detector.
	Meter OtherMeter
	// Dial, if any, tells what the radio's own dial shows.
	Dial func() radio.Dialled
	// OwnEcho, if any, tells how the newest measurement of the station's own echoes stands.
	OwnEcho func() ownecho.Progress
}

// TimeSource tells how far the computer's clock is off.
type TimeSource interface {
	// Offset is how far the clock is behind; known is false without an answer of late.
	Offset() (offset time.Duration, known bool)
	// Trouble says why the last question came to nothing; empty where it did not.
	Trouble() string
}

// NewRunner returns a desk beside a loop. It asks nothing of the loop yet.
func NewRunner(c Config, loop Loop, clock Clock, r RunnerConfig) *Runner {
	d := &Runner{
		config:  c,
		loop:    loop,
		clock:   clock,
		port:    r.Port,
		line:    r.Line,
		records: r.Records,
		beside:  r.Beside,
		time:    r.Time,
		skyTime: r.SkyTime,
		other:   r.Meter,
		dial:    r.Dial,
		echoes:  r.OwnEcho,
		wake:    make(chan struct{}, 1),
	}
	d.state = New(&d.config, r.Kept.Trims)
	d.state.choose(&d.config, r.Kept.Band, r.Kept.Feed)
	d.state.takeRadio(&d.config, r.Kept.Radio)
	d.state.takePlaces(r.Kept.Places)
	d.state.Measuring = measuring.New(r.Kept.Kept)
	d.state.Echoes.take(r.Kept.OwnEchoes)
	d.state.Watch.Past.Usual = wear.FromEntries(r.Kept.Usual)
	d.state.Watch.Past.Cable.Counts = r.Kept.Cable
	d.state.takeCommissioning(r.Kept.Commissioning)
	d.kept = r.Kept
	d.Step()
	return d
}

// choose takes up a band and feed by name, where they exist.
func (s *State) choose(c *Config, band, feed string) {
	for i, b := range c.Settings.Bands {
		for k, f := range b.Feeds {
			if b.Name == band && f.Name == feed {
				s.Band, s.Feed = i, k
			}
		}
	}
}

// Status is the newest status; it is never nil and never changed.
func (d *Runner) Status() *Status { return d.status.Load() }

// Ask hands the desk an order. It never blocks. Stop goes to the loop at once;
// the desk's next step sees it there.
func (d *Runner) Ask(o Order) {
	if _, stop := o.(Stop); stop {
		d.loop.Stop()
	} else {
		d.mu.Lock()
		g := Given{o, d.loop.Stops()}
		if len(d.orders) == maxOrders {
			d.orders = d.orders[1:] // the oldest goes
		}
		d.orders = append(d.orders, g)
		d.mu.Unlock()
	}
	select {
	case d.wake <- struct{}{}:
	default:
	}
}

// Alive is the window's sign of life.
func (d *Runner) Alive() {
	d.loop.Ask(step.WindowAlive{})
	_, now := d.clock()
	d.alive.Store(int64(now))
}

// WindowSilence is for how long the window has given no sign of life; as long as the desk has run where it never gave
// one.
func (d *Runner) WindowSilence() time.Duration {
	_, now := d.clock()
	return now - step.Nanos(d.alive.Load())
}

// EventsSince appends the events with numbers above the given one to into, oldest first.
func (d *Runner) EventsSince(number uint64, into []Event) []Event {
	d.mu.Lock()
	defer d.mu.Unlock()
	for i := range d.events {
		if d.events[i].Number > number {
			return append(into, d.events[i:]...)
		}
	}
	return into
}

// NoiseSince appends the noise samples with numbers above the given one to into, oldest first.
func (d *Runner) NoiseSince(number uint64, into []NoiseSample) []NoiseSample {
	d.mu.Lock()
	defer d.mu.Unlock()
	if n := len(d.noise); n == 0 || d.noise[n-1].Number <= number {
		return into
	}
	// Numbers rise by one: the first wanted one is found without a search.
	first := d.noise[0].Number
	from := 0
	if number >= first {
		from = int(number - first + 1)
	}
	return append(into, d.noise[from:]...)
}

// Run lets the desk run until the context ends.
func (d *Runner) Run(ctx context.Context) {
	timer := time.NewTimer(stepEvery)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-d.wake:
		case <-d.loop.Ticked():
		case <-timer.C:
		}
		ending.Here("desk")
		d.Step()
		_, now := d.clock()
		timer.Reset(min(d.next+stepEarly-now, 2*stepEvery))
	}
}

// Step samples the noise of a new tick and, when it is time or something was
// asked, makes a step of the desk.
func (d *Runner) Step() {
	if in, due := d.collect(); due {
		d.advance(&in)
	}
}

// collect puts together what a step may know, if one is due. Stops and orders
// are taken at one moment: no order among them was given after a Stop not counted.
func (d *Runner) collect() (in Inputs, due bool) {
	d.mu.Lock()
	in.Stops, in.Orders = d.loop.Stops(), d.orders
	d.orders = nil
	d.mu.Unlock()
	in.Loop = d.loop.Status()
	in.At, in.Now = d.clock()
	in.TimeScale = d.timeScale()
	d.sample(in.Loop, in.At, in.Now)
	if len(in.Orders) == 0 && in.Stops == d.state.Stops && in.Now < d.next-stepEarly && d.status.Load() != nil {
		return in, false
	}
	d.next = in.Now + stepEvery
	in.LoopEvents = d.loop.EventsSince(d.loopEvent)
	in.NoiseDB, in.Measured, in.Port = d.meter.Mean.DB(), d.measured, d.port
	d.measured = nil
	if d.line != nil {
		in.Around.Line = d.line()
	}
	if d.records != nil {
		in.Around.RecordsTrouble = d.records()
	}
	if d.time != nil {
		in.Around.TimeTrouble = d.time.Trouble()
		in.ClockOffset, in.HasClockOffset = d.time.Offset()
	}
	if d.other != nil {
		in.OtherMeter, in.Around.MeterTrouble = true, d.other.Trouble()
	}
	if d.dial != nil {
		in.Dialled = d.dial()
	}
	if d.echoes != nil {
		in.OwnEcho = d.echoes()
	}
	if d.beside != nil {
		in.Around.Beside = d.beside()
	}
	return in, true
}

// advance makes a step and hands out what it came to.
func (d *Runner) advance(in *Inputs) {
	if n := len(in.LoopEvents); n > 0 {
		d.loopEvent = in.LoopEvents[n-1].Number
	}
	before := d.marked()
	out := Step(&d.config, &d.state, in)
	d.markFor(in.Orders, before)
	d.setTimeScale(out.TimeScale)
	d.publish(&out, in)
}

// publish hands out what a step came to.
func (d *Runner) publish(out *Outputs, in *Inputs) {
	around := drive.Surroundings{Sun: out.Sun, HasSun: true}
	if d.time != nil {
		around.ClockOffset, around.HasClockOffset = d.time.Offset()
	}
	d.loop.SetSurroundings(around)
	d.loop.Hand(drive.Orders{Stops: in.Stops, Course: out.Course, HasCourse: out.HasCourse, Commands: out.Commands})
	d.mu.Lock()
	defer d.mu.Unlock()
	d.number(out)
	d.keep(in.Loop)
	d.status.Store(out.Status)
}

// number gives the events of a step their numbers.
func (d *Runner) number(out *Outputs) {
	last := uint64(0)
	if n := len(d.events); n > 0 {
		last = d.events[n-1].Number
	}
	for _, e := range out.Events {
		last++
		e.Number = last
		d.events = append(d.events, e)
	}
	if n := len(d.events); n > 2*keptEvents {
		d.events = append([]Event(nil), d.events[n-keptEvents:]...)
	}
	out.Status.LastEvent = last
}
