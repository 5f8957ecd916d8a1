// Package level turns what a noise meter shows into levels: each with its moment, where the axes stood then, and what
// is wrong with it.
package level

import (
	"math"
	"sort"
	"time"

	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/meter"
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
	Axes    mount.AxisAngles
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

// flaws are the messages of the flaws.
var flaws = [...]message.Code{
	"", "level.silent", "level.keyed", "level.not-clean", "level.overloaded", "level.nonsense", "level.regulated",
}

// Message says the flaw; nothing for none.
func (f Flaw) Message() message.Message { return message.Message{Code: flaws[f]} }

// MeanLasts is the time over which the enclosure's detector averages.
const MeanLasts = 100 * time.Millisecond

// SilentAfter is for how long a level may stay the same to the microvolt.
const SilentAfter = 3 * time.Second

// trailed is how many snapshots are remembered: some seconds, for a meter that
// tells late what it means.
const trailed = 64

// State is what is carried from one step to the next. Its zero is the beginning.
type State struct {
	Mean   Mean           // the running mean of the level
	tick   uint64         // of the newest snapshot taken in
	trail  [trailed]wasAt // where the axes were, newest last
	meanAt step.Nanos     // of the newest level in the mean
	came   step.Nanos     // when a meter that isn't the enclosure's sent last
	same   int32          // the detector's reading, and since when it has been so
	sameAt step.Nanos
}

// wasAt is where the axes stood at a moment.
type wasAt struct {
	now  step.Nanos
	axes mount.AxisAngles
}

// Inputs are what a step may know of the moment.
type Inputs struct {
	// At is the time of the sky, Now the loop's time at the same moment.
	At   time.Time
	Now  step.Nanos
	Loop *step.Status
	// TimeScale is how many times as fast as the loop's time the sky's runs; 0 as 1.
	TimeScale int
	Feed      *settings.Feed // in use: what its detector's readings mean
	// AverageS is over how many seconds the level is averaged.
	AverageS float64
	// Other is what a meter that isn't the enclosure's has sent since the last step, meant with HasOther.
	Other    []meter.Sample
	HasOther bool
}

// Step takes in what the meter has shown since the last step, and returns the levels of it, oldest first.
func Step(limits *settings.Meter, s *State, in *Inputs) []Measured {
	fresh := s.follow(in.Loop)
	if in.HasOther {
		return s.readOther(limits, in)
	}
	if !fresh || in.Loop.Motion.DetectorUV == enclosure.DetectorNotFitted {
		return nil
	}
	one := Measured{
		Now:     in.Loop.Link.Snapshot - MeanLasts/2,
		LevelDB: Of(in.Feed, in.Loop.Motion.DetectorUV),
		Flaw:    s.flaw(limits, in.Loop),
	}
	s.complete(&one, in)
	return []Measured{one}
}

// follow takes in where the axes are in a new snapshot; it reports whether it is new.
func (s *State) follow(loop *step.Status) bool {
	if !loop.HasMotion || loop.Link.Replies == s.tick {
		return false
	}
	s.tick = loop.Link.Replies
	copy(s.trail[:], s.trail[1:])
	s.trail[len(s.trail)-1] = wasAt{
		loop.Link.Snapshot,
		mount.AxisAngles{Az: loop.Axes[mount.Azimuth].Position, El: loop.Axes[mount.Elevation].Position},
	}
	return true
}

// complete gives a level its place and takes it into the mean.
func (s *State) complete(one *Measured, in *Inputs) {
	one.At = in.At.Add(-(in.Now - one.Now) * time.Duration(max(1, in.TimeScale)))
	one.Axes = s.axesAt(one.Now)
	one.Trusted = true
	for i := range in.Loop.Axes {
		one.Trusted = one.Trusted && (!in.Loop.Axes[i].Fitted || in.Loop.Axes[i].Trusted)
	}
	if one.Flaw == Sound {
		s.Mean.add(one.LevelDB, float64(one.Now-s.meanAt)/1e9/in.AverageS)
		s.meanAt = one.Now
	}
}

// flaw judges a snapshot.
func (s *State) flaw(limits *settings.Meter, loop *step.Status) Flaw {
	reading := loop.Motion.DetectorUV
	if reading != s.same || s.sameAt == 0 {
		s.same, s.sameAt = reading, loop.Now
	}
	switch {
	case limits.LimitMV > 0 && math.Abs(float64(reading)) >= 1000*limits.LimitMV:
		return Overloaded
	case reading == 0, loop.Now-s.sameAt >= SilentAfter:
		return Silent
	case keyedWithin(limits, loop, 0):
		return Keyed
	case loop.Motion.More&enclosure.MoreClean == 0:
		return NotClean
	}
	return Sound
}

// keyedWithin reports that the station transmitted while a mean was taken whose
// middle is that old, or just before it: such a mean is as long as twice its age.
func keyedWithin(limits *settings.Meter, loop *step.Status, age step.Nanos) bool {
	since := step.Nanos(loop.Motion.SinceKeyed) * time.Millisecond
	return loop.Permit.Keyed || since < 2*age+step.Nanos(limits.AfterKeyedMS)*time.Millisecond
}

// axesAt is where the axes stood, between the ticks around a moment.
func (s *State) axesAt(now step.Nanos) mount.AxisAngles {
	newest := s.trail[len(s.trail)-1]
	for i := len(s.trail) - 2; i >= 0; i-- {
		a, b := s.trail[i], s.trail[i+1]
		if a.now == 0 || b.now-a.now > time.Second {
			break // before it the axes are not known
		}
		if now >= a.now {
			part := max(0, min(1, float64(now-a.now)/float64(b.now-a.now)))
			return mount.AxisAngles{
				Az: a.axes.Az + (b.axes.Az - a.axes.Az).Mul(part),
				El: a.axes.El + (b.axes.El - a.axes.El).Mul(part),
			}
		}
	}
	return newest.axes
}

// Of is the noise level in dB that a detector reading in microvolts stands
// for: by the feed's measured table, where it has one, else by slope and offset.
func Of(feed *settings.Feed, microvolts int32) float64 {
	mv := float64(microvolts) / 1000
	if x, y := feed.DetectorTableMV, feed.DetectorTableDB; len(x) > 1 {
		// Beyond its ends the table goes on as between the last two.
		i := max(1, min(len(x)-1, sort.SearchFloat64s(x, mv)))
		return y[i-1] + (y[i]-y[i-1])*(mv-x[i-1])/(x[i]-x[i-1]) + feed.DetectorOffsetDB
	}
	return mv/feed.DetectorSlopeMVPerDB + feed.DetectorOffsetDB
}

// PowerOf is linear power for a level in dB.
func PowerOf(levelDB float64) float64 { return math.Pow(10, levelDB/10) }

// Mean is the running mean of the noise level, of linear power.
type Mean struct {
	linear float64
	has    bool
}

// add takes a level in that came after that part of the averaging time.
func (a *Mean) add(levelDB, part float64) {
	power := PowerOf(levelDB)
	if !a.has {
		a.linear, a.has = power, true
		return
	}
	a.linear += max(0, min(1, part)) * (power - a.linear)
}

// DB is the mean in dB, NaN before the first clean sample.
func (a *Mean) DB() float64 {
	if !a.has {
		return math.NaN()
	}
	return 10 * math.Log10(a.linear)
}
