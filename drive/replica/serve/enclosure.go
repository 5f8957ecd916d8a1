package serve

import (
	"math"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/plant"
)

// power is where the panel's drive power stands.
type power uint8

const (
	powerOff      power = iota // to coming on, by an order
	powerComingOn              // to on when the supply is up, to off by an order or any trip
	powerOn                    // to off by an order or any trip
)

const (
	maxComingOn    = 2 * time.Second // then trip 6
	silentEncoder  = 1500 * time.Millisecond
	silentDrive    = 0.2 // from which applied drive a silent encoder is a fault
	maxNoiseSource = 5 * time.Second
	cleanAfter     = 300 * time.Millisecond
	maxSince       = 65535 * time.Millisecond
)

// Enclosure is the state of the circuits. It belongs to one goroutine; time
// passes only in Run.
type Enclosure struct {
	config Config
	dish   Dish
	seen   plant.Output
	input  plant.Input

	now, started time.Duration
	stood        time.Duration // how long its clock stood since it started
	starts       uint16
	dead         bool // without its own supply

	written  [enclosure.WrittenCount]uint16 // 0010 on, as written
	fed      time.Duration                  // when the watchdog was last fed
	fedEver  time.Duration                  // when the sequence last changed
	power    power
	coming   time.Duration // since when power is coming on
	permit   bool
	trips    enclosure.Trips
	outputs  enclosure.Outputs // as they work out
	applied  [2]float64
	lost     [2]bool          // counts not to be trusted
	driven   [2]time.Duration // since when an encoder should have counted
	axes     [2]axisMemory
	changed  time.Duration // when keying, permit, band or an output last changed
	keyed    time.Duration // when the transmitter was last keyed
	wasKeyed bool
	detector window
}

// axisMemory is what the circuits remember of an axis since the start.
type axisMemory struct {
	base        int32 // what the counter of the dish held when this one was at 0
	impossible  uint16
	wasOnMark   bool
	markCounts  int32
	markEntries uint16
	current     window
	peaks       [10]float64 // greatest current of each of the last seconds
}

// New returns an enclosure that has just started, at time 0.
func New(dish Dish, c Config) (*Enclosure, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	e := &Enclosure{config: c, dish: dish, starts: c.StartCounter}
	e.input.Elapsed = c.Step
	e.seen = dish.Step(e.input)
	e.start()
	return e, nil
}

// start is what happens when the supply comes up.
func (e *Enclosure) start() {
	seen := &e.seen
	again := e.starts != e.config.StartCounter
	axes := e.axes
	*e = Enclosure{config: e.config, dish: e.dish, seen: *seen, input: e.input, now: e.now, started: e.now,
		starts: e.starts + 1}
	e.written[placeWatchdog] = enclosure.WatchdogAtStart
	e.trips = enclosure.TripStarted
	e.changed, e.fedEver = e.now, e.now
	e.keyed = e.now - maxSince
	e.detector.size = int(100 * time.Millisecond / e.config.Step)
	for i := range e.axes {
		a, s := &e.axes[i], &e.seen.Axes[i]
		a.base = axes[i].base
		if again && !e.config.Fitted.Has(enclosure.FittedCountsSurvive|enclosure.FittedAzAbsolute<<i) {
			a.base = s.Counts
		}
		a.impossible, a.wasOnMark = s.Impossible, s.OnMark
		a.current.size = int(50 * time.Millisecond / e.config.Step)
	}
}

// Restart is what a loss of the supply for one step does.
func (e *Enclosure) Restart() {
	e.dead = true
	e.step()
}

// Now is the time to which the enclosure has run.
func (e *Enclosure) Now() time.Duration { return e.now }

// Dead says whether the enclosure is without its own supply: it hears nothing.
func (e *Enclosure) Dead() bool { return e.dead }

// Run lets time pass, in whole steps, up to a time.
func (e *Enclosure) Run(to time.Duration) {
	for e.now+e.config.Step <= to {
		e.step()
	}
}

func (e *Enclosure) step() {
	e.now += e.config.Step
	if e.seen.ClockStands {
		e.stood += e.config.Step
	}
	if e.dead {
		e.input = plant.Input{Elapsed: e.config.Step}
		e.seen = e.dish.Step(e.input)
		if !e.seen.LogicDown {
			e.dead = false
			e.start()
		}
		return
	}
	e.drive()
	e.input = plant.Input{
		Elapsed: e.config.Step, Applied: e.applied, Contactor: e.power != powerOff, ByHand: e.byHand(),
		Permit:  e.permit,
		Warning: e.orders().Has(enclosure.OrderWarning), Outputs: e.outputs, Band: int(e.written[placeBand]),
		FeedTurnDegrees: float64(int16(e.written[placeFeed])) / 10,
	}
	for i := range e.input.Brake {
		e.input.Brake[i] = e.braked(i)
	}
	e.seen = e.dish.Step(e.input)
	if e.seen.LogicDown {
		e.dead = true
		e.applied, e.power, e.permit = [2]float64{}, powerOff, false
		return
	}
	e.watch()
	e.remember()
}

func (e *Enclosure) orders() enclosure.Orders { return enclosure.Orders(e.written[placeOrders]) }

// byHand says whether the hand panel drives.
func (e *Enclosure) byHand() bool { return e.seen.HandPanel && !e.seen.StopOpen }

func (e *Enclosure) braked(i int) bool {
	return e.config.Fitted.Has(enclosure.FittedBrakes) && e.applied[i] == 0 && e.power != powerOn && !e.byHand()
}

// drive moves the applied drive: by hand or by the demand, at its own ramp,
// never further into an open end.
func (e *Enclosure) drive() {
	for i := range e.applied {
		drive := 0.0
		switch {
		case !e.config.Fitted.Axis(i), e.seen.DrivesNothing:
		case e.byHand():
			drive = max(-1, min(1, e.seen.HandDrive[i]))
		case e.power == powerOn && !e.orders().Has(enclosure.OrderAzOff<<i):
			drive = e.speed(i, int16(e.written[placeAz+i]))
		}
		a := e.applied[i]
		maximum := 1.0
		if ramp := e.config.Ramp[i]; ramp > 0 {
			maximum = e.config.Step.Seconds() / ramp.Seconds()
		}
		a += max(-maximum, min(maximum, drive-a))
		if e.into(i, a) || e.power != powerOn && !e.byHand() {
			a = 0
		}
		e.applied[i] = a
	}
}

// into says whether a drive would go further into an open end; with both ends
// open every drive does.
func (e *Enclosure) into(i int, drive float64) bool {
	s := &e.seen.Axes[i]
	return s.EndHigh && (drive > 0 || s.EndLow) || s.EndLow && drive < 0
}

// speed is the demand as part of full drive; with n fixed speeds the highest
// floor(k*10000/n) that is not above its size.
func (e *Enclosure) speed(i int, demand int16) float64 {
	n := int(e.config.FixedSpeeds[i])
	if n == 0 {
		return float64(demand) / enclosure.FullDrive
	}
	size, applied := max(int(demand), -int(demand)), 0
	for k := 1; k <= n && k*enclosure.FullDrive/n <= size; k++ {
		applied = k * enclosure.FullDrive / n
	}
	return math.Copysign(float64(applied), float64(demand)) / enclosure.FullDrive
}
