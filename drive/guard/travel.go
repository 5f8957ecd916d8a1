package guard

import (
	"math"
	"time"
)

// travel follows one axis by the enclosure's own clock, so that rows can tell
// motion from rocking in the backlash and from a push inside it.
type travel struct {
	Have   bool
	Counts int32
	Millis uint32
	// Rate of the counts, radians a second, over about 0.3 s, and over about 1.5 s.
	Rate, Steady float64
	// Sign of the applied drive now, 0 where none.
	Sign int8
	// Best is the count furthest in the direction of this sign since it began,
	// Lowest and Highest the extremes since then.
	Best, Lowest, Highest int32
	// Coast is the travel still allowed against or without the drive when this sign began, Braking the seconds left
	// in which an axis that was moving then may need it.
	Coast, Braking float64
	// Owed is the travel that the drive should have given since Best moved, with
	// the integrals over that time of current (ampere seconds) and drive (seconds), where the current is known.
	Owed, Current, Driven float64
	// EndedCurrent and EndedDriven are those of a drive that ended without a count.
	EndedCurrent, EndedDriven float64
	// Quiet is the time since the last count, Still since the last count or drive.
	// Rested: it has been quiet for long since this sign began.
	Quiet, Still time.Duration
	Rested       bool
	// Gone is the travel, Undriven that of it without drive, Model that which the
	// drive should have given and Spent the same without its sign, in slow motion,
	// all fading over a minute.
	Gone, Undriven, Model, Spent float64
	// Lacking is the travel by which the axis is short, in fast motion, of the least
	// that a sound one gives. Pace is what such an axis has made of the drive, 0 to 1,
	// Toward the sign of the newest drive. Behind: it got further, and more is lacking
	// than backlash and counts explain. Trusted: it was compared as a trusted axis.
	Lacking, Pace float64
	Toward        int8
	Behind        bool
	Trusted       bool
	// Duty is what the drive stage has made of the applied drive by its own slope, while it is applied.
	Duty float64
	// Heat of the motor, 1 at the most it tolerates.
	Heat float64
	// Impossible is the last reading of impossible transitions, Slips the recent
	// ones, fading over a minute.
	Impossible uint16
	Slips      float64
}

// longestGap is the time between two replies, ms, beyond which nothing can be
// said of what the drive did between them.
const longestGap = 2000

func (t *travel) update(c *AxisConfig, f *AxisFacts, millis uint32) {
	gap := millis - t.Millis
	if !t.Have || gap > longestGap {
		*t = travel{Have: true, Counts: f.Counts, Millis: millis, Heat: t.Heat, Impossible: f.Impossible}
		t.begin(c, f, signOf(f.Applied))
		// Nobody knows how fast it was when it was seen last.
		t.Coast, t.Braking = coasting(c, c.TopSpeed.Rad()), braking(c, c.TopSpeed.Rad())
		return
	}
	if gap == 0 {
		return
	}
	seconds := float64(gap) / 1000
	moved := float64(f.Counts-t.Counts) * c.Step.Rad()
	t.Rate += (moved/seconds - t.Rate) * (1 - math.Exp(-seconds/0.3))
	t.Steady += (moved/seconds - t.Steady) * (1 - math.Exp(-seconds/1.5))
	t.Quiet += time.Duration(gap) * time.Millisecond
	t.Still += time.Duration(gap) * time.Millisecond
	if f.Counts != t.Counts {
		t.Quiet = 0
	}
	if f.Counts != t.Counts || f.Applied != 0 {
		t.Still = 0
	}
	t.Counts, t.Millis = f.Counts, millis
	t.warm(c, f, seconds)
	t.Slips = t.Slips*math.Exp(-seconds/60) + float64(f.Impossible-t.Impossible)
	t.Impossible = f.Impossible
	t.slow(c, f, moved, seconds)

	if sign := signOf(f.Applied); sign != t.Sign {
		t.begin(c, f, sign)
	}
	t.compare(c, f, moved, seconds)
	t.Lowest, t.Highest = min(t.Lowest, f.Counts), max(t.Highest, f.Counts)
	if t.Sign == 0 {
		t.rest(c, seconds)
		return
	}
	t.owe(c, f, seconds)
}

// coasting is the travel allowed from a speed to rest: twice what braking at
// the known acceleration takes, for a rate measured over 0.3 s is late.
func coasting(c *AxisConfig, rate float64) float64 {
	coast := c.Coast.Rad()
	if a := c.Acceleration.Rad(); a > 0 {
		coast += rate*rate/a + math.Abs(rate)*(c.Lag.Seconds()+0.3)
	}
	return coast
}

// braking is the time that an axis may take from a speed to rest, seconds, at half the known acceleration: by then it
// has gone what coasting allows. A second is for what holds it back late, as a brake.
func braking(c *AxisConfig, rate float64) float64 {
	seconds := c.Lag.Seconds() + 0.3 + 1
	if a := c.Acceleration.Rad(); a > 0 {
		seconds += 2 * math.Abs(rate) / a
	}
	return seconds
}

// begin starts the account of a new sign of drive.
func (t *travel) begin(c *AxisConfig, f *AxisFacts, sign int8) {
	if t.stuck(c) {
		t.Lacking = 0 // other rows have told of it, and it may have been mended since
	}
	t.Coast, t.Braking = c.Coast.Rad(), 0
	if float64(sign)*t.Rate <= 0 {
		t.Coast, t.Braking = coasting(c, t.Rate), braking(c, t.Rate)
	}
	switch {
	case sign != 0:
		t.EndedCurrent, t.EndedDriven = 0, 0
	case t.Sign != 0:
		t.EndedCurrent, t.EndedDriven = t.Current, t.Driven
	}
	t.Sign, t.Best, t.Lowest, t.Highest = sign, f.Counts, f.Counts, f.Counts
	t.Owed, t.Current, t.Driven, t.Rested = 0, 0, 0, false
	if sign != 0 && sign != t.Toward {
		t.Toward, t.Lacking = sign, max(0, t.Lacking-c.Deadband())
	}
}

// rest starts the account without drive again where the axis has come to rest: the first time after a second, or when
// it has had the time to, and after it strayed when it stands for two.
func (t *travel) rest(c *AxisConfig, seconds float64) {
	braked := t.Braking > 0 && t.Braking <= seconds && !t.uncommanded(c)
	t.Braking = max(0, t.Braking-seconds)
	if braked || t.Quiet >= time.Second && !t.Rested || t.Quiet >= 2*time.Second && t.uncommanded(c) {
		t.Rested = true
		t.Coast, t.Braking = c.Coast.Rad(), 0
		t.Lowest, t.Highest = t.Counts, t.Counts
	}
}

// slow compares, at rest and in pushes, how far the axis went with how far it
// was driven: a worm that slips shows even where it is driven back each time.
// A drive that goes into holding a load, as a gust, moves nothing; a worm that
// slips holds none, and a worn one goes back whenever it is not driven.
func (t *travel) slow(c *AxisConfig, f *AxisFacts, moved, seconds float64) {
	duty := t.follow(c, f.Applied, seconds)
	if math.Abs(t.Rate) > 0.3*c.TopSpeed.Rad() || t.Still >= 10*time.Second {
		t.Gone, t.Undriven, t.Model, t.Spent = 0, 0, 0, 0
		return
	}
	by := c.TopSpeed.Rad() * max(0, math.Abs(duty)-max(c.MinDrive/2, f.Load)) * seconds
	fade := math.Exp(-seconds / 60)
	t.Gone = t.Gone*fade + moved
	t.Undriven *= fade
	if f.Applied == 0 {
		t.Undriven += moved
	}
	t.Model = t.Model*fade + math.Copysign(by, duty)
	t.Spent = t.Spent*fade + by
}

// compare sums, in fast motion, what the axis went less than a sound one goes at
// the least; what it goes more pays that back. So a loss shows however the motion
// is cut into pieces. An axis that gets no further at all is a matter of owe.
func (t *travel) compare(c *AxisConfig, f *AxisFacts, moved, seconds float64) {
	t.Behind = false
	if f.Trusted != t.Trusted {
		t.Trusted, t.Lacking = f.Trusted, 0
	}
	top := c.TopSpeed.Rad()
	if rate := t.Rate * float64(t.Toward); t.Sign == 0 || rate < -0.02*top {
		t.Pace = min(t.Pace, max(0, rate/top)) // coasting, or still the other way
		return
	}
	t.Pace = min(math.Abs(f.Applied), t.Pace+0.9*c.slope(seconds))
	if t.Pace < 0.2 {
		return
	}
	moved *= float64(t.Sign)
	t.Lacking = max(0, t.Lacking+minimum(c, f, t.Pace)*seconds-moved)
	further := (f.Counts-t.Best)*int32(t.Sign) > 0
	if t.Behind = further && t.Lacking > c.Deadband()+resolution(c); t.Behind {
		t.Lacking = 0
	}
}

// sound is the part of its usual speed and acceleration that a sound axis has at
// the least where nothing loads its motor (common practice, no source).
const sound = 0.8

// slope is how much the drive stage lets the duty change in that time.
func (c *AxisConfig) slope(seconds float64) float64 {
	if c.Acceleration <= 0 {
		return 1
	}
	return c.Acceleration.Rad() / c.TopSpeed.Rad() * seconds
}

// least is the speed that a sound axis has at least, a second: two fifths of what is
// set, for a cold, stiff one gives half. The motor current shows how stiff it is, and
// then it is that part of what the axis has shown of itself: a motor slows in
// proportion to its current, to nothing at the stall current, and top speed was
// measured with half the rated current or more (common practice, no source).
func minimum(c *AxisConfig, f *AxisFacts, duty float64) float64 {
	duty -= max(c.MinDrive, f.Load)
	speed := 0.4 * duty
	if usual := c.RatedA / 2; f.Trusted && c.Speeds == 0 && usual > 0 && c.StallA > usual && !math.IsNaN(f.CurrentA) {
		lost := max(0, math.Abs(f.CurrentA)-usual) / (c.StallA - usual)
		speed = max(speed, sound*min(1, f.Gain)*(duty-lost))
	}
	return max(0, speed) * c.TopSpeed.Rad()
}

// follow is the mean of the duty over the time since the last reply: a short push
// ends before the drive stage has made all of it. What is cut counts no more.
func (t *travel) follow(c *AxisConfig, applied, seconds float64) (mean float64) {
	before := t.Duty
	if before*applied <= 0 {
		before = 0
	}
	t.Duty = math.Copysign(min(math.Abs(applied), math.Abs(before)+c.slope(seconds)), applied)
	return math.Copysign(min(math.Abs(applied), math.Abs(before+t.Duty)/2), applied)
}

// owe adds the travel that the drive should have given in this time.
func (t *travel) owe(c *AxisConfig, f *AxisFacts, seconds float64) {
	if ahead := (f.Counts - t.Best) * int32(t.Sign); ahead > 0 {
		t.Best, t.Owed, t.Current, t.Driven = f.Counts, 0, 0, 0
		return
	}
	// Half the speed beyond the least drive is what even a cold, stiff axis gives.
	speed := 0.5 * c.TopSpeed.Rad() * (math.Abs(f.Applied) - c.MinDrive)
	if speed <= 0 {
		return
	}
	t.Owed += speed * seconds
	if !math.IsNaN(f.CurrentA) {
		t.Current += math.Abs(f.CurrentA) * seconds
		t.Driven += math.Abs(f.Applied) * seconds
	}
}

// warm keeps the account of the motor's heat: the square of the current over
// the rated one, against what it tolerates.
func (t *travel) warm(c *AxisConfig, f *AxisFacts, seconds float64) {
	if c.RatedA <= 0 || c.StallA <= c.RatedA || c.MaxStallTime <= 0 || math.IsNaN(f.CurrentA) {
		t.Heat = 0
		return
	}
	over := (f.CurrentA*f.CurrentA - c.RatedA*c.RatedA) / (c.StallA*c.StallA - c.RatedA*c.RatedA)
	t.Heat = min(2, max(0, t.Heat+over*seconds/c.MaxStallTime.Seconds()))
}

// resolution is the least angle that can be told from the teeth and the structure
// giving way under a gust: a count, and of a finer encoder as much as the usual
// one shows (believable, no source).
func resolution(c *AxisConfig) float64 { return max(c.Step.Rad(), 360.0/4096*math.Pi/180) }

// Deadband is the travel that tells nothing, radians: the backlash and twice the resolution.
func (c *AxisConfig) Deadband() float64 { return c.Backlash.Rad() + 2*resolution(c) }

// stuck: the drive should have moved the axis well beyond the deadband, and did not.
func (t *travel) stuck(c *AxisConfig) bool {
	return t.Have && t.Sign != 0 && t.Owed > c.Deadband()+2*resolution(c)+t.Coast
}

// load is the current while the axis did not move for each part of full drive
// (amperes), and whether it is known. A motor that is jammed draws in
// proportion to its drive.
func (t *travel) load() (amperes float64, ok bool) {
	current, driven := t.Current+t.EndedCurrent, t.Driven+t.EndedDriven
	if driven <= 0 {
		return 0, false
	}
	return current / driven, true
}

// unmoved: the drive that ended last gave not one count, and it was no short push.
func (t *travel) unmoved() bool { return t.Have && t.EndedDriven > 0.2 }

// wrong: travel against the drive beyond the deadband and what it may coast.
func (t *travel) wrong(c *AxisConfig) bool {
	if !t.Have || t.Sign == 0 {
		return false
	}
	against := float64(t.Best-t.Counts) * float64(t.Sign) * c.Step.Rad()
	return against > c.Deadband()+t.Coast
}

// uncommanded: travel without drive beyond the deadband and what it may coast.
func (t *travel) uncommanded(c *AxisConfig) bool {
	return t.Have && t.Sign == 0 && float64(t.Highest-t.Lowest)*c.Step.Rad() > c.Deadband()+t.Coast
}

// hardly: of a slow way the axis went less than it should have as it was driven.
func (t *travel) hardly() bool {
	return t.Have && t.Gone*float64(signOf(t.Model)) < 0.15*math.Abs(t.Model)
}

// carried: driven slowly for a long way and carried back meanwhile, beyond the
// deadband: something else moves the axis. A worn worm is driven back each time, and goes again.
func (t *travel) carried(c *AxisConfig) bool {
	back := -t.Undriven * float64(signOf(t.Model))
	return t.hardly() && back > c.Deadband()+4*resolution(c)
}

// lagging: driven slowly for a long way, and hardly gone, or driven fast and gone far too little.
func (t *travel) lagging(c *AxisConfig) bool {
	return t.Behind || t.hardly() && math.Abs(t.Gone-t.Model) > c.Deadband()+8*resolution(c)+t.Coast+0.4*t.Spent
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
