package echorun

import (
	"time"

	"beamhelm/app/audio/spectrum"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/message"
	"beamhelm/ending"
)

// answer is what was found in the recording of a run.
type answer struct {
	run   uint64
	found ownecho.Result
	final bool
}

// tell publishes how the run stands.
func (s *Station) tell(in *ownecho.Inputs, out *ownecho.Outputs) {
	p := &s.now
	if in.Start {
		*p = ownecho.Progress{Run: s.asked, Refused: out.Refused}
		s.looked, s.counted, s.toneTrouble = 0, 0, ""
	}
	p.Has, p.Trouble = true, s.keyerTrouble()
	if p.Trouble == "" {
		p.Trouble = s.soundTrouble()
	}
	if p.Trouble == "" && s.state.Running {
		p.Trouble = s.toneTrouble
	}
	ended := p.Running && !s.state.Running
	p.Running, p.Key, p.KeyNow, p.Countdown = s.state.Running, out.Key, out.KeyNow, out.Countdown
	if p.Running || ended {
		p.Done, p.Counted, p.Keyed = s.state.Done, len(s.state.Plan), s.state.Keyed
		p.Place, p.Moving = s.state.Place, s.state.Moving
		p.Left = s.state.Left(&s.request.Config, in.At)
	}
	if ended {
		p.Ended, p.Complete, s.ended = out.Ended, out.Complete, time.Now()
	}
	p.StillKeyed = p.StillKeyed || out.StillKeyed
	published := *p
	s.progress.Store(&published)
}

// hears is for how long after its middle the newest echo may still come: what the sound system has not yet handed over.
const hears = 700 * time.Millisecond

// comes is how long after its cycle was counted an echo has come in: that is when the transmission is judged.
const comes = 2200 * time.Millisecond

// look has the recording looked through when it is time.
func (s *Station) look() {
	if s.request == nil || s.looking || s.now.Final || s.now.Run != s.asked {
		return
	}
	counted := len(s.state.Plan)
	if counted != s.counted {
		s.counted, s.countedAt = counted, time.Now()
	}
	over := !s.state.Running
	looks, due := ownecho.LooksOf(s.request.Config.Cycles, counted)
	switch {
	case over && s.now.Refused.Code != "":
		return
	case over && time.Since(s.ended) < hears:
		return
	case over && counted == 0:
		s.take(answer{run: s.asked, final: true, found: ownecho.Result{NoiseProbability: 1,
			Why: message.Of("echoes.no-cycle-counts")}})
		return
	case !over && (!due || counted <= s.looked || time.Since(s.countedAt) < comes):
		return
	}
	s.looked, s.looking = counted, true
	began, run, request := s.began, s.asked, s.request
	cycles := append([]ownecho.Counted(nil), s.state.Plan...)
	s.detection.Go("own echoes found", func() {
		ending.Here("own echoes found")
		s.answers <- answer{run: run, final: over, found: s.find(request, began, cycles, looks, over)}
	})
}

// find looks for the echoes of a run that began at a moment; where it is over, at each place of a peak as well.
func (s *Station) find(r *ownecho.Request, began time.Time, cycles []ownecho.Counted, looks int,
	over bool) ownecho.Result {
	from, to := s.c.Tape.Oldest(), s.c.Tape.Written()
	first, ok := s.c.Tape.TimeOf(from)
	if !ok {
		return ownecho.Result{NoiseProbability: 1, Why: message.Of("echoes.not-recorded")}
	}
	if skip := began.Sub(first); skip > 0 { // from about the run's beginning on; each sample has its time
		from = min(to, from+int64(skip.Seconds()*spectrum.Rate))
		if first, ok = s.c.Tape.TimeOf(from); !ok {
			return ownecho.Result{NoiseProbability: 1, Why: message.Of("echoes.not-recorded")}
		}
	}
	heard := make([]float32, to-from)
	if !s.c.Tape.Read(from, heard) {
		return ownecho.Result{NoiseProbability: 1, Why: message.Of("echoes.recording-gone")}
	}
	samples := make([]float64, len(heard))
	for i, x := range heard {
		samples[i] = float64(x)
	}
	if r.Config.Peak && over {
		return ownecho.JudgePeak(samples, spectrum.Rate, began.Sub(first), cycles, r, looks)
	}
	return ownecho.Judge(samples, spectrum.Rate, began.Sub(first), cycles, r, looks)
}

// take takes an answer in.
func (s *Station) take(a answer) {
	s.looking = false
	if a.run != s.asked {
		return
	}
	found := a.found
	found.Done, found.Complete, found.KeyedS = s.now.Done, s.now.Complete, s.now.Keyed.Seconds()
	s.now.Found, s.now.Final = &found, a.final
	published := s.now
	s.progress.Store(&published)
}
