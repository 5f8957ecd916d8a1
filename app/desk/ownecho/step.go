package ownecho

import (
	"time"

	"beamhelm/app/echotest"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/ephem/echo"
)

// Inputs are what a step may know of the moment.
type Inputs struct {
	// At is the time of the sky, UTC; Now the same moment by a clock that nobody sets.
	At  time.Time
	Now time.Duration
	// Start is the operator's press for this run; End ends it, and so does Stop.
	Start, End, Stop bool
	// Permit says that the transmit permit is given; Keyed is the enclosure's own bit.
	Permit, Keyed bool
	LinkGood      bool // the link to the enclosure; else Keyed isn't known
	Tripped       bool
	WindowAlive   bool
	MoonUp        bool
	AtDish        bool // somebody works at the dish
	Practice      bool // with the simulated dish
	Simulated     bool // transmitter and line are simulated as well
	// SoundReady says that audio goes both ways, with its time; KeyerReady that the line is there and without trouble.
	SoundReady, KeyerReady bool
	// Place is the place of a peak at which the beam stands, -1 on the way; Off where the beam is from the target, trim
	// included.
	Place int
	Off   mount.Offset
}

// Tone is one to be handed to the sound system: At is when its first sample is due there.
type Tone struct {
	At    time.Time
	Lasts time.Duration
	Hz    float64
}

// Outputs are what a step asks for. Key is done first.
type Outputs struct {
	// Key is whether the line is to be high, now and until the next step.
	Key bool
	// Tone is to be played, with HasTone; Silence drops every tone that is still to come.
	Tone    Tone
	HasTone bool
	Silence bool
	// Withdraw asks for the permit's end; StillKeyed says why: the transmitter stays keyed though the line is low.
	Withdraw, StillKeyed bool
	// Countdown is how long until the operator keys (or, with KeyNow, unkeys) by hand.
	Countdown time.Duration
	KeyNow    bool
	// Refused is why a press came to nothing, Ended why a run ended in this step.
	Refused, Ended message.Message
	// Complete says that the run that ended has done all of its cycles.
	Complete bool
}

// State is what is carried from one step to the next.
type State struct {
	Running bool
	Began   time.Time
	// Done is how many cycles have begun, Keyed for how long the line has been high in this run.
	Done  int
	Keyed time.Duration
	// Plan are the cycles that count: those in which the enclosure's bit rose and fell where it should.
	Plan []Counted
	// Place is where the beam should be for the cycle that comes or is under way; Moving: it is waited for.
	Place  int
	Moving bool

	begins   time.Time // of the cycle under way, or of the one that comes
	burst    Burst
	toneHz   float64
	toneSent bool // its tone was handed over
	rose     bool // the enclosure's bit rose in it
	early    bool // it was up already before the cycle
	missed   int  // cycles in a row that don't count
	high     bool
	dropped  time.Duration // when the line was dropped, by Now
	at       time.Time
	now      time.Duration
	left     time.Duration // when the beam was sent to its place, by Now
	off      mount.Offset  // the sum of where the beam was in the cycle
	offs     float64       // of how many steps
}

// Counted is a cycle that counts: what the recording should hold of it, and with the beam at which place of a peak,
// where it was from the target on the average.
type Counted struct {
	echotest.Cycle
	Place int
	Off   mount.Offset
}

// The limits of what a step lets pass.
const (
	// clockSlip is by how much the time of the sky may differ from that of the other clock from step to step.
	clockSlip = 100 * time.Millisecond
	// lateStep is the longest time between two steps in a run.
	lateStep = 500 * time.Millisecond
	// ahead is how long before its time a tone is handed over.
	ahead = 2500 * time.Millisecond
	// stillKeyed is how long the transmitter may take to go back to receive.
	stillKeyed = 500 * time.Millisecond
	// maxMissed is how many cycles in a row may not count.
	maxMissed = 3
	// quiet is the rest of a cycle, after its echo.
	quiet = 500 * time.Millisecond
	// lateBegin is how late a cycle may begin.
	lateBegin = 120 * time.Millisecond
	// maxWay is how long the beam may take from one place of a peak to the next.
	maxWay = time.Minute
)

// Step goes on to the moment of the inputs.
func Step(c *Config, s *State, in *Inputs) (out Outputs) {
	defer func() { s.at, s.now = in.At, in.Now }()
	if in.Start && !s.Running {
		if out.Refused = refusal(c, in); out.Refused.Code == "" {
			*s = State{Running: true, Began: in.At, at: in.At, now: in.Now}
			if s.Moving, s.left = c.Peak, in.Now; !c.Peak {
				s.prepare(c, firstCycle(in.At))
			}
		}
	}
	if !s.Running {
		s.watchKeyed(in, &out)
		return out
	}
	if why := s.ending(in); why.Code != "" {
		s.end(in, &out, why)
		return out
	}
	if s.high {
		s.Keyed += in.Now - s.now
	}
	if s.Moving {
		s.comes(c, in, &out)
	} else {
		s.cycle(c, in, &out)
	}
	s.watchKeyed(in, &out)
	return out
}

// comes waits until the beam stands where it should; nothing is keyed meanwhile.
func (s *State) comes(c *Config, in *Inputs, out *Outputs) {
	switch {
	case in.Place == s.Place:
		s.Moving = false
		s.prepare(c, firstCycle(in.At))
	case in.Now-s.left > maxWay:
		s.end(in, out, message.Of("desk.beam-late"))
	}
}

// watchKeyed looks whether the transmitter goes back to receive when the line falls.
func (s *State) watchKeyed(in *Inputs, out *Outputs) {
	if out.Key || s.high || s.dropped == 0 || !in.LinkGood {
		return
	}
	switch {
	case !in.Keyed:
		s.dropped = 0
	case in.Now-s.dropped >= stillKeyed:
		s.dropped = 0
		if s.Running {
			s.end(in, out, message.Of("echoes.run.still-keyed"))
		}
		out.Withdraw, out.StillKeyed = true, true
	}
}

// standing is what must hold all through a run, as it is told when it doesn't.
func standing(in *Inputs) message.Message {
	for _, row := range [...]struct {
		bad  bool
		code message.Code
	}{
		{in.Practice && !in.Simulated, "echoes.run.practice"},
		{in.AtDish, "desk.at-dish"},
		{in.Tripped, "echoes.run.trip"},
		{!in.LinkGood, "echoes.run.link-lost"},
		{!in.Permit, "echoes.run.no-permit"},
		{!in.WindowAlive, "echoes.run.window-hangs"},
		{!in.MoonUp, "echoes.run.moon-low"},
		{!in.SoundReady, "echoes.run.no-sound"},
		{!in.KeyerReady, "echoes.run.no-line"},
	} {
		if row.bad {
			return message.Of(row.code)
		}
	}
	return message.Message{}
}

// refusal is why a run can't begin.
func refusal(c *Config, in *Inputs) message.Message {
	if err := c.Validate(); err != nil {
		return message.OfError(err)
	}
	if why := standing(in); why.Code != "" {
		return why
	}
	switch {
	case in.Stop || in.End:
		return message.Of("desk.stop-pressed")
	case in.Keyed:
		return message.Of("echoes.run.keyed-already")
	case c.Keyed() > MaxKeyed:
		return message.Of("echoes.run.would-last")
	}
	return message.Message{}
}

// ending is why a run ends now; empty where it goes on.
func (s *State) ending(in *Inputs) message.Message {
	switch { // first: with a Stop the beam leaves the Moon and the permit goes, which is not why
	case in.Stop:
		return message.Of("desk.stop-pressed")
	case in.End:
		return message.Of("desk.ended-by-operator")
	}
	if why := standing(in); why.Code != "" {
		return why
	}
	slip := in.At.Sub(s.at) - (in.Now - s.now)
	switch {
	case in.Now-s.now > lateStep:
		return message.Of("echoes.run.late")
	case slip > clockSlip || slip < -clockSlip:
		return message.Of("echoes.run.clock-set")
	case s.Keyed >= MaxKeyed:
		return message.Of("echoes.run.transmitted-long")
	case in.At.Sub(s.Began) >= MaxDuration:
		return message.Of("echoes.run.lasted-long")
	}
	return message.Message{}
}

// end ends a run: the key falls in this very step.
func (s *State) end(in *Inputs, out *Outputs, why message.Message) {
	if s.high {
		s.dropped = in.Now
	}
	s.Running, s.high, s.Moving = false, false, false
	*out = Outputs{Silence: true, Ended: why, Withdraw: out.Withdraw, StillKeyed: out.StillKeyed}
}

// firstCycle is the beginning of a cycle whose tone can still be handed over in time.
func firstCycle(at time.Time) time.Time {
	begins := at.Truncate(Cycle)
	for begins.Sub(at) < ahead {
		begins = begins.Add(Cycle)
	}
	return begins
}

// prepare makes the cycle that begins at a moment the one that comes.
func (s *State) prepare(c *Config, begins time.Time) {
	s.begins, s.toneSent, s.rose, s.early = begins, false, false, false
	s.off, s.offs = mount.Offset{}, 0
	s.toneHz = c.ToneHz + c.dither(s.Done)
}

// cycle goes through the cycle that comes or is under way.
func (s *State) cycle(c *Config, in *Inputs, out *Outputs) {
	since := in.At.Sub(s.begins)
	if !s.toneSent && since >= -ahead {
		burst, err := c.BurstAt(s.begins)
		if err != nil {
			s.end(in, out, message.OfError(err))
			return
		}
		s.burst, s.toneSent = burst, true
		s.Done++
		out.HasTone, out.Tone = true, Tone{At: s.begins.Add(burst.Start), Lasts: burst.Lasts, Hz: s.toneHz}
	}
	within := s.toneSent && since >= 0 && since < s.burst.KeyOff
	late := within && !s.high && since > lateBegin // a transmission isn't begun in its middle
	if c.ByHand {
		out.KeyNow = within
		out.Countdown = -since
		if within {
			out.Countdown = s.burst.KeyOff - since
		}
	} else {
		out.Key = within && !late
	}
	switch {
	case out.Key:
		s.high = true
	case s.high:
		s.high, s.dropped = false, in.Now
	}
	s.early = s.early || since < 0 && in.Keyed
	s.rose = s.rose || in.Keyed && since >= 0 && since < s.burst.KeyOff
	if since >= 0 && since < Cycle-quiet {
		s.off, s.offs = s.off.Plus(in.Off), s.offs+1
	}
	// The echo of the last cycle at a place is heard before the beam leaves it.
	last := s.Done >= c.Cycles || c.placeOf(s.Done) != s.Place
	if !last && since >= Cycle-ahead || since >= Cycle-quiet {
		s.close(c, in, out)
	}
}

// close counts the cycle that is over, and prepares the next or ends the run.
func (s *State) close(c *Config, in *Inputs, out *Outputs) {
	if s.rose && !s.early && !in.Keyed {
		s.Plan = append(s.Plan, Counted{s.planned(c), s.Place,
			mount.Offset{Cross: s.off.Cross.Div(max(1, s.offs)), El: s.off.El.Div(max(1, s.offs))}})
		s.missed = 0
	} else if s.missed++; s.missed >= maxMissed {
		s.end(in, out, message.Of("echoes.run.not-keyed"))
		return
	}
	if s.Done >= c.Cycles {
		s.end(in, out, message.Message{})
		out.Complete = true
		return
	}
	if next := c.placeOf(s.Done); next != s.Place {
		s.Place, s.Moving, s.left = next, true, in.Now
		return
	}
	s.prepare(c, s.begins.Add(Cycle))
}

// planned is what the recording should hold of this cycle, in seconds from the run's beginning; delay and shift are
// those of the middle of its tone.
func (s *State) planned(c *Config) echotest.Cycle {
	b := s.burst
	onAir := s.begins.Add(b.Start + c.Playback)
	seconds := func(at time.Time) float64 { return at.Sub(s.Began).Seconds() }
	sentHz := c.TransmitHz + s.toneHz
	path := echo.PathFrom(c.Sky, c.Here, c.Here, onAir.Add(b.Lasts/2))
	return echotest.Cycle{
		KeyS: seconds(s.begins), KeyOffS: seconds(s.begins.Add(b.KeyOff)), ToneStartS: seconds(onAir),
		ToneS:  b.Lasts.Seconds(),
		ToneHz: s.toneHz, EchoStartS: seconds(onAir.Add(b.EchoAfter)),
		EchoMidHz:   sentHz + path.DopplerHz(sentHz) - c.ReceiveHz,
		DriftHzPerS: echo.DriftHzPerS(c.Sky, c.Here, c.Here, sentHz, path.Received),
	}
}
