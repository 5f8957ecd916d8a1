package noise

import (
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// replayed is the strip of a moment that is replayed, made of what the records hold up to it.
type replayed struct {
	history *history // nil while nothing is replayed
	at      time.Time
	heard   []desk.NoiseSample
	taken   int // of these
}

// sameTrace is how long a level that is recorded each second may stand at the strip's end.
const sameTrace = 2 * time.Second

// take brings the strip to the moment that is replayed, forwards or back.
func (r *replayed) take(now view.Now) {
	if now.Replay == "" {
		*r = replayed{}
		return
	}
	another := len(now.Heard) != len(r.heard) || len(r.heard) > 0 && &now.Heard[0] != &r.heard[0]
	if r.history == nil || another || now.At.Before(r.at) {
		*r = replayed{history: &history{}, heard: now.Heard}
	}
	r.at = now.At
	for ; r.taken < len(now.Heard) && !now.Heard[r.taken].At.After(now.At); r.taken++ {
		r.history.add(now.Heard[r.taken])
	}
	if last := r.taken - 1; last < 0 || now.At.Sub(now.Heard[last].At) > sameTrace {
		r.history.add(desk.NoiseSample{At: now.At}) // nothing was heard: the strip ends at the moment all the same
	}
}

// shown is the history that is drawn.
func (p *Pane) shown() *history {
	if p.replay.history != nil {
		return p.replay.history
	}
	return &p.history
}
