package desk

import (
	"math"
	"sort"
	"time"

	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Measured is one mean of the noise level, with where the axes stood in its middle.
type Measured struct {
	// Now is the middle of the mean in the loop's time, At the same in the time of the sky.
	Now step.Nanos
	At  time.Time
	// LevelDB is dB to an arbitrary zero.
	LevelDB float64
	// Flaw says why the level must not be used; Sound where it may.
	Flaw Flaw
	// Axes are the axis angles in the middle of the mean; Trusted says that they mean a place in the sky.
	Axes    mount.Direction
	Trusted bool
}

// Flaw is what is wrong with a level.
type Flaw uint8

// The flaws, the first that holds.
const (
	Sound      Flaw = iota
	Silent          // the meter gives nothing, or the same figure for seconds, which no receiver's noise does
	Keyed           // transmitting, or too soon after
	NotClean        // the sequencer was switching
	Overloaded      // at the meter's limit
	Nonsense        // the meter sends what is no level
	Regulated       // automatic gain holds the level
)

var flawWords = [...]string{
	"",
	"the noise meter is silent",
	"transmitting, or just after",
	"the sequencer was switching",
	"the noise meter is overloaded",
	"the noise meter sends something that is not a level",
	"automatic gain holds the level: switch it off",
}

// String says the flaw in words; empty for none.
func (f Flaw) String() string {
	if int(f) < len(flawWords) {
		return flawWords[f]
	}
	return "not known"
}

// meanLasts is the time over which the enclosure's detector averages.
const meanLasts = 100 * time.Millisecond

// silentAfter is for how long a level may stay the same to the microvolt.
const silentAfter = 3 * time.Second

// trailed is how many snapshots are remembered: some seconds, for a meter that
// tells late what it means.
const trailed = 64

// mostMeasured is what may wait for the next step of the desk: seconds.
const mostMeasured = 100

// meterState turns the snapshots of the enclosure's detector into levels.
type meterState struct {
	tick     uint64 // of the newest snapshot taken in
	level    average
	trail    [trailed]wasAt // where the axes were, newest last
	averageS float64        // over which the level is averaged
	meanAt   step.Nanos     // of the newest level in the mean
	came     step.Nanos     // when a meter that isn't the enclosure's sent last
	same     int32          // the detector's reading, and since when it has been so
	sameAt   step.Nanos
	wait     []Measured
}

// wasAt is where the axes stood at a moment.
type wasAt struct {
	now  step.Nanos
	axes mount.Direction
}

// take hands over what has been measured since it was last asked.
func (m *meterState) take() []Measured {
	taken := m.wait
	m.wait = nil
	return taken
}

// follow takes in where the axes are in a new snapshot; it reports whether it is new.
func (m *meterState) follow(loop *step.Status) bool {
	if !loop.HasMotion || loop.Link.Replies == m.tick {
		return false
	}
	m.tick = loop.Link.Replies
	copy(m.trail[:], m.trail[1:])
	m.trail[len(m.trail)-1] = wasAt{
		loop.Link.Snapshot,
		mount.Direction{Az: loop.Axes[mount.Azimuth].Is, El: loop.Axes[mount.Elevation].Is},
	}
	return true
}

// read takes in the detector's mean of a new snapshot; ok is false where there is none.
func (m *meterState) read(
	c *Config,
	s *State,
	loop *step.Status,
	sky time.Time,
	now step.Nanos,
) (one Measured, ok bool) {
	if loop.Motion.DetectorUV == enclosure.DetectorNotFitted {
		return one, false
	}
	one.Now = loop.Link.Snapshot - meanLasts/2
	one.LevelDB = Level(&c.Settings.Bands[s.Band].Feeds[s.Feed], loop.Motion.DetectorUV)
	one.Flaw = m.flaw(&c.Settings.Meter, loop)
	m.complete(&one, loop, sky, now)
	return one, true
}

// complete gives a level its place and takes it into the mean.
func (m *meterState) complete(one *Measured, loop *step.Status, sky time.Time, now step.Nanos) {
	one.At = sky.Add(-(now - one.Now))
	one.Axes = m.axesAt(one.Now)
	one.Trusted = true
	for i := range loop.Axes {
		one.Trusted = one.Trusted && (!loop.Axes[i].Fitted || loop.Axes[i].Trusted)
	}
	if one.Flaw == Sound {
		m.level.add(one.LevelDB, float64(one.Now-m.meanAt)/1e9/m.averageS)
		m.meanAt = one.Now
	}
	if len(m.wait) < mostMeasured {
		m.wait = append(m.wait, *one)
	}
}

// flaw judges a snapshot.
func (m *meterState) flaw(limits *settings.Meter, loop *step.Status) Flaw {
	reading := loop.Motion.DetectorUV
	if reading != m.same || m.sameAt == 0 {
		m.same, m.sameAt = reading, loop.Now
	}
	switch {
	case limits.LimitMV > 0 && math.Abs(float64(reading)) >= 1000*limits.LimitMV:
		return Overloaded
	case reading == 0, loop.Now-m.sameAt >= silentAfter:
		return Silent
	case keyedLately(limits, loop):
		return Keyed
	case loop.Motion.More&enclosure.MoreClean == 0:
		return NotClean
	}
	return Sound
}

// keyedLately reports that the station transmits, or did just before.
func keyedLately(limits *settings.Meter, loop *step.Status) bool {
	return keyedWithin(limits, loop, 0)
}

// keyedWithin reports that the station transmitted while a mean was taken whose
// middle is that old, or just before it: such a mean is as long as twice its age.
func keyedWithin(limits *settings.Meter, loop *step.Status, age step.Nanos) bool {
	since := step.Nanos(loop.Motion.SinceKeyed) * time.Millisecond
	return loop.Permit.Keyed || since < 2*age+step.Nanos(limits.AfterKeyedMS)*time.Millisecond
}

// axesAt is where the axes stood, between the ticks around a moment.
func (m *meterState) axesAt(now step.Nanos) mount.Direction {
	newest := m.trail[len(m.trail)-1]
	for i := len(m.trail) - 2; i >= 0; i-- {
		a, b := m.trail[i], m.trail[i+1]
		if a.now == 0 || b.now-a.now > time.Second {
			break // before it the axes are not known
		}
		if now >= a.now {
			part := max(0, min(1, float64(now-a.now)/float64(b.now-a.now)))
			return mount.Direction{
				Az: a.axes.Az + (b.axes.Az - a.axes.Az).Mul(part),
				El: a.axes.El + (b.axes.El - a.axes.El).Mul(part),
			}
		}
	}
	return newest.axes
}

// NoiseSample is a point of the noise strip.
type NoiseSample struct {
	Number  uint64
	At      time.Time
	LevelDB float64
	Clean   bool
	Keyed   bool
	// Mark tells of a change at this sample: 0 none, 1 trim, 2 preamplifier, 3 noise source, 4 band, 5 mount model.
	Mark uint8
}

// sample takes what the noise meter shows into the strip.
func (d *Runner) sample(loop *step.Status, sky time.Time, now step.Nanos) {
	fresh := d.meter.follow(loop)
	if d.other != nil {
		for _, one := range d.meter.readOther(&d.config, d.other.Take(), loop, sky, now) {
			d.show(one, loop.Permit.Keyed)
		}
		return
	}
	if !fresh {
		return
	}
	if one, ok := d.meter.read(&d.config, &d.state, loop, sky, now); ok {
		d.show(one, loop.Permit.Keyed)
	}
}

// show puts a level into the strip.
func (d *Runner) show(one Measured, keyed bool) {
	d.sampled++
	sample := NoiseSample{
		Number:  d.sampled,
		At:      one.At,
		LevelDB: one.LevelDB,
		Clean:   one.Flaw == Sound,
		Keyed:   keyed,
		Mark:    d.mark,
	}
	d.mark = 0
	d.mu.Lock()
	d.noise = append(d.noise, sample)
	if n := len(d.noise); n > 2*keptNoise {
		d.noise = append([]NoiseSample(nil), d.noise[n-keptNoise:]...)
	}
	d.mu.Unlock()
}

// Level is the noise level in dB that a detector reading in microvolts stands
// for: by the feed's measured table, where it has one, else by slope and offset.
func Level(feed *settings.Feed, microvolts int32) float64 {
	mv := float64(microvolts) / 1000
	if x, y := feed.DetectorTableMV, feed.DetectorTableDB; len(x) > 1 {
		// Beyond its ends the table goes on as between the last two.
		i := max(1, min(len(x)-1, sort.SearchFloat64s(x, mv)))
		return y[i-1] + (y[i]-y[i-1])*(mv-x[i-1])/(x[i]-x[i-1]) + feed.DetectorOffsetDB
	}
	return mv/feed.DetectorSlopeMVPerDB + feed.DetectorOffsetDB
}

// powerOf is linear power for a level in dB.
func powerOf(levelDB float64) float64 { return math.Pow(10, levelDB/10) }

// average is the running mean of the noise level, of linear power.
type average struct {
	linear float64
	has    bool
}

// add takes a level in that came after that part of the averaging time.
func (a *average) add(levelDB, part float64) {
	power := powerOf(levelDB)
	if !a.has {
		a.linear, a.has = power, true
		return
	}
	a.linear += max(0, min(1, part)) * (power - a.linear)
}

// value is the mean in dB, NaN before the first clean sample.
func (a *average) value() float64 {
	if !a.has {
		return math.NaN()
	}
	return 10 * math.Log10(a.linear)
}
