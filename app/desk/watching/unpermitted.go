package watching

import (
	"strconv"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/step"
)

const (
	// unpermittedFor is how long a permit or a transmission may outlast the order for it: an exchange or two, a
	// sequencer that goes back to receive, and readings that come twice a second.
	unpermittedFor = 1500 * time.Millisecond
	// radiatesW is the forward power from which something is transmitted, whatever a detector shows at rest.
	radiatesW = 20
)

// unpermitted are a permit that nobody ordered, and what is transmitted without one. The panel can do no more about
// them than say so: its order is off.
func (w *work) unpermitted() (standing []alarm.Condition) {
	loop := w.in.Loop
	current := loop.Link.State == step.LinkGood || loop.Link.State == step.LinkWaiting
	since := func(at *step.Nanos, holds bool) bool {
		switch {
		case !holds:
			*at = 0
		case *at == 0:
			*at = w.in.Now
		}
		return *at != 0 && w.in.Now-*at >= unpermittedFor
	}
	w.s.Unordered = since(&w.s.permitAt, current && loop.Permit.Granted && !loop.Permit.Ordered)
	if w.s.Unordered {
		standing = append(standing, alarm.Condition{
			Key: "unordered", Event: true, Grade: alarm.Alarm, Words: message.Of("permit.not-ordered"),
			Next: message.Of("permit.not-ordered.next"),
		})
	}
	keyed, power := loop.Permit.Keyed, loop.Readings.Value(enclosure.ForwardPower)
	inTransmit := loop.Readings.Value(enclosure.Sequencer) == enclosure.SequencerTransmit
	unordered := current && !loop.Permit.Ordered
	if !since(&w.s.radiatesAt, unordered && (keyed || inTransmit || power >= radiatesW)) {
		return standing
	}
	c := alarm.Condition{
		Key: "unpermitted", Event: true, Grade: alarm.Alarm, Words: message.Of("transmit.unpermitted-power"),
		Next: message.Of("transmit.unpermitted.next"),
	}
	switch {
	case keyed:
		c.Words = message.Of("transmit.unpermitted")
	case inTransmit:
		c.Words = message.Of("transmit.unpermitted-sequencer")
	}
	if loop.Working {
		c.Next = message.Of("transmit.unpermitted-working.next")
	}
	return append(standing, c)
}

// implausible are readings that no sensor can mean: they count as missing.
func (w *work) implausible() (standing []alarm.Condition) {
	for i := range enclosure.ReadingCount {
		value, implausible := w.in.Loop.Readings.Implausible(i)
		if !implausible {
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
