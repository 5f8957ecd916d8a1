package plant

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// Encoder is how an axis is measured.
type Encoder struct {
	// Pulses a turn of each track, every one four counts; Ratio turns of the
	// encoder for one of what it sits on. Both may be any decimal.
	Pulses, Ratio float64
	// Direction is +1 where counts rise with the angle, else -1.
	Direction int
	// OnMotor: it sits on the motor side and doesn't see the backlash.
	OnMotor bool
	// Absolute: counts are the same after every start. Survive: an incremental
	// counter is kept through power loss.
	Absolute, Survive bool
	// Zero is the angle of edge 0 of an absolute encoder. An incremental one
	// begins anywhere.
	Zero unit.Angle
	// Uneven is the most by which an edge is misplaced, counts: a part that
	// returns every four edges, from the two tracks, and a smaller one of each edge.
	Uneven float64
}

// step of a count, rad.
func (e *Encoder) step() float64 { return 2 * math.Pi / (e.Pulses * 4 * e.Ratio) }

// What may be wrong with an encoder.
type encoderFaults struct {
	dead, loose bool
	damaged     float64 // part of the lines of one track
	phase       float64 // chance that both tracks change at once
	glitches    float64 // a second
}

// reader is an encoder and its counter.
type reader struct {
	per       float64    // counts for a rad, with the sign of the direction
	pattern   [4]float64 // misplacement of the edges of a cycle
	jitter    float64
	seed      uint64
	zero      float64 // angle of edge 0 of the disc
	line      int64   // count of the disc: between edge line and line+1
	low, high float64 // these edges
	before    float64 // place in counts a step ago
	slipped   float64 // angle that a loose coupling let slip
	last      float64 // angle a step ago

	counts     int32
	impossible uint16
	upward     bool
	counted    bool
	countedAt  float64 // moment, seconds
	code       uint8   // tracks as last seen, 0 to 3 in the order of the cycle
	pair       bool    // the edge before was not told from the next one

	onMark     bool
	markCounts int32
}

func newReader(a *Axis, seed, use uint64, place, hub float64) reader {
	e := &a.Encoder
	chance := seeded(seed, use)
	r := reader{per: float64(e.Direction) / e.step(), seed: chance.next(), jitter: 0.2 * e.Uneven, zero: e.Zero.Rad()}
	maximum := 0.0
	for i := range r.pattern {
		r.pattern[i] = chance.symmetric()
		maximum = max(maximum, math.Abs(r.pattern[i]))
	}
	for i := range r.pattern {
		r.pattern[i] *= 0.8 * e.Uneven / maximum
	}
	if !e.Absolute {
		// The disc has no zero of its own: edge 0 lies somewhere in a turn.
		r.zero = place + 2*math.Pi*chance.symmetric()
	}
	r.last = place
	r.begin(a, &chance)
	r.settle(place, hub, a)
	return r
}

// begin is where the counter of an incremental encoder begins after a start: anywhere.
func (r *reader) begin(a *Axis, chance *random) {
	if from := int32(chance.symmetric() * 20000); !a.Encoder.Survive && !a.Encoder.Absolute {
		r.counts = from
	}
}

// settle is the start of the counter: it finds the disc where it is.
func (r *reader) settle(angle, hub float64, a *Axis) {
	r.last = angle
	r.before = (angle - r.slipped - r.zero) * r.per
	r.seek(r.before)
	r.code = r.tracks(r.line, 0)
	if a.Encoder.Absolute {
		r.counts = int32(r.line)
	}
	r.impossible, r.counted, r.upward, r.pair = 0, false, false, false
	r.onMark, r.markCounts = a.onMark(hub), 0
}

// edge is where edge n of the disc lies, in counts.
func (r *reader) edge(n int64) float64 {
	own := float64(scramble(r.seed^uint64(n)*0x9e3779b97f4a7c15)>>11)/(1<<52) - 1
	return float64(n) + r.pattern[n&3] + r.jitter*own
}

// seek finds the line for a place without counting.
func (r *reader) seek(place float64) {
	r.line = int64(math.Floor(place))
	for place < r.edge(r.line) {
		r.line--
	}
	for place >= r.edge(r.line+1) {
		r.line++
	}
	r.low, r.high = r.edge(r.line), r.edge(r.line+1)
}

// read is one step of the encoder: angle of what it sits on, hub of the dish,
// whose the mark is, now in seconds.
func (r *reader) read(a *Axis, angle, hub, now float64, faults *encoderFaults, chance *random) {
	if faults.loose {
		r.slipped += angle - r.last
	}
	r.last = angle
	place := (angle - r.slipped - r.zero) * r.per
	if faults.glitches > 0 && chance.uniform() < faults.glitches*step {
		r.glitch(now, chance)
	}
	if place >= r.high || place < r.low {
		r.pass(a, place, now, faults, chance)
	}
	r.before = place
	if on := a.onMark(hub); on != r.onMark {
		r.onMark = on
		if on {
			r.markCounts = r.counts
		}
	}
}

// pass takes the counter over every edge between the last place and this one.
func (r *reader) pass(a *Axis, place, now float64, faults *encoderFaults, chance *random) {
	for place >= r.high {
		at := now - step*(place-r.high)/(place-r.before)
		r.line++
		r.low, r.high = r.high, r.edge(r.line+1)
		r.count(at, faults, chance)
	}
	for place < r.low {
		at := now - step*(place-r.low)/(place-r.before)
		r.line--
		r.low, r.high = r.edge(r.line), r.low
		r.count(at, faults, chance)
	}
	if a.Encoder.Absolute && !faults.dead && r.damage(faults) == 0 {
		r.counts = int32(r.line)
	}
}

func (r *reader) damage(faults *encoderFaults) float64 { return faults.damaged + faults.phase }

// count is the decoder at one edge of the disc.
func (r *reader) count(at float64, faults *encoderFaults, chance *random) {
	code := r.tracks(r.line, faults.damaged)
	if faults.dead {
		r.code = code
		return
	}
	if r.pair || faults.phase > 0 && chance.uniform() < faults.phase {
		// Both tracks change too near to each other: the decoder sees one
		// change of both, at the second edge.
		r.pair = !r.pair
		if r.pair {
			return
		}
		if code == r.code^2 {
			r.impossible++
		}
		r.code = code
		return
	}
	switch (code - r.code) & 3 {
	case 1:
		r.add(1, at)
	case 3:
		r.add(-1, at)
	case 2:
		r.impossible++
	}
	r.code = code
}

func (r *reader) add(by int32, at float64) {
	r.counts += by
	r.upward, r.counted, r.countedAt = by > 0, true, at
}

// tracks is what the two tracks show on a line, by its place in the cycle 00,
// 01, 11, 10. On a damaged line the first track stays dark.
func (r *reader) tracks(line int64, damaged float64) uint8 {
	place := uint8(line & 3)
	if damaged > 0 && float64(scramble(r.seed+uint64(line>>2))>>11)/(1<<53) < damaged {
		return [4]uint8{0, 1, 1, 0}[place]
	}
	return place
}

// glitch is a spike on the cable: the decoder sees both tracks change, and one
// time in four loses or gains a count by it.
func (r *reader) glitch(now float64, chance *random) {
	r.impossible++
	switch chance.next() & 7 {
	case 0:
		r.add(1, now)
	case 1:
		r.add(-1, now)
	}
}

// onMark says whether the index mark shows at an angle: it begins where it is
// entered with rising counts, and returns every turn.
func (a *Axis) onMark(angle float64) bool {
	over := (angle - a.Mark.Rad()) * float64(a.Encoder.Direction)
	over -= 2 * math.Pi * math.Floor(over/(2*math.Pi))
	return over < a.MarkWidth.Rad()
}

// since is the time since the last count; negative: none since the start.
func (r *reader) since(now float64) time.Duration {
	if !r.counted {
		return -1
	}
	return time.Duration((now - r.countedAt) * 1e9)
}

// zeroAngle is the angle at which the counter would stand at the lower edge of
// count 0, edges being even.
func (r *reader) zeroAngle() float64 {
	return r.zero + r.slipped + float64(r.line-int64(r.counts))/r.per
}
