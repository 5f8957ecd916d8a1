package commission

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"beamhelm/app/settings"
	"beamhelm/drive/motion/mechanism"
)

const degree = math.Pi / 180

// bench is an axis pushed by hand, looked at ten times a second.
type bench struct {
	axis  mechanism.Axis
	state State
	now   Now
	c     Config
}

func newBench() *bench {
	b := &bench{axis: mechanism.Default(), c: Config{Settings: settings.Default()}}
	b.now.At = time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)
	b.state.Begun = b.now.At
	return b
}

func (b *bench) run(drive, seconds float64) {
	b.axis.Demand = drive
	for range int(seconds * 10) {
		b.axis.Run(0.1)
		b.now.At, b.now.Mono, b.now.Fresh, b.now.Good = b.now.At.Add(100*time.Millisecond),
			b.now.Mono+100*time.Millisecond, true, true
		b.now.Axes[0] = Axis{Fitted: true, Millis: uint32(math.Round(b.axis.Now * 1000)), Counts: b.axis.Counts,
			Applied: b.axis.Applied, CurrentA: 2}
		b.state.Watch(&b.c, &b.now)
	}
}

func (b *bench) push(drive, seconds float64) {
	b.run(drive, seconds)
	b.run(0, 6)
}

// What the pushes come to is what the mechanism was made with; the tolerances are
// those of a count of 0.088 degrees.
func TestFiguresOfAMechanism(t *testing.T) {
	b := newBench()
	x := &b.c.Settings.Axes.Azimuth
	x.Pulses, x.GearRatio, x.Direction, x.DriveDirection = 1024, 1, 1, 1
	b.run(0, 2)
	for i := range 6 {
		for k, u := range []float64{0.5, 0.5, -0.5, -0.5} {
			b.push(u, 6+float64((7*i+3*k)%9)/10) // a hand is not so even
		}
	}
	for _, u := range []float64{1, -1, 0.25, 0.1, 0.04} {
		b.push(u, 12)
	}
	f := b.state.Figures(&b.c, 0)
	near := func(what string, is, want, by float64) {
		t.Helper()
		if !(math.Abs(is-want) <= by) {
			t.Errorf("%s: %.4f, want %.4f within %.4f", what, is, want, by)
		}
	}
	// The mechanism loses what sliding takes: full drive gives top speed times (1 - sliding).
	near("top speed", f.Top, 1.5, 0.03)
	near("dead", f.Dead, b.axis.Sliding, 0.02)
	near("backlash", f.Backlash, b.axis.Backlash/degree, 0.05)
	near("acceleration", f.Acceleration, b.axis.Acceleration/degree, 0.25)
	near("current", f.CurrentA, 2, 1e-9)
	near("least", f.Min, 0.04, 0.001)
	v := f.FromDegPerS
	near("way to rest", f.RanOn, v*v/2/0.52+v*0.12, 0.35)
	if f.Reversals < 6 || f.CountsFollow != 1 || !f.Reached {
		t.Errorf("%+v", f)
	}
	t.Logf("%+v", f)
}

// The way to rest is that after the drive began to fall, also where a busy
// computer did not look for a while before it.
func TestALateLookDoesNotLengthenTheWayToRest(t *testing.T) {
	ranOn := func(unseen float64) float64 {
		b := newBench()
		x := &b.c.Settings.Axes.Azimuth
		x.Pulses, x.GearRatio, x.Direction, x.DriveDirection = 1024, 1, 1, 1
		b.run(0, 2)
		b.run(1, 8)
		b.axis.Run(unseen)
		b.axis.Demand = 0
		b.axis.Run(0.1)
		b.now.Mono += time.Duration((unseen + 0.1) * float64(time.Second))
		b.run(0, 6)
		return b.state.Figures(&b.c, 0).RanOn
	}
	prompt := ranOn(0)
	if prompt < 1 {
		t.Fatalf("the way to rest is %.2f degrees", prompt)
	}
	for _, unseen := range []float64{0.1, 0.3, 0.6} {
		if late := ranOn(unseen); math.Abs(late-prompt) > 0.2 {
			t.Errorf("%.1f s not looked: %.2f degrees, promptly %.2f", unseen, late, prompt)
		}
	}
}

// An axis that goes in jerks is told from one that flows.
func TestUnevenCounts(t *testing.T) {
	var flows, jerks []sample
	for i := range 100 {
		s := sample{at: float64(i) / 10, counts: int32(i), applied: 0.1}
		flows = append(flows, s)
		s.counts = int32(i / 20 * 20)
		jerks = append(jerks, s)
	}
	if !even(flows, slope(flows)) || even(jerks, slope(jerks)) {
		t.Errorf("flows %v, jerks %v", even(flows, slope(flows)), even(jerks, slope(jerks)))
	}
}

// Equations 11, 12, 13, 16 and 17 of FCC OET Bulletin 65 (1997), with the general
// population's limits of 47 CFR 1.1310, table 1(B), and the whole-body reference levels for the public of ICNIRP
// 2020 (Health Physics 118, 483; from memory). The cases were worked out by a
// separate program from the equations as printed in a link-engineering library of
// the public domain; the bulletin itself was not at hand.
func TestExposure(t *testing.T) {
	for _, c := range []struct {
		power, diameter, mhz, efficiency, surface, near, nearM, farM, limit, distance, icnirp,
		icnirpM float64
	}{
		{500, 3, 1296, 0.55, 282.9, 155.6, 9.7, 23.3, 8.64, 65, 6.48, 75},
		{1500, 7, 432, 0.55, 155.9, 85.7, 17.7, 42.4, 2.88, 151, 2.16, 175},
		{1500, 7, 1296, 0.55, 155.9, 85.7, 53.0, 127, 8.64, 262, 6.48, 303},
		{300, 7, 10368, 0.55, 31.2, 17.1, 424, 1017, 10, 727, 10, 727},
		{100, 3, 10368, 0.55, 56.6, 31.1, 77.8, 187, 10, 216, 10, 216},
		{50, 3, 24048, 0.5, 28.3, 14.1, 181, 433, 10, 255, 10, 255},
	} {
		e := exposure(c.power, c.diameter, c.mhz, c.efficiency)
		for _, v := range [][2]float64{{e.SurfaceWM2, c.surface}, {e.NearWM2, c.near}, {e.NearM, c.nearM},
			{e.FarM, c.farM}, {e.FCC.WM2, c.limit}, {e.ICNIRP.WM2, c.icnirp}} {
			if math.Abs(v[0]/v[1]-1) > 0.006 {
				t.Errorf("%+v: %+v", c, e)
			}
		}
		// printed in whole metres
		if math.Abs(e.FCC.DistanceM-c.distance) > 0.5 || math.Abs(e.ICNIRP.DistanceM-c.icnirpM) > 0.5 {
			t.Errorf("%+v: the limits reach %.2f and %.2f m", c, e.FCC.DistanceM, e.ICNIRP.DistanceM)
		}
	}
}

// Where the limit is reached nowhere on the axis, that is not said as a distance of nothing.
func TestExposureInWords(t *testing.T) {
	s := settings.Practice()
	s.Dish.DiameterM, s.Bands[0].TransmitPowerW = 7, 10
	words := exposureWords(&s)
	if !strings.Contains(words, "not reached beyond the dish") || strings.Contains(words, ": 0 m") {
		t.Errorf("%q", words)
	}
	for i := range s.Bands {
		s.Bands[i].TransmitPowerW = 0
	}
	if words := exposureWords(&s); words != "no band transmits by the settings" {
		t.Errorf("%q", words)
	}
}

// A soft limit is seen to hold by a push that it ends, not by a dish that stands near it.
func TestSoftLimits(t *testing.T) {
	s := State{Begun: time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)}
	c := Config{Settings: settings.Practice()}
	low := c.Settings.Axes.Elevation.LowerSoftDeg
	now := Now{At: s.Begun, Fresh: true}
	for _, try := range []struct {
		axis Axis
		seen bool
	}{
		{Axis{Trusted: true, IsDeg: low + 1}, false},
		{Axis{Trusted: true, IsDeg: low + 1, Pushed: 1}, false},
		{Axis{Trusted: true, IsDeg: low + 1, Pushed: -1, Moving: true}, false},
		{Axis{Trusted: true, IsDeg: low + 1, Pushed: -1, Applied: -0.1}, false},
		{Axis{IsDeg: low + 1, Pushed: -1}, false},
		{Axis{Trusted: true, IsDeg: low + 40, Pushed: -1}, false},
		{Axis{Trusted: true, IsDeg: low + 1, Pushed: -1}, true},
	} {
		now.Axes[1] = try.axis
		now.Axes[1].Fitted = true
		s.Watch(&c, &now)
		if seen := !s.Soft[1][0].IsZero(); seen != try.seen || !s.Soft[1][1].IsZero() {
			t.Errorf("%+v: seen %v", try.axis, s.Soft[1])
		}
	}
}

// Pushes are refused their verdict until everything was seen, and a refusal wants a reason.
func TestActs(t *testing.T) {
	var s State
	c := Config{Settings: settings.Default()}
	x := &c.Settings.Axes.Azimuth
	x.Pulses, x.GearRatio, x.Direction, x.DriveDirection = 1024, 1, 1, 1
	now := Now{At: time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)}
	if s.Do(&c, &now, Act{Kind: Finish, Step: Link}).Code == "" {
		t.Error("done before it began")
	}
	s.Do(&c, &now, Act{Kind: Begin})
	for _, a := range []Act{
		{Kind: Finish, Step: Cautions}, {Kind: Finish, Step: Link}, {Kind: Finish, Step: Motors},
		{Kind: Refuse, Step: Motors},
		{Kind: Refuse, Step: Cautions, Words: "no"}, {Kind: Finish, Step: StepCount}, {Kind: Saw, Axis: 2},
		{Kind: Agree, Index: 99, Yes: true},
		{Kind: RotationTo, Deg: 90}, {Kind: Agree, Index: -1},
	} {
		if s.Do(&c, &now, a).Code == "" {
			t.Errorf("%+v was taken", a)
		}
	}
	for i := range cautions {
		if wrong := s.Do(&c, &now, Act{Kind: Agree, Index: i, Yes: true}); wrong.Code != "" {
			t.Error(wrong)
		}
	}
	if wrong := s.Do(&c, &now, Act{Kind: Finish, Step: Cautions}); wrong.Code != "" || !s.MayMove() {
		t.Errorf("cautions: %s", wrong)
	}
	if s.Do(&c, &now, Act{Kind: Agree, Index: 0}); s.MayMove() {
		t.Error("a caution was taken back, and it may move")
	}
	if s.Next() != Cautions {
		t.Errorf("next %v", s.Next())
	}
	s.Do(&c, &now, Act{Kind: Saw}) // the other way; then the settings were mended
	if s.way(&c, 0) != OtherWay {
		t.Error("not the other way")
	}
	mended := c
	mended.Settings.Axes.Azimuth.DriveDirection = -c.Settings.Axes.Azimuth.DriveDirection
	if len(s.Suggestions(&c)) != 1 || len(s.Suggestions(&mended)) != 0 || s.way(&mended, 0) != AsAsked {
		t.Errorf("suggested %v, mended %v", s.Suggestions(&c), s.Suggestions(&mended))
	}
	s.Do(&c, &now, Act{Kind: RotationFrom})
	for _, deg := range []float64{math.NaN(), 0, 1, 1e9, 90} { // no counts came
		if s.Do(&c, &now, Act{Kind: RotationTo, Deg: deg}).Code == "" {
			t.Errorf("%v degrees were taken", deg)
		}
	}
}

// A rotation tells the counts a degree to one count of it: a count more or less for
// the same short rotation is no fault, and no better ratio than the settings'.
func TestAShortRotationTellsNoMoreThanACount(t *testing.T) {
	c := Config{Settings: settings.Default()}
	x := &c.Settings.Axes.Azimuth
	x.Pulses, x.GearRatio, x.Direction, x.DriveDirection = 1024, 1, 1, 1
	for counts, wanted := range map[int32]struct {
		sight   LineState
		suggest bool
	}{100: {Seen, false}, 97: {Wrong, true}, 101: {Seen, false}, 103: {Wrong, true}} {
		s := State{Begun: time.Unix(1, 0)}
		now := Now{}
		s.Do(&c, &now, Act{Kind: RotationFrom})
		now.Axes[0].Counts = counts
		if wrong := s.Do(&c, &now, Act{Kind: RotationTo, Deg: 100.2 * math.Abs(c.stepDeg(0))}); wrong.Code != "" {
			t.Fatal(wrong)
		}
		turn := s.countLines(&c, &now, 0)[1]
		suggested := slices.ContainsFunc(s.Suggestions(&c), func(g Suggestion) bool {
			return strings.HasSuffix(g.Key, "gear_ratio")
		})
		if turn.State != wanted.sight || suggested != wanted.suggest {
			t.Errorf("%d counts where 100.2 were due: %v, ratio suggested %v: %s", counts, turn.State, suggested,
				turn.Words)
		}
	}
}
