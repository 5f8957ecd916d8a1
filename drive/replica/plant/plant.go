package plant

import (
	"math"
	"time"

	"beamhelm/drive/enclosure"
)

// How often what is slower than the axes is renewed, in steps.
const (
	airSteps  = 10
	skySteps  = 20
	slowSteps = 100
)

// Plant is a simulated dish. It is a plain value: a copy goes its own way.
type Plant struct {
	config  Config
	sky     Sky
	steps   int64
	left    time.Duration // of a step not yet gone
	faults  [MaxFaults]Fault
	faulty  int
	wrong   conditions
	in      Input
	axes    [2]mechanics
	readers [2]reader
	weather weather
	thermal thermal
	radio   radio
	keying  sequencer
	keyLine bool
	busV    float64
	powered bool
	onFor   float64 // seconds since the order
	wasDark bool
	chance  random // of encoders
	out     Output
}

// New is a plant at rest at its places. The error names what the Config can't be.
func New(c Config) (*Plant, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	p := &Plant{config: c, busV: c.Supplies.DriveV, chance: seeded(c.Seed, 1)}
	p.weather.chance, p.thermal.chance, p.radio.chance = seeded(c.Seed, 2), seeded(c.Seed, 3), seeded(c.Seed, 4)
	for i := range p.axes {
		p.axes[i] = newMechanics(&p.config.Axes[i], &c.Supplies)
		p.readers[i] = newReader(&p.config.Axes[i], c.Seed, uint64(10+i), p.encoderAngle(i), p.axes[i].hub)
	}
	p.wrong = gather(nil, 0)
	p.settle()
	p.renew()
	p.warm(slowSteps * step)
	p.look(skySteps * step)
	p.show()
	return p, nil
}

// SetSky gives the dish something to look at.
func (p *Plant) SetSky(s Sky) { p.sky = s }

// SetMount changes how the axes really stand, as when a mount settles.
func (p *Plant) SetMount(m Mount) error {
	if err := m.validate(); err != nil {
		return err
	}
	p.config.Mount = m
	return nil
}

// SetWind changes the weather.
func (p *Plant) SetWind(w Wind) error {
	c := p.config
	c.Wind = w
	if err := c.Validate(); err != nil {
		return err
	}
	p.config.Wind = w
	return nil
}

// SetSending says whether somebody wants to send in our periods.
func (p *Plant) SetSending(sending bool) { p.config.Sequencer.Sending = sending }

// SetKey sets the line that keys the transmitter whatever the period; it transmits when permitted.
func (p *Plant) SetKey(high bool) { p.keyLine = high }

// Config returns the configuration as it is now.
func (p *Plant) Config() Config { return p.config }

// Output is what the enclosure saw last.
func (p *Plant) Output() Output { return p.out }

// Elapsed is the plant's own time.
func (p *Plant) Elapsed() time.Duration { return time.Duration(p.steps) * time.Millisecond }

// Now is the moment of it.
func (p *Plant) Now() time.Time { return p.config.Start.Add(p.Elapsed()) }

// SetNow sets the moment of its clock, which goes on from there. The motion knows nothing of it.
func (p *Plant) SetNow(at time.Time) { p.config.Start = at.Add(-p.Elapsed()) }

// Step takes the dish on by in.Elapsed and returns what the enclosure sees.
// Elapsed times add up to steps of 1 ms; what is not finite in the input
// counts as 0.
func (p *Plant) Step(in Input) Output {
	p.in = sound(in)
	p.left += max(0, min(in.Elapsed, time.Second))
	for p.left >= time.Millisecond {
		p.left -= time.Millisecond
		p.tick()
	}
	p.out.DetectorUV = p.detector(in.Elapsed.Seconds())
	p.show()
	return p.out
}

func sound(in Input) Input {
	for i, v := range in.Applied {
		if !finite(v) {
			in.Applied[i] = 0
		}
		in.Applied[i] = max(-1, min(1, in.Applied[i]))
	}
	if !finite(in.FeedTurnDegrees) {
		in.FeedTurnDegrees = 0
	}
	return in
}

// tick is one step of 1 ms.
func (p *Plant) tick() {
	p.steps++
	if p.steps%airSteps == 0 {
		p.renew()
	}
	if p.steps%skySteps == 0 {
		p.look(skySteps * step)
	}
	if p.steps%slowSteps == 0 {
		p.warm(slowSteps * step)
	}
	p.power()
	live := p.powered || p.in.ByHand && !p.wrong.stopOpen && !p.wrong.supplyGone && !p.wrong.dark
	now := float64(p.steps) * step
	drawn := 0.0
	for i := range p.axes {
		a, m, w := &p.config.Axes[i], &p.axes[i], &p.wrong.axes[i]
		nm := m.electric(a, p.in.Applied[i], p.busV, live && !p.stageFault(i), w.unpowered, w.reversed)
		drawn += m.currentA * m.duty
		brake := 0.0
		if p.in.Brake[i] {
			brake = brakeA * m.constant
		}
		m.move(a, nm, w.apart, w.held, brake)
		p.ends(i)
		p.readers[i].read(a, p.encoderAngle(i), m.hub, now, &w.encoder, &p.chance)
	}
	p.sag(drawn)
}

// stageFault says whether the drive stage of an axis reports a fault: one of
// its own, or it or the motor has become too hot.
func (p *Plant) stageFault(i int) bool {
	return p.wrong.axes[i].stageFault || p.thermal.stageC > stageTripC || p.axes[i].temperatureC > motorTripC
}

// brakeA is the motor current that a set brake withstands.
const brakeA = 25

// sag is the drive supply under the current drawn; its capacitors smooth it
// over 5 ms.
func (p *Plant) sag(drawn float64) {
	volts := p.config.Supplies.DriveV
	if !math.IsNaN(p.wrong.driveV) {
		volts = p.wrong.driveV
	}
	if p.wrong.supplyGone {
		volts = 0
	}
	volts = volts*(1+p.thermal.driveSway) - drawn*p.config.Supplies.DriveOhm
	p.busV += (max(0, volts) - p.busV) * (step / (step + 0.005))
}

// power is the contactor.
func (p *Plant) power() {
	order := p.in.Contactor && !p.wrong.dark && !p.wrong.stopOpen
	if !order {
		p.powered, p.onFor = false, 0
		return
	}
	p.onFor += step
	p.powered = p.onFor >= p.config.Supplies.ComesOn.Seconds() && !p.wrong.powerFails && !p.wrong.supplyGone
}

// ends are the end switches. They open by the place of the axis, and act on
// the drive stage by wire.
func (p *Plant) ends(i int) {
	const back = 0.05 * math.Pi / 180 // a switch closes a little inside of where it opened
	a, m, w, out := &p.config.Axes[i], &p.axes[i], &p.wrong.axes[i], &p.out.Axes[i]
	low, high := m.inhibitLow, m.inhibitHigh
	switch {
	case w.switchesStuck:
		low, high = false, false
	default:
		low = m.hub < a.EndLow.Rad() || low && !w.lowWire && m.hub < a.EndLow.Rad()+back
		high = m.hub > a.EndHigh.Rad() || high && !w.highWire && m.hub > a.EndHigh.Rad()-back
		low, high = low || w.lowWire, high || w.highWire
	}
	m.inhibitLow, m.inhibitHigh = low, high
	out.EndLow, out.EndHigh = low, high
}

// encoderAngle is the angle of what the encoder sits on.
func (p *Plant) encoderAngle(i int) float64 {
	if p.config.Axes[i].Encoder.OnMotor {
		return p.axes[i].motor
	}
	return p.axes[i].hub
}

// renew is what changes within hundredths of a second: faults, wind, friction.
func (p *Plant) renew() {
	const h = airSteps * step
	p.wrong = gather(p.faults[:p.faulty], p.Elapsed())
	wind := p.config.Wind
	if p.wrong.storm {
		wind.MeanMPS, wind.Turbulence = p.wrong.stormMPS, p.wrong.stormTurbulence
	}
	p.weather.blow(&wind, h)
	p.weather.press(&p.config, p.axes[0].hub, p.axes[1].hub, h)
	cold := coldFriction(p.thermal.airC)
	for i := range p.axes {
		p.axes[i].renew(&p.config.Axes[i], &p.wrong.axes[i], p.weather.torque[i], cold)
	}
	p.keying.move(&p.config.Sequencer, p.sendWanted(), p.wrong.sequencerStuck, h)
	p.radio.turn(&p.in, h)
	if p.wasDark && !p.wrong.dark {
		for i := range p.readers {
			p.readers[i].begin(&p.config.Axes[i], &p.chance)
			p.readers[i].settle(p.encoderAngle(i), p.axes[i].hub, &p.config.Axes[i])
		}
	}
	p.wasDark = p.wrong.dark
}

func (m *mechanics) renew(a *Axis, w *axisConditions, windNm, cold float64) {
	m.outerNm = windNm
	m.gravityNm = -a.ImbalanceNm * math.Cos(m.hub)
	m.turnNm = a.TurnA * m.constant * cold
	m.viscousNm = a.ViscousA * m.constant * cold / a.TopSpeed.Rad()
	m.bearingNm = a.BearingNm * cold
	m.windingOhm = a.ArmatureOhm * (1 + copperPerC*(m.temperatureC-20))
	m.wornLoss, m.push = a.WormLoss, 0
	if w.free {
		m.turnNm, m.wornLoss, m.push = 0.05*m.turnNm, 0.2, w.pushNm
	}
}

// copperPerC is how much the resistance of copper rises with temperature, 1/K
// at 20 degrees C (handbook value).
const copperPerC = 0.00393

// sendWanted says whether somebody wants to send, may, and the relay can switch.
func (p *Plant) sendWanted() bool {
	t := &p.config.Sequencer
	return (p.keyLine || t.Sending && t.ours(p.Now())) && p.in.Permit && !p.wrong.dark && p.relayV() >= t.MinRelayV
}

func (p *Plant) relayV() float64 {
	if !math.IsNaN(p.wrong.relayV) {
		return p.wrong.relayV
	}
	return p.config.Supplies.RelayV
}

// show is what the enclosure sees.
func (p *Plant) show() {
	o := &p.out
	now := float64(p.steps) * step
	for i := range o.Axes {
		r, m, w, x := &p.readers[i], &p.axes[i], &p.wrong.axes[i], &o.Axes[i]
		x.Counts, x.Impossible, x.Upward, x.SinceCount = r.counts, r.impossible, r.upward, r.since(now)
		x.CurrentA, x.OnMark, x.MarkCounts = m.currentA, r.onMark, r.markCounts
		if p.wrong.sensorsGone {
			x.CurrentA = math.NaN()
		}
		x.DriveFault, x.EncoderAlarm = p.stageFault(i), w.encoderAlarm
	}
	o.Powered, o.SupplyBack = p.powered, !p.wrong.supplyGone
	o.ClockStands, o.DrivesNothing = p.wrong.clockStands, p.wrong.drivesNothing
	o.StopOpen, o.HandPanel, o.HandDrive, o.DoorOpen = p.wrong.stopOpen, p.wrong.hand, p.wrong.handDrive, p.wrong.door
	o.LogicDown, o.Keyed = p.wrong.dark, p.keying.keyed()
	o.Band, o.FeedTurnDegrees = -1, math.NaN()
	if p.config.Fitted.Has(enclosure.FittedBandSwitch) {
		o.Band = p.radio.band
	}
	if p.config.Fitted.Has(enclosure.FittedFeedTurner) {
		o.FeedTurnDegrees = p.radio.feedTurn
	}
}
