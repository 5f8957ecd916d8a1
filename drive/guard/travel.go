package guard

import (
	"math"
	"time"
)

// travel follows one axis by the enclosure's own clock, so that rows can tell
// motion from rocking in the tooth play and from a push inside it.
type travel struct {
	have   bool
	counts int32
	millis uint32
	// rate of the counts, radians a second, over about 0.3 s.
	rate float64
	// sign of the applied drive now, 0 where none.
	sign int8
	// origin is the count at which this sign began, best the furthest reached in
	// its direction since, lowest and highest the extremes.
	origin, best, lowest, highest int32
	// owed is the travel that the drive should have given since best moved.
	owed float64
	// coast is the travel still allowed against or without the drive when this sign began.
	coast float64
	// undriven is the time with no drive.
	undriven time.Duration
	// gain is the mean current while owed grew, amperes, of driven its weight.
	current, driven float64
	// heat of the motor, 1 where it bears no more.
	heat float64
	// impossible transitions: last reading and the recent ones, fading over a minute.
	impossible uint16
	slips      float64
}

// longestGap is the time between two replies beyond which nothing can be said
// of what the drive did between them.
const longestGap = 2000

func (t *travel) update(c *AxisConfig, f *AxisFacts, millis uint32) {
	gap := millis - t.millis
	if !t.have || gap > longestGap {
		*t = travel{have: true, counts: f.Counts, millis: millis, heat: t.heat, impossible: f.Impossible}
		t.begin(c, f, signOf(f.Applied))
		return
	}
	if gap == 0 {
		return
	}
	seconds := float64(gap) / 1000
	step := c.Step.Rad()
	moved := float64(f.Counts-t.counts) * step
	t.rate += (moved/seconds - t.rate) * (1 - math.Exp(-seconds/0.3))
	t.counts, t.millis = f.Counts, millis
	t.warm(c, f, seconds)
	t.slips = t.slips*math.Exp(-seconds/60) + float64(f.Impossible-t.impossible)
	t.impossible = f.Impossible

	if sign := signOf(f.Applied); sign != t.sign {
		t.begin(c, f, sign)
	}
	t.lowest, t.highest = min(t.lowest, f.Counts), max(t.highest, f.Counts)
	if t.sign == 0 {
		t.undriven += time.Duration(gap) * time.Millisecond
		return
	}
	t.owe(c, f, seconds)
}

// begin starts the account of a new sign of drive.
func (t *travel) begin(c *AxisConfig, f *AxisFacts, sign int8) {
	coast := c.Coast.Rad()
	if a := c.Acceleration.Rad(); a > 0 && float64(sign)*t.rate <= 0 {
		// Twice what braking at the known acceleration takes: a rate measured over 0.3 s is late.
		coast += t.rate*t.rate/a + math.Abs(t.rate)*(c.Lag.Seconds()+0.3)
	}
	t.sign, t.origin, t.best, t.lowest, t.highest = sign, f.Counts, f.Counts, f.Counts, f.Counts
	t.coast, t.owed, t.undriven, t.current, t.driven = coast, 0, 0, 0, 0
}

// owe adds the travel that the drive should have given in this time.
func (t *travel) owe(c *AxisConfig, f *AxisFacts, seconds float64) {
	if ahead := (f.Counts - t.best) * int32(t.sign); ahead > 0 {
		t.best, t.owed, t.current, t.driven = f.Counts, 0, 0, 0
		return
	}
	// Half the speed beyond the least drive is what even a cold, stiff axis gives.
	speed := 0.5 * c.TopSpeed.Rad() * (math.Abs(f.Applied) - c.LeastDrive)
	if speed <= 0 {
		return
	}
	t.owed += speed * seconds
	if !math.IsNaN(f.CurrentA) {
		t.current += math.Abs(f.CurrentA) * seconds
		t.driven += seconds
	}
}

// warm keeps the account of the motor's heat: the square of the current over
// the rated one, against what it bears.
func (t *travel) warm(c *AxisConfig, f *AxisFacts, seconds float64) {
	if c.RatedA <= 0 || c.BlockedA <= c.RatedA || c.Bears <= 0 || math.IsNaN(f.CurrentA) {
		t.heat = 0
		return
	}
	over := (f.CurrentA*f.CurrentA - c.RatedA*c.RatedA) / (c.BlockedA*c.BlockedA - c.RatedA*c.RatedA)
	t.heat = min(2, max(0, t.heat+over*seconds/c.Bears.Seconds()))
}

// counted is an angle in counts.
func counted(c *AxisConfig, angle float64) float64 { return angle / c.Step.Rad() }

// slack is the travel in counts that tells nothing: the tooth play and two counts.
func slack(c *AxisConfig) float64 { return counted(c, c.Play.Rad()) + 2 }

// stuck: the drive should have moved the axis well beyond the slack, and did not.
func (t *travel) stuck(c *AxisConfig) bool {
	return t.have && t.sign != 0 && counted(c, t.owed) > slack(c)+2+counted(c, t.coast)
}

// meanCurrent is the mean current while the axis did not move, and whether it is known.
func (t *travel) meanCurrent() (amperes float64, ok bool) {
	if t.driven <= 0 {
		return 0, false
	}
	return t.current / t.driven, true
}

// wrong: travel against the drive beyond the slack and what it may coast.
func (t *travel) wrong(c *AxisConfig) bool {
	if !t.have || t.sign == 0 {
		return false
	}
	against := float64(t.best-t.counts) * float64(t.sign)
	return against > slack(c)+counted(c, t.coast)
}

// stray: travel without drive beyond the slack and what it may coast.
func (t *travel) stray(c *AxisConfig) bool {
	return t.have && t.sign == 0 && float64(t.highest-t.lowest) > slack(c)+counted(c, t.coast)
}

// fast: counts faster than the axis can go.
func (t *travel) fast(c *AxisConfig) bool {
	return t.have && math.Abs(t.rate) > 1.6*c.TopSpeed.Rad()+4*c.Step.Rad()
}

func signOf(v float64) int8 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
