package desk

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
)

// began is a moment of the invented station's sky: the Moon stands at azimuth
// 115.4, elevation 40.1 degrees and rises.
var began = time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)

func practice(t *testing.T) Config {
	t.Helper()
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		t.Fatal(err)
	}
	c, err := station.NewConfig(settings.Practice(), sky, sources, true)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// bench is a desk with a loop that does what it is told at once.
type bench struct {
	t     *testing.T
	c     Config
	s     State
	loop  step.Status
	at    time.Time
	now   step.Nanos
	out   Outputs
	asked []step.Command
	scale int // of the sky's time; 0 where it can't run faster
}

func newBench(t *testing.T) *bench {
	b := &bench{t: t, c: practice(t), at: began, now: time.Second}
	b.s = New(&b.c, nil)
	b.loop.HasMotion = true
	b.loop.Readings = enclosure.NoReadings()
	b.loop.Link.State = step.LinkGood
	for i := range b.loop.Axes {
		b.loop.Axes[i].Fitted, b.loop.Axes[i].Trusted = true, true
		b.loop.Axes[i].Position = degrees([2]float64{105.4, 40.1}[i])
	}
	return b
}

// bareBench is a bench whose dish is bare and keeps 6 degrees from the Sun, which
// stands at azimuth 248, elevation 26 degrees.
func bareBench(t *testing.T, az, el float64) *bench {
	b := newBench(t)
	s := settings.Practice()
	s.Dish.Finish, s.Sun.KeepAwayDeg = settings.Bare, 6
	c, err := station.NewConfig(s, b.c.Sky, b.c.Sources, true)
	if err != nil {
		t.Fatal(err)
	}
	b.c = c
	b.loop.Axes[0].Position, b.loop.Axes[1].Position = degrees(az), degrees(el)
	return b
}

// after lets time pass and takes orders; the loop obeys the commands by name.
func (b *bench) after(d time.Duration, orders ...Order) {
	b.t.Helper()
	b.at, b.now = b.at.Add(d*time.Duration(max(1, b.scale))), b.now+d
	b.loop.Now = b.now
	b.out = Step(&b.c, &b.s, &Inputs{At: b.at, Now: b.now, TimeScale: b.scale, Loop: &b.loop, Orders: given(orders, 0),
		NoiseDB: math.NaN()})
	if b.out.TimeScale > 0 {
		b.scale = b.out.TimeScale
	}
	b.asked = nil
	for _, m := range b.out.Commands {
		b.obey(m)
	}
}

// given are orders that were given after so many Stops.
func given(orders []Order, stops uint64) (all []Given) {
	for _, o := range orders {
		all = append(all, Given{o, stops})
	}
	return all
}

func (b *bench) obey(m step.Command) {
	switch m := m.(type) {
	case step.ToleranceTo, step.Quiet, step.BandTo, step.FeedTo, step.OutputsTo:
		return
	case step.Permit:
		b.loop.Permit.Requested, b.loop.Permit.Ordered = m.On && (m.Asked || b.loop.Permit.Requested), m.On && !m.Held
		b.loop.Permit.Granted = b.loop.Permit.Ordered
		if !m.Asked && m.On {
			return // a renewal
		}
	case step.Working:
		b.loop.Working = m.On
	case step.Power:
		b.loop.Power = step.PowerOff
		if m.On {
			b.loop.Power = step.PowerOn
		}
	case step.Follow:
		b.loop.Mode = step.Following
	case step.Slew:
		b.loop.Mode = step.Slewing
	case step.Hold:
		b.loop.Mode = step.Holding
	}
	b.asked = append(b.asked, m)
}

func (b *bench) kinds() string {
	var all []string
	for _, m := range b.asked {
		all = append(all, strings.ToLower(reflect.TypeOf(m).Name()))
	}
	return strings.Join(all, " ")
}

// sent are the commands of one type that the newest step gave.
func sent[T step.Command](b *bench) (all []T) {
	for _, m := range b.out.Commands {
		if m, ok := m.(T); ok {
			all = append(all, m)
		}
	}
	return all
}

func (b *bench) expect(commands string, a Activity) {
	b.t.Helper()
	if got := b.kinds(); got != commands {
		b.t.Fatalf("commands %q, want %q (events %v)", got, commands, b.out.Events)
	}
	if got := b.out.Status.Activity; got != a {
		b.t.Fatalf("activity %d, want %d (events %v)", got, a, b.out.Events)
	}
}

func (b *bench) said(code message.Code) bool {
	return slices.ContainsFunc(b.out.Events, func(e Event) bool { return e.Words.Has(code) })
}

func TestTrackPowersThenFollows(t *testing.T) {
	b := newBench(t)
	b.after(0)
	b.expect("", Idle)
	b.after(100*time.Millisecond, Track{On: true})
	b.expect("power", Tracking)
	b.after(100 * time.Millisecond)
	if b.kinds() != "follow" || !b.out.HasCourse || !b.asked[0].(step.Follow).Asked {
		t.Fatalf("asked %q, course %v", b.kinds(), b.out.HasCourse)
	}
	b.after(100 * time.Millisecond)
	b.expect("", Tracking)
	b.after(time.Second)
	if !b.out.HasCourse {
		t.Error("the course was not renewed after a second")
	}
	b.after(100*time.Millisecond, Track{})
	b.expect("hold", Holding)
}

func TestTrackGivesUpWithoutPower(t *testing.T) {
	b := newBench(t)
	b.after(100*time.Millisecond, Track{On: true})
	b.loop.Power = step.PowerOff
	b.after(2 * time.Second)
	if b.s.Aim != noAim || !b.said("desk.no-power") {
		t.Fatalf("aim %d, events %v", b.s.Aim, b.out.Events)
	}
}

func TestNotTrustedIsRefused(t *testing.T) {
	for _, o := range []Order{Track{On: true}, SlewTo{To: mount.AxisAngles{Az: 1, El: 1}}, Park{}, WindStow{}} {
		b := newBench(t)
		b.loop.Axes[1].Trusted = false
		b.after(0, o)
		b.expect("", Idle)
		if !b.said("desk.not-referenced") {
			t.Errorf("%T: %v", o, b.out.Events)
		}
	}
}

func TestCourseLiesOnTheTarget(t *testing.T) {
	b := newBench(t)
	b.s.setTrim(&b.c, mount.Offset{Cross: degrees(0.3), El: degrees(-0.2)}, b.at, false)
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	if b.out.Course.Count < 12 {
		t.Fatalf("only %d knots", b.out.Course.Count)
	}
	chain := b.s.chain(&b.c)
	for s := 0.0; s < 55; s += 0.7 {
		d := time.Duration(s * float64(time.Second))
		az, rate, _, _ := b.out.Course.At(b.now+d, mount.Azimuth)
		el, _, _, ok := b.out.Course.At(b.now+d, mount.Elevation)
		look := b.c.Sky.Look(b.c.Site(), ephem.MoonBody(), b.at.Add(d))
		beam := chain.Sky(mount.AxisAngles{Az: az, El: el})
		off := mount.Between(beam.Az, beam.El, look.Az, b.c.Air().Refracted(look.El))
		// A cubic through knots five seconds apart misses the Moon's way by far less than this.
		if !ok || off.Deg() > 1e-6 {
			t.Fatalf("after %v s the course is %v degrees off", s, off.Deg())
		}
		if v := unit.Angle(rate).Deg() * 3600; v < 12 || v > 20 {
			t.Fatalf("azimuth goes at %v degrees an hour", v)
		}
	}
}

func TestNudgeMovesTrimOrWant(t *testing.T) {
	b := newBench(t)
	up := Nudge{By: mount.Offset{El: degrees(0.5)}}
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	b.after(time.Second, up, up)
	if got := b.out.Status.Trim.El.Deg(); math.Abs(got-1) > 1e-9 || b.kinds() != "" {
		t.Fatalf("trim %v, commands %q", got, b.kinds())
	}
	b.after(time.Second, TrimBack{})
	if got := b.out.Status.Trim.El.Deg(); math.Abs(got-0.5) > 1e-9 {
		t.Fatalf("one step back gave %v", got)
	}
	b.after(time.Second, Hold{})
	b.after(2*time.Second, Nudge{By: mount.Offset{Cross: degrees(0.1)}})
	if b.kinds() != "setpointby" {
		t.Fatalf("commands %q", b.kinds())
	}
	// A tenth of a degree across at 40.1 degrees of elevation is 0.13 of the azimuth axis.
	if az := b.asked[0].(step.SetpointBy).By.Az.Deg(); math.Abs(az-0.1/math.Cos(40.1*math.Pi/180)) > 1e-4 {
		t.Errorf("azimuth by %v", az)
	}
}

func TestTrimBelongsToBandFeedAndKind(t *testing.T) {
	b := newBench(t)
	b.after(0, TrimTo{Trim: mount.Offset{Cross: degrees(0.4), El: degrees(0.1)}})
	b.after(0, BandTo{Band: 1})
	if got := b.out.Status.Trim; got.CrossEl != 0 || got.For != "5760 MHz, Moon" || got.CanGoBack {
		t.Errorf("trim on the other band: %+v", got)
	}
	if half := b.out.Status.Band.HalfPower.Deg(); math.Abs(half-0.611) > 0.01 {
		t.Errorf("beamwidth %v", half)
	}
	b.after(0, Choose{Body: BodyChoice{Kind: Sun, Name: "Sun"}}, TrimTo{Trim: mount.Offset{El: degrees(0.2)}})
	b.after(0, BandTo{Band: 0}, Choose{Body: BodyChoice{Kind: Moon, Name: "Moon"}})
	if got := b.out.Status.Trim.CrossEl.Deg(); math.Abs(got-0.4) > 1e-9 {
		t.Errorf("the Moon's trim on the first band came back as %v", got)
	}
}

func TestWaitsAtTheRisingPlaceAndHoldsAtSet(t *testing.T) {
	b := newBench(t)
	b.at = time.Date(2027, 4, 14, 8, 0, 0, 0, time.UTC) // the Moon is down
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	b.expect("slew", Waiting)
	rise := b.out.Status.Target.Rise
	look := b.c.Sky.Look(b.c.Site(), ephem.MoonBody(), rise)
	if to := b.asked[0].(step.Slew).To; math.Abs(to.Az.Deg()-look.Az.Deg()) > 0.01 || to.El < 0 {
		t.Fatalf("waits at %v, %v; it rises at azimuth %v", to.Az.Deg(), to.El.Deg(), look.Az.Deg())
	}
	b.loop.Mode = step.Holding
	b.after(rise.Sub(b.at) - 5*time.Second)
	b.expect("", Waiting)
	b.after(6 * time.Second)
	b.expect("follow", Tracking)
	if b.asked[0].(step.Follow).Asked {
		t.Error("a start hours after the press must sound the motion warning first")
	}
	b.after(2 * time.Second)
	set := b.out.Status.Target.Set
	b.after(set.Sub(b.at) + time.Second)
	b.expect("hold", Holding)
	if !b.said("desk.has-set") {
		t.Errorf("said %v", b.out.Events)
	}
}

func TestBeamOnTargetReferencesBothAxes(t *testing.T) {
	b := newBench(t)
	b.s.setTrim(&b.c, mount.Offset{Cross: degrees(1)}, b.at, false)
	b.loop.Axes[0].Position = degrees(116 + 360)
	b.after(0, BeamOnTarget{})
	b.expect("reference reference", Idle)
	// The turn of the cable is the one on which the axis stood, as far as the limits allow.
	r := sent[step.Reference](b)
	if az, el := r[0].Angle.Deg(), r[1].Angle.Deg(); math.Abs(az-115.4) > 0.2 || math.Abs(el-40.1) > 0.2 {
		t.Errorf("referenced at %v, %v", az, el)
	}
	if b.out.Status.Trim.CrossEl != 0 {
		t.Error("the old trim was kept")
	}
}

func TestTrackingEndsWhenTheLoopEndsIt(t *testing.T) {
	b := newBench(t)
	b.after(0, Track{On: true})
	b.after(100 * time.Millisecond)
	b.after(2 * time.Second)
	b.loop.Mode = step.Holding
	b.after(100 * time.Millisecond)
	b.expect("", Holding)
	if !b.said("desk.tracking-ended") {
		t.Errorf("said %v", b.out.Events)
	}
	b.loop.Mode, b.loop.Lock.Locked = step.LockedOut, true
	b.after(100 * time.Millisecond)
	b.expect("", LockedOut)
}

func TestParkArrives(t *testing.T) {
	b := newBench(t)
	b.after(0, Park{})
	b.after(100 * time.Millisecond)
	b.expect("slew", Parking)
	b.loop.Axes[0].Position, b.loop.Axes[1].Position = degrees(180), degrees(45)
	b.loop.Mode = step.Holding
	b.after(2 * time.Second)
	b.expect("", Parked)
	// Short of its place the way ended before it.
	b.after(0, WindStow{})
	b.after(2 * time.Second)
	b.loop.Mode = step.Holding
	b.after(2 * time.Second)
	b.expect("", Holding)
}

func TestPointingLoss(t *testing.T) {
	// Gaussian beam: half power at half the beamwidth, so 3.01 dB each way; 0.065 of it costs 0.1 dB of echo.
	if got := pointing.LossDB(degrees(0.5), degrees(1)); math.Abs(got-6.02) > 0.01 {
		t.Errorf("half a beamwidth off costs %v dB", got)
	}
	if got := pointing.LossDB(degrees(0.065), degrees(1)); math.Abs(got-0.1) > 0.005 {
		t.Errorf("0.065 beamwidths cost %v dB", got)
	}
}

// TestReferenceIsUndone: what a reference took the place of is in force again, trim and all.
func TestReferenceIsUndone(t *testing.T) {
	b := newBench(t)
	b.s.setTrim(&b.c, mount.Offset{Cross: degrees(1)}, b.at, false)
	b.after(0, BeamOnTarget{})
	r := b.out.Status.Referencing
	if !r.HasTarget || math.Abs(r.Az.Deg()-115.4) > 0.2 || math.Abs(r.El.Deg()-40.1) > 0.2 {
		t.Errorf("the target would put the axes at %v, %v", r.Az.Deg(), r.El.Deg())
	}
	for i, r := range sent[step.Reference](b) {
		b.loop.Axes[i].Position = r.Angle
	}
	b.after(time.Minute)
	b.loop.Axes[0].Position += degrees(5) // the dish has gone on meanwhile
	b.after(time.Minute)
	for i, want := range [2]float64{110.4, 40.1} {
		if u := b.out.Status.Referencing.Undo[i]; !u.Can || !u.Known || !u.Trusted || math.Abs(u.To.Deg()-want) > 1e-6 {
			t.Errorf("axis %d: %+v, want %v", i, u, want)
		}
	}
	b.loop.Moving = true
	b.after(0, UndoReference{})
	b.expect("", Idle)
	b.loop.Moving = false
	b.after(0, UndoReference{})
	b.expect("reference reference", Idle)
	if az := b.asked[0].(step.Reference).Angle.Deg(); math.Abs(az-110.4) > 1e-6 ||
		math.Abs(b.out.Status.Trim.CrossEl.Deg()-1) > 1e-9 {
		t.Errorf("undone to %v, trim %v", az, b.out.Status.Trim.CrossEl.Deg())
	}
	if b.after(0, UndoReference{}); len(b.asked) != 0 {
		t.Errorf("undone a second time: %v", b.asked)
	}
}

// TestUndoneReferenceOfAnUnknownAxis: it is no longer referenced, and the other axis keeps an older one.
func TestUndoneReferenceOfAnUnknownAxis(t *testing.T) {
	b := newBench(t)
	b.after(0, ReferenceTo{Axis: 1, Angle: degrees(41)})
	b.after(time.Hour)
	b.loop.Axes[0].Trusted = false
	b.after(0, ReferenceTo{Angle: degrees(10)})
	b.loop.Axes[0].Trusted, b.loop.Axes[0].Position = true, degrees(10)
	b.after(time.Second)
	if u := b.out.Status.Referencing.Undo; !u[0].Can || u[0].Known || u[0].Trusted || u[1].Can {
		t.Errorf("%+v", u)
	}
	b.after(0, UndoReference{})
	if c := b.out.Commands; len(c) == 0 || c[0] != (step.Distrust{Axis: 0}) {
		t.Errorf("commands %+v", c)
	}
}
