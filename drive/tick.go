package drive

import (
	"context"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
	"beamhelm/ending"
)

// Tick makes one tick: Step on the newest reply, publish, one exchange, and,
// where there is time before the next tick or it has waited too long, one more
// for identity or readings. Now is the loop's time, wall the system's.
func (l *Loop) Tick(now step.Nanos, wall time.Time) { l.tick(now, now+l.config.Tick, wall, 0) }

// LateTick is Tick for one that began late by some time.
func (l *Loop) LateTick(now step.Nanos, wall time.Time, late step.Nanos) {
	l.tick(now, now+l.config.Tick, wall, late)
}

// tick is Tick where the next one is due at next and this one began late. It
// returns when the next one is due after all.
func (l *Loop) tick(now, next step.Nanos, wall time.Time, late step.Nanos) step.Nanos {
	in := &l.inputs
	in.Now, in.WallNanos, in.LateBy = now, wall.UnixNano(), late
	l.gather(in)
	l.record(in)
	out := step.Step(&l.config, &l.state, in)
	l.freeze()
	l.publish()
	in.Reply.Fresh = false

	request := Request{Ask: AskMotion, Demand: out.Demand, At: now, Deadline: now + l.config.Tick*9/10}
	if out.SlowDue {
		request.Ask, request.Slow = AskSlow, out.Slow
	}
	reply := l.exchange.Exchange(request)
	if reply.Split {
		l.slowDown()
	}
	if reply.Err != nil {
		if l.stranger(now) {
			l.identify(now, max(next, now+l.config.Tick))
		}
		return next
	}
	in.Reply = step.Reply{Fresh: true, Motion: reply.Motion, SentAt: reply.SentAt, ReceivedAt: reply.ReceivedAt}
	return l.extra(&reply, next)
}

// splitTick is the time between ticks where an exchange takes two requests.
const splitTick = 200 * time.Millisecond

// slowDown lengthens the ticks for an enclosure that needs two requests for
// each exchange, and what depends on them; the record begins again with it.
func (l *Loop) slowDown() {
	c := &l.config
	if c.Tick >= splitTick {
		return
	}
	c.Tick = splitTick
	c.Watchdog = max(c.Watchdog, 3*splitTick)
	c.JogLife = max(c.JogLife, 2*splitTick)
	l.mu.Lock()
	l.recorder.restart(*c)
	l.mu.Unlock()
}

// publish makes the newest status and events known.
func (l *Loop) publish() {
	status := new(step.Status)
	l.state.View(&l.config, &l.inputs, status)
	status.Lateness = l.lateness.view()
	l.mu.Lock()
	known := uint64(0)
	if n := len(l.events); n > 0 {
		known = l.events[n-1].Number
	}
	for n := known + 1; n <= l.state.Event; n++ {
		l.events = append(l.events, l.state.Events[n%step.MaxEvents])
	}
	if n := len(l.events); n > 2*maxEvents {
		l.events = append([]step.Event(nil), l.events[n-maxEvents:]...)
	}
	l.mu.Unlock()
	l.status.Store(status)
	select {
	case l.ticked <- struct{}{}:
	default:
	}
}

// cycle decides which extra exchange is due.
type cycle struct {
	due  step.Nanos
	part uint8
	cost step.Nanos // how long the last one took
}

const (
	// readingsEvery is the time between two extra exchanges: each of the two
	// blocks of readings is read twice a second.
	readingsEvery = 250 * time.Millisecond
	// readingsOverdue is how long they may wait for a tick with room for them.
	// Then a tick is lengthened: a slow line must not starve them.
	readingsOverdue = 250 * time.Millisecond
)

// extra makes one exchange between two ticks, where it fits or has waited too
// long, and no Stop waits. It returns when the next tick is due.
func (l *Loop) extra(tick *Reply, next step.Nanos) step.Nanos {
	in, r, at := &l.inputs, &l.readings, tick.ReceivedAt
	who := l.stranger(at) || in.Identity.StartCounter != in.Reply.Motion.StartCounter
	if l.stopping.Load() || !who && at < r.due {
		return next
	}
	cost := max(at-tick.SentAt, r.cost)
	deadline := next - time.Millisecond
	if at+cost+2*time.Millisecond > next {
		if !who && at < r.due+readingsOverdue {
			return next
		}
		deadline = at + min(2*cost, l.config.Tick)
	}
	work := l.read
	if who {
		work = l.identify
	}
	return max(next, work(at, deadline)+time.Millisecond)
}

// read reads that half of the readings whose turn it is, and returns when that was over.
func (l *Loop) read(at, deadline step.Nanos) (ended step.Nanos) {
	r, half := &l.readings, l.readings.part
	ask := [...]Ask{AskReadings, AskMoreReadings}[half]
	r.part ^= 1
	r.due = max(r.due+readingsEvery, at)
	reply := l.exchange.Exchange(Request{Ask: ask, At: at, Deadline: deadline})
	if reply.Err != nil {
		return deadline
	}
	r.cost = reply.ReceivedAt - reply.SentAt
	l.inputs.Readings.Merge(&reply.Readings)
	l.inputs.ReadingsAt[half] = reply.ReceivedAt
	return reply.ReceivedAt
}

// identifyAgain is how often an enclosure that can't be driven is asked who it is: its firmware may be put right.
const identifyAgain = 2 * time.Second

// stranger reports that it is to be asked who is at the other end: nothing is known of it, or it was none that can be
// driven.
func (l *Loop) stranger(now step.Nanos) bool {
	return !l.inputs.HasIdentity || l.state.Guard.Stands(guard.WrongMap) && now-l.identified >= identifyAgain
}

// identify reads who is at the other end, and returns when that was over.
func (l *Loop) identify(at, deadline step.Nanos) (ended step.Nanos) {
	l.identified = at
	reply := l.exchange.Exchange(Request{Ask: AskIdentity, At: at, Deadline: deadline})
	if reply.Err != nil {
		return deadline
	}
	l.inputs.Identity, l.inputs.HasIdentity = reply.Identity, true
	return reply.ReceivedAt
}

// Shut sends zero drive and power off, three times at most until it is
// accepted, which AtRest tells. It is the last thing a loop does, in whatever way it ends.
func (l *Loop) Shut(now step.Nanos) {
	for range 3 {
		demand := enclosure.Demand{WatchdogMillis: uint16(l.config.Watchdog / time.Millisecond)}
		reply := l.exchange.Exchange(Request{Ask: AskMotion, Demand: demand, At: now, Deadline: now + l.config.Tick})
		if reply.Err == nil {
			l.atRest.Store(true)
			return
		}
		now += l.config.Tick
	}
}

// Run ticks in real time until the context ends, at absolute deadlines: a late
// tick does not shift those after it, and ticks that were missed whole are not made up.
func (l *Loop) Run(ctx context.Context) error {
	if l.began.IsZero() {
		l.began = time.Now()
	}
	defer func() { l.Shut(time.Since(l.began)) }()
	next := time.Since(l.began)
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		woken := false
		select {
		case <-ctx.Done():
			return nil
		case <-l.wake:
			woken = true
		case <-timer.C:
		}
		ending.Here("loop")
		now := time.Since(l.began)
		late := max(0, now-next)
		if woken {
			late = 0
		} else {
			l.lateness.add(late)
		}
		tick := l.config.Tick
		next += tick
		if woken || next <= now {
			next = now + tick
		}
		next = l.tick(now, next, l.wall(), late)
		timer.Reset(next - time.Since(l.began))
	}
}
