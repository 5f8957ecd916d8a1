package plant

import (
	"time"

	"beamhelm/drive/enclosure"
)

// Transmitter is sequencer and amplifier with who works them.
type Transmitter struct {
	// PeriodS is the length of a turn, counted from the UTC minute; in the
	// first of each two, or the second, somebody wants to send.
	PeriodS   float64
	OursFirst bool
	Sending   bool
	// ChangeS is the time between receive and transmit, either way, in which
	// preamplifier and relay are switched.
	ChangeS float64
	// MinRelayV: below it the sequencer refuses to send.
	MinRelayV float64
	// ReflectedPart of the forward power comes back.
	ReflectedPart float64
	// AmplifierV and AmplifierEfficiency give the current; HighVoltageV of a
	// valve stage, 0: none. FlowLPerMin of the coolant.
	AmplifierV, AmplifierEfficiency, HighVoltageV, FlowLPerMin float64
}

// DefaultTransmitter sends in the first of two turns of a minute, when it may.
func DefaultTransmitter() Transmitter {
	return Transmitter{
		PeriodS: 60, OursFirst: true, Sending: true, ChangeS: 0.3, MinRelayV: 20, ReflectedPart: 0.012,
		AmplifierV: 50, AmplifierEfficiency: 0.45, HighVoltageV: 2400, FlowLPerMin: 6.2,
	}
}

func (t *Transmitter) validate() error {
	return examine([]check{
		{"transmit period", t.PeriodS, 5, 3600, " s"},
		{"time to change over", t.ChangeS, 0.01, 5, " s"},
		{"minimum relay supply", t.MinRelayV, 0, 60, " V"},
		{"reflected part", t.ReflectedPart, 0, 1, ""},
		{"amplifier supply", t.AmplifierV, 1, 300, " V"},
		{"amplifier efficiency", t.AmplifierEfficiency, 0.05, 1, ""},
		{"high voltage", t.HighVoltageV, 0, 30000, " V"},
		{"coolant flow", t.FlowLPerMin, 0, 300, " L/min"},
	})
}

// ours says whether a moment lies in our turn.
func (t *Transmitter) ours(now time.Time) bool {
	period := time.Duration(t.PeriodS * float64(time.Second))
	inPair := time.Duration(now.UnixNano()) % (2 * period)
	if inPair < 0 {
		inPair += 2 * period
	}
	return (inPair < period) == t.OursFirst
}

// sequencer is the state of the change-over: one of enclosure's, receive to
// going to transmit to transmit to going to receive; fault from any of them,
// and from fault to receive when its cause is gone.
type sequencer struct {
	state int
	left  float64 // of a change, seconds
}

// move takes it h seconds on. wanted: somebody sends and may; faulty: its own fault.
func (s *sequencer) move(t *Transmitter, wanted, faulty bool, h float64) {
	s.left = max(0, s.left-h)
	next := s.state
	switch {
	case faulty:
		next = enclosure.SequencerFault
	case s.state == enclosure.SequencerFault:
		next = enclosure.SequencerReceive
	case s.state == enclosure.SequencerReceive && wanted:
		next = enclosure.SequencerGoingToTransmit
	case s.state == enclosure.SequencerGoingToTransmit && wanted && s.left == 0:
		next = enclosure.SequencerTransmit
	case (s.state == enclosure.SequencerTransmit || s.state == enclosure.SequencerGoingToTransmit) && !wanted:
		next = enclosure.SequencerGoingToReceive
	case s.state == enclosure.SequencerGoingToReceive && s.left == 0:
		next = enclosure.SequencerReceive
	}
	if next != s.state {
		s.state, s.left = next, t.ChangeS
	}
}

func (s *sequencer) keyed() bool { return s.state == enclosure.SequencerTransmit }
