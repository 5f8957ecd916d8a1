package guard

import (
	"math"
	"time"
)

// travel follows one axis by the enclosure's own clock, so that rows can tell
// motion from rocking in the tooth play and from a push inside it.
type travel struct {
	Have   bool
	Counts int32
	Millis uint32
	// Rate of the counts, radians a second, over about 0.3 s.
	Rate float64
	// Sign of the applied drive now, 0 where none.
	Sign int8
	// Origin is the count at which this sign began, Best the furthest reached in
	// its direction since, Lowest and Highest the extremes.
	Origin, Best, Lowest, Highest int32
	// Owed is the travel that the drive should have given since Best moved.
	Owed float64
	// Coast is the travel still allowed against or without the drive when this sign began.
	Coast float64
	// Undriven is the time with no drive.
	Undriven time.Duration
	// Current is the integral of the current while Owed grew, ampere seconds, Driven the time.
	Current, Driven float64
	// Heat of the motor, 1 where it bears no more.
	Heat float64
	// Impossible is the last reading of impossible transitions, Slips the recent ones, fading over a minute.
	Impossible uint16
	Slips      float64
}

// longestGap is the time between two replies beyond which nothing can be said
// of what the drive did between them.
const longestGap = 2000

func (t *travel) update(c *AxisConfig, f *AxisFacts, millis uint32) {
	gap := millis - t.Millis
	if !t.Have || gap > longestGap {
		*t = travel{Have: true, Counts: f.Counts, Millis: millis, Heat: t.Heat, Impossible: f.Impossible}
		t.begin(c, f, signOf(f.Applied))
		return
	}
	if gap == 0 {
		return
	}
	seconds := float64(gap) / 1000
	step := c.Step.Rad()
	moved := float64(f.Counts-t.Counts) * step
	t.Rate += (moved/seconds - t.Rate) * (1 - math.Exp(-seconds/0.3))
	t.Counts, t.Millis = f.Counts, millis
	t.warm(c, f, seconds)
	t.Slips = t.Slips*math.Exp(-seconds/60) + float64(f.Impossible-t.Impossible)
	t.Impossible = f.Impossible

	if sign := signOf(f.Applied); sign != t.Sign {
		t.begin(c, f, sign)
	}
	t.Lowest, t.Highest = min(t.Lowest, f.Counts), max(t.Highest, f.Counts)
	if t.Sign == 0 {
		t.Undriven += time.Duration(gap) * time.Millisecond
		return
	}
	t.owe(c, f, seconds)
}

// begin starts the account of a new sign of drive.
func (t *travel) begin(c *AxisConfig, f *AxisFacts, sign int8) {
	coast := c.Coast.Rad()
	if a := c.Acceleration.Rad(); a > 0 && float64(sign)*t.Rate <= 0 {
		// Twice what braking at the known acceleration takes: a rate measured over 0.3 s is late.
		coast += t.Rate*t.Rate/a + math.Abs(t.Rate)*(c.Lag.Seconds()+0.3)
	}
	t.Sign, t.Origin, t.Best, t.Lowest, t.Highest = sign, f.Counts, f.Counts, f.Counts, f.Counts
	t.Coast, t.Owed, t.Undriven, t.Current, t.Driven = coast, 0, 0, 0, 0
}

// owe adds the travel that the drive should have given in this time.
func (t *travel) owe(c *AxisConfig, f *AxisFacts, seconds float64) {
	if ahead := (f.Counts - t.Best) * int32(t.Sign); ahead > 0 {
		t.Best, t.Owed, t.Current, t.Driven = f.Counts, 0, 0, 0
		return
	}
	// Half the speed beyond the least drive is what even a cold, stiff axis gives.
	speed := 0.5 * c.TopSpeed.Rad() * (math.Abs(f.Applied) - c.LeastDrive)
	if speed <= 0 {
		return
	}
	t.Owed += speed * seconds
	if !math.IsNaN(f.CurrentA) {
		t.Current += math.Abs(f.CurrentA) * seconds
		t.Driven += seconds
	}
}

// warm keeps the account of the motor's heat: the square of the current over
// the rated one, against what it bears.
func (t *travel) warm(c *AxisConfig, f *AxisFacts, seconds float64) {
	if c.RatedA <= 0 || c.BlockedA <= c.RatedA || c.Bears <= 0 || math.IsNaN(f.CurrentA) {
		t.Heat = 0
		return
	}
	over := (f.CurrentA*f.CurrentA - c.RatedA*c.RatedA) / (c.BlockedA*c.BlockedA - c.RatedA*c.RatedA)
	t.Heat = min(2, max(0, t.Heat+over*seconds/c.Bears.Seconds()))
}

// counted is an angle in counts.
func counted(c *AxisConfig, angle float64) float64 { return angle / c.Step.Rad() }

// slack is the travel in counts that tells nothing: the tooth play and two counts.
func slack(c *AxisConfig) float64 { return counted(c, c.Play.Rad()) + 2 }

// stuck: the drive should have moved the axis well beyond the slack, and did not.
func (t *travel) stuck(c *AxisConfig) bool {
	return t.Have && t.Sign != 0 && counted(c, t.Owed) > slack(c)+2+counted(c, t.Coast)
}

// meanCurrent is the mean current while the axis did not move, and whether it is known.
func (t *travel) meanCurrent() (amperes float64, ok bool) {
	if t.Driven <= 0 {
		return 0, false
	}
	return t.Current / t.Driven, true
}

// wrong: travel against the drive beyond the slack and what it may coast.
func (t *travel) wrong(c *AxisConfig) bool {
	if !t.Have || t.Sign == 0 {
		return false
	}
	against := float64(t.Best-t.Counts) * float64(t.Sign)
	return against > slack(c)+counted(c, t.Coast)
}

// stray: travel without drive beyond the slack and what it may coast.
func (t *travel) stray(c *AxisConfig) bool {
	return t.Have && t.Sign == 0 && float64(t.Highest-t.Lowest) > slack(c)+counted(c, t.Coast)
}

// fast: counts faster than the axis can go.
func (t *travel) fast(c *AxisConfig) bool {
	return t.Have && math.Abs(t.Rate) > 1.6*c.TopSpeed.Rad()+4*c.Step.Rad()
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
