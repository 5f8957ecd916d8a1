package watching

import (
	"math"
	"slices"
	"strconv"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
)

const (
	// unpermittedFor is how long a permit or a transmission may outlast the order for it: an exchange or two, a
	// sequencer that goes back to receive, and readings that come twice a second.
	unpermittedFor = 1500 * time.Millisecond
	// standsFor is for how long after it what lasted stands in the alarms: a transmission without a permit would be a
	// new one with each over.
	standsFor = 10 * time.Second
	// implausibleFor is how long a reading must be out of bounds: one that is spoilt on the way tells nothing.
	implausibleFor = 3 * time.Second
	// radiatesW is the forward power from which something is transmitted, whatever a detector shows at rest.
	radiatesW = 20
)

// lasting is something that is told once it has lasted for a while, short breaks included, and for standsFor after it.
type lasting struct {
	since, last step.Nanos // 0: it isn't so
}

func (l *lasting) told(now step.Nanos, holds bool, lasts time.Duration) bool {
	switch {
	case holds && l.since == 0:
		l.since, l.last = now, now
	case holds:
		l.last = now
	case now-l.last > standsFor:
		*l = lasting{}
	}
	return l.since != 0 && l.last-l.since >= lasts
}

// unpermitted are a permit that nobody ordered, and what is transmitted without one. The panel can do no more about
// them than say so: its order is off.
func (w *work) unpermitted() (standing []alarm.Condition) {
	loop := w.in.Loop
	w.s.Permits = w.s.Permits || loop.Permit.Ordered
	current := loop.Link.State.Live()
	given := current && loop.Permit.Granted && !loop.Permit.Ordered
	told := w.s.given.told(w.in.Now, given, unpermittedFor)
	if w.s.Unordered = told && given; told {
		standing = append(standing, alarm.Condition{
			Key: "unordered", Event: true, Grade: alarm.Alarm, Words: message.Of("permit.not-ordered"),
			Next: message.Of("permit.not-ordered.next"),
		})
	}
	keyed, power, inTransmit := loop.Permit.Keyed, math.NaN(), false
	if !w.stale() {
		power = loop.Readings.Value(enclosure.ForwardPower)
		inTransmit = loop.Readings.Value(enclosure.Sequencer) == enclosure.SequencerTransmit
	}
	holds := current && !loop.Permit.Ordered && (keyed || inTransmit || power >= radiatesW)
	switch {
	case !holds:
	case keyed:
		w.s.radiates = message.Of("transmit.unpermitted")
	case inTransmit:
		w.s.radiates = message.Of("transmit.unpermitted-sequencer")
	default:
		w.s.radiates = message.Of("transmit.unpermitted-power")
	}
	if !w.s.unpermitted.told(w.in.Now, holds, unpermittedFor) {
		return standing
	}
	c := alarm.Condition{
		Key: "unpermitted", Event: true, Grade: alarm.Warning, Words: w.s.radiates,
		Next: message.Of("transmit.unpermitted.next"),
	}
	if w.s.Permits { // else the station may well not use it
		c.Grade = alarm.Alarm
	}
	if loop.Working {
		c.Grade, c.Next = alarm.Alarm, message.Of("transmit.unpermitted-working.next")
	}
	return append(standing, c)
}

// stale says that the readings are too old to judge by.
func (w *work) stale() bool {
	return slices.ContainsFunc(w.in.Loop.Findings[:w.in.Loop.FindingCount], func(f guard.Finding) bool {
		return f.Code == guard.ReadingsStale
	})
}

// refusing is an enclosure that answers, and refuses what it is asked: the line is not what is wrong.
func (w *work) refusing() (standing []alarm.Condition) {
	refused := w.in.Around.Line.Refused
	if refused == "" || w.in.Loop.Link.State != step.LinkLost {
		return nil
	}
	return []alarm.Condition{{
		Key: "refused", Event: true, Grade: alarm.Alarm, Words: message.Of("link.refuses", message.Text(refused)),
		Next: message.Of("link.refuses.next"),
	}}
}

// implausible are readings that no sensor can mean: they count as missing.
func (w *work) implausible() (standing []alarm.Condition) {
	for i := range enclosure.ReadingCount {
		value, implausible := w.in.Loop.Readings.Implausible(i)
		if !w.s.implausible[i].told(w.in.Now, implausible && w.in.Loop.Link.State.Live(), implausibleFor) {
			continue
		}
		d := enclosure.Describe(i)
		standing = append(standing, alarm.Condition{
			Key: "implausible " + strconv.Itoa(i), Event: true, Grade: alarm.Warning,
			Words: message.Of("reading.implausible", ReadingName(i),
				message.Text(strconv.FormatFloat(value, 'f', d.Decimals, 64)+" "+d.Unit)),
			Next: message.Of("reading.implausible.next"),
		})
	}
	return standing
}
