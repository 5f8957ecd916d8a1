package step_test

import (
	"fmt"
	"math"
	"reflect"
	"testing"
	"time"

	"github.com/soniakeys/unit"
	"pgregory.net/rapid"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// TestProperties lets an operator who does anything at all work a dish whose
// faults come and go, a minute at a time, and looks at every tick. How often:
// -rapid.checks.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := step.Default()
		if rapid.Bool().Draw(t, "fine counts without backlash") {
			for i := range c.Axes {
				c.Axes[i].Scale.Step, c.Axes[i].Drive.Backlash = unit.AngleFromDeg(0.01), 0
			}
		}
		w := watch{r: rig.NewWith(c, rapid.Float64Range(-45, 405).Draw(t, "az"),
			rapid.Float64Range(0, 90).Draw(t, "el"))}
		w.r.AfterTick = func(*rig.Rig) {
			if w.fault == "" {
				w.look()
			}
		}
		for w.r.Inputs.Now < time.Minute {
			w.act(t)
			if w.fault != "" {
				t.Fatalf("at %v: %s", w.r.Inputs.Now, w.fault)
			}
		}
	})
}

// watch is what is followed from tick to tick.
type watch struct {
	r          *rig.Rig
	fault      string
	pressed    time.Duration // when drive power was last asked for or announced
	wasPowered bool
	stopped    [2]int     // ticks since Stop or a trip, with nothing started since
	speed      [2]float64 // greatest allowed since
	applied    [2]float64 // drive applied at the end of the tick before
	into       [2][2]int  // ticks of demand into an open end, low and high
	demand     [2]int16
	heard      time.Duration // when the newest reply came
	silent     time.Duration // since when nothing got through
	silentAt   [2]float64
	unsure     bool // the position was given up at some time
	misplaced  bool // an end switch was put elsewhere
	asked      bool // motion was ordered since the last Stop or lock-out
	parted     [2]parting
}

func (w *watch) act(t *rapid.T) {
	r := w.r
	number := rapid.OneOf(rapid.Float64Range(-60, 420),
		rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, 0, 90, 405, -45}))
	part := rapid.OneOf(rapid.Float64Range(-1.5, 1.5), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1)}))
	switch what := rapid.SampledFrom([]string{"command", "command", "slew", "slew", "power", "power", "jog", "push",
		"course", "fault", "wait", "wait", "release", "stop"}).Draw(t, "what"); what {
	case "command":
		m := anyCommand(t, number, part)
		switch m.(type) {
		case step.Reference, step.Distrust, step.TrustOffered:
			w.unsure = true
		}
		w.tick(m)
	case "slew":
		w.tick(rig.SlewTo(rapid.Float64Range(-45, 405).Draw(t, "az"), rapid.Float64Range(0, 90).Draw(t, "el")))
	case "power":
		w.tick(step.Power{On: true, Asked: true})
		r.Run(time.Second)
	case "jog", "push":
		az, el := rapid.Float64Range(-1, 1).Draw(t, "az"), rapid.Float64Range(-1, 1).Draw(t, "el")
		var m step.Command = step.Jog{AzSpeed: az, ElSpeed: el, Asked: true}
		if what == "push" {
			m = step.Push{AzDrive: az, ElDrive: el, Asked: true}
		}
		for range rapid.IntRange(1, 40).Draw(t, "ticks") {
			w.tick(m)
		}
	case "course":
		r.Follow(number.Draw(t, "az"), number.Draw(t, "el"), rapid.Float64Range(-1, 1).Draw(t, "az rate"),
			rapid.Float64Range(-1, 1).Draw(t, "el rate"))
		w.tick(step.Follow{Asked: true})
	case "fault":
		w.toggle(rapid.SampledFrom([]string{"cut", "deaf", "stop", "hand", "door", "supply", "fault", "ends", "locked",
			"restart", "end",
			"slips", "slips by half", "clock", "idle", "wall", "current"}).Draw(t, "fault"))
	case "release":
		w.tick(step.Release{})
	case "stop":
		w.tick(step.Stop{})
	}
	r.Run(time.Duration(rapid.IntRange(0, 30).Draw(t, "ticks")) * 100 * time.Millisecond)
}

// anyCommand is one of any type, with any figures at all in its fields.
func anyCommand(t *rapid.T, degrees, part *rapid.Generator[float64]) step.Command {
	m := reflect.New(reflect.TypeOf(rapid.SampledFrom(step.Commands()).Draw(t, "command"))).Elem()
	var fill func(v reflect.Value)
	fill = func(v reflect.Value) {
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			switch f := v.Field(i); {
			case f.Kind() == reflect.Struct:
				fill(f)
			case f.Kind() == reflect.Bool:
				f.SetBool(rapid.Bool().Draw(t, name))
			case f.Type() == reflect.TypeFor[unit.Angle]():
				f.SetFloat(unit.AngleFromDeg(degrees.Draw(t, name)).Rad())
			case f.CanFloat():
				f.SetFloat(part.Draw(t, name))
			case name == "Axis":
				f.SetInt(int64(rapid.IntRange(-1, 2).Draw(t, name)))
			case f.CanInt():
				f.SetInt(int64(rapid.Int32().Draw(t, name)))
			default:
				f.SetUint(uint64(rapid.Uint8().Draw(t, name)))
			}
		}
	}
	fill(m)
	return m.Interface().(step.Command)
}

func (w *watch) toggle(name string) {
	b := w.r.Enclosure
	switches := map[string]*bool{"cut": &w.r.Cut, "deaf": &w.r.Deaf, "stop": &b.StopOpen, "hand": &b.HandPanel,
		"door": &b.Door, "supply": &b.NoPower,
		"fault": &b.DriveFault, "ends": &b.BothEnds[1], "locked": &b.Axes[0].Locked, "clock": &b.ClockStands,
		"idle": &b.Idle, "current": &b.CurrentLost[1]}
	switch p := switches[name]; {
	case p != nil:
		*p = !*p
		if name == "locked" {
			w.stopped[0] = 0 // a motor that comes free turns as its drive, which runs down, still asks
		}
	case name == "restart":
		b.Restart()
		w.unsure = true
	case name == "end":
		b.Limits[0][1] = b.Axes[0].Dish // the upper end of azimuth is here
		w.misplaced = true
	case name == "wall":
		w.r.Wall += time.Hour
	case name == "slips", name == "slips by half":
		w.unsure = true
		switch {
		case b.Slips[0] != 0:
			b.Slips[0] = 0
		case name == "slips":
			b.Slips[0] = 1
		default:
			b.Slips[0] = 0.5
		}
	}
}

func (w *watch) tick(m step.Command) {
	switch m := m.(type) {
	case step.Power:
		if m.On && (m.Asked || m.Announced) {
			w.pressed = w.r.Inputs.Now + 1
		}
	case step.Stop:
		w.asked = false
	case step.Slew, step.Follow, step.Jog, step.Push, step.Setpoint, step.SetpointBy:
		w.asked = true
	}
	w.r.Tick(m)
}

// look checks one tick.
func (w *watch) look() {
	r := w.r
	d := r.Out.Demand
	say := func(format string, values ...any) {
		if w.fault == "" {
			w.fault = fmt.Sprintf(format, values...)
		}
	}
	powered := d.Orders.Has(enclosure.OrderPower)
	if powered && !w.wasPowered && (w.pressed == 0 || r.Inputs.Now-w.pressed > 2*time.Second) {
		say("power came on without a press")
	}
	if powered && !w.wasPowered && (d.Az != 0 || d.El != 0 || d.Clear != 0) {
		say("power was asked for with demand %d %d, clearing %v", d.Az, d.El, d.Clear)
	}
	w.wasPowered = powered
	if d.Orders&^enclosure.AllOrders != 0 || d.WatchdogMillis < 200 || d.WatchdogMillis > 2000 {
		say("orders %v, watchdog %d", d.Orders, d.WatchdogMillis)
	}
	if s := &r.State; (s.Mode == step.LockedOut || s.Mode == step.Idle || s.Stop != step.StopNone) &&
		(d.Az != 0 || d.El != 0) {
		say("%v, stop %v: demand %d %d", s.Mode, s.Stop, d.Az, d.El)
	}
	if s := &r.State; d.Orders.Has(enclosure.OrderPermit) &&
		(!s.Permit.Requested || s.Permit.Held || s.Lock.Locked || s.Stop == step.StopAsked || s.Working ||
			s.Observed.Door || s.Observed.Hand || s.Observed.StopOpen || s.Guard.Stands(guard.LinkLost)) {
		say("permit given: %+v, %v, stop %v, working %v", s.Permit, s.Mode, s.Stop, s.Working)
	}
	// Nothing moves unasked: not what was ordered before a Stop or a lock-out, and not by power alone.
	if w.asked = w.asked && !r.State.Lock.Locked; !w.asked && (d.Az != 0 || d.El != 0) {
		say("%v with demand %d %d: no motion was ordered since the last Stop or lock-out", r.State.Mode, d.Az, d.El)
	}
	w.lookLock(say)
	for i := range 2 {
		w.lookAxis(i, d.Axis(i), say)
		w.lookTrust(i, say)
	}
	w.lookLink(say)
	// With no reply for two link-loss times what may still get through has to be off.
	if r.Inputs.Reply.Fresh || w.heard == 0 {
		w.heard = r.Inputs.Now
	}
	loss := max(r.Config.Guard.LinkPowered, 4*r.Config.Tick)
	if r.Inputs.Now-w.heard > 2*loss && d.Orders&(enclosure.OrderPower|enclosure.OrderPermit) != 0 {
		say("orders %v with no reply for %v", d.Orders, r.Inputs.Now-w.heard)
	}
}

func (w *watch) lookAxis(i int, demand int16, say func(string, ...any)) {
	r := w.r
	a := &r.Enclosure.Axes[i]
	if demand > enclosure.FullDrive || demand < -enclosure.FullDrive {
		say("demand %d", demand)
	}
	if change := int(demand) - int(w.demand[i]); demand != 0 && (change > 1501 || change < -1501) {
		say("axis %d: demand from %d to %d in one tick", i, w.demand[i], demand)
	}
	w.demand[i] = demand
	seen := &r.State.Observed
	for end, into := range [2]bool{seen.EndLow[i] && demand < 0, seen.EndHigh[i] && demand > 0} {
		w.into[i][end]++
		if !into {
			w.into[i][end] = 0
		}
		if w.into[i][end] > 2 {
			say("axis %d is driven into its open end for %d ticks", i, w.into[i][end])
		}
	}
	// After a stop the enclosure's ramp still runs down and the motor follows it:
	// the speed may rise to that of the drive applied at the stop, and falls from then on.
	speed := math.Abs(a.Speed)
	switch {
	case r.State.Stop == step.StopNone || w.silent != 0:
		w.stopped[i] = 0
	case w.stopped[i] == 0:
		w.stopped[i] = 1
		w.speed[i] = max(speed, w.applied[i]*a.TopSpeed, math.Abs(a.Duty)*a.TopSpeed)
	default:
		if speed > w.speed[i]+1e-9 {
			say("axis %d: after Stop the speed rose from %v to %v", i, w.speed[i], speed)
		}
		if w.stopped[i]++; w.stopped[i] > 10 {
			w.speed[i] = speed
		}
	}
	w.applied[i] = math.Abs(a.Applied)
	l := &r.Config.Axes[i].Limits
	slack := r.Config.Axes[i].Drive.StoppingDistance()
	// A switch that contradicts the position ends its reference, and with it the soft limits.
	w.unsure = w.unsure || w.misplaced && !r.State.Axes[i].Trusted
	if at := unit.Angle(a.Dish); !w.unsure && (at > l.SoftHigh+slack || at < l.SoftLow-slack) {
		say("axis %d at %.2f degrees, beyond its soft limit", i, at.Deg())
	}
}

// lookLock: locked out means no demand, no start, and no power where the trip takes it.
func (w *watch) lookLock(say func(string, ...any)) {
	s, d := &w.r.State, w.r.Out.Demand
	if s.Lock.Locked != (s.Mode == step.LockedOut) {
		say("lock %+v in mode %v", s.Lock, s.Mode)
	}
	if s.Lock.Locked && (d.Az != 0 || d.El != 0 || s.Power == step.PowerClearing || s.Power == step.PowerAsked) {
		say("locked out by %v: demand %d %d, power %v", s.Lock.Cause.Code, d.Az, d.El, s.Power)
	}
	if s.Lock.Locked && guard.RowOf(s.Lock.Cause.Code).Response == guard.TripPower &&
		d.Orders.Has(enclosure.OrderPower) {
		say("locked out by %v with drive power ordered", s.Lock.Cause.Code)
	}
}

// parting is how counts and truth part under a trusted reference.
type parting struct {
	trusted bool
	missed  int32 // counts not counted, in the tick before
	lost    int32 // and of them those that the guard has to see, since the trust, the loss or fast motion began
}

// mayPart is how far the dish may go one way while it is trusted and its encoder loses half of its
// counts, driven fast, or all of them. The guard finds 0.41 degree lacking of the least that a
// sound axis goes, four fifths of its speed beyond the minimum drive: where half is counted that is
// after 0.41 / (0.8 * 0.97 - 0.5) = 1.5 degrees (TestLossesAtTopSpeed). From rest, and more so
// after a reversal, its model of the drive is behind the axis by a tenth of the acceleration and up
// to 0.8 s (1.6 degrees), what the axis has shown of its speed sinks by a twentieth meanwhile
// (0.3), backlash is let pass (0.15), a count has to come and a tick to pass (0.4), and half a
// count is lost whole (0.2).
var mayPart = unit.AngleFromDeg(4.1).Rad()

// lookTrust: the trust ends where counts are lost, as soon as travel can show it. What was
// lost before, and no more is, only the mark can show.
func (w *watch) lookTrust(i int, say func(string, ...any)) {
	p, a, slips := &w.parted[i], &w.r.Enclosure.Axes[i], w.r.Enclosure.Slips[i]
	missed := a.Counts - w.r.Enclosure.Counts(i)
	trusted := w.r.State.Axes[i].Trusted
	if !trusted || !p.trusted || slips == 0 {
		*p = parting{trusted: trusted, missed: missed}
		return
	}
	switch fast := math.Abs(a.Speed) > 0.3*a.TopSpeed && a.Applied*a.Speed > 0.3*math.Abs(a.Speed); {
	case !w.r.Inputs.Reply.Fresh: // nothing shows while no reply comes
	case slips == 1 || fast:
		p.lost += missed - p.missed
	default:
		p.lost = 0
	}
	p.missed = missed
	if gone := math.Abs(float64(p.lost)) * a.Step / slips; gone > mayPart {
		say("axis %d is trusted %d counts off, after %.2f degrees", i, p.lost, unit.Angle(gone).Deg())
	}
}

// lookLink: with nothing getting through, no motion beyond watchdog time and stopping distance.
func (w *watch) lookLink(say func(string, ...any)) {
	r := w.r
	if !r.Cut {
		w.silent = 0
		return
	}
	if w.silent == 0 {
		w.silent = r.Inputs.Now
		w.silentAt = [2]float64{r.Enclosure.Axes[0].Dish, r.Enclosure.Axes[1].Dish}
	}
	for i := range 2 {
		margin := r.Config.Axes[i].Drive.Margin(r.Config.Watchdog + 2*r.Config.Tick).Rad()
		if gone := math.Abs(r.Enclosure.Axes[i].Dish - w.silentAt[i]); gone > margin {
			say("axis %d went %.2f degrees with the line cut", i, unit.Angle(gone).Deg())
		}
	}
}
