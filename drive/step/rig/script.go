package rig

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Do obeys one line of a transcript and returns what came of it: the events
// since the line before, and how drive and dish stand. An order makes one tick.
//
//	power on | power off | slew AZ EL | want AZ EL | by AZ EL | jog AZ EL |
//	follow AZ EL AZRATE ELRATE | course AZ EL AZRATE ELRATE
//	hold | stop | release | working on|off | permit on|off | window | no window | trust AXIS ANGLE |
//	distrust AXIS | cancel
//	unasked slew AZ EL
//	ticks N | until WORDS-OF-MODE | jogging AZ EL N
//	fault NAME on|off|VALUE
//	reading NAME VALUE | limit NAME VALUE | mark AXIS COUNTS-BACK | sun AZ EL | late MS |
//	clock SECONDS | offset SECONDS
func (r *Rig) Do(line string) (string, error) {
	words := strings.Fields(line)
	if len(words) == 0 {
		return "", fmt.Errorf("an empty line")
	}
	err := r.obey(words)
	if err != nil {
		return "", fmt.Errorf("%q: %w", line, err)
	}
	return r.tell(), nil
}

func (r *Rig) obey(words []string) error {
	switch words[0] {
	case "fault":
		return r.fault(words[1], words[2])
	case "reading":
		return r.reading(words[1], words[2])
	case "until":
		mode := strings.Join(words[1:], " ")
		if !r.Until(10*time.Minute, func() bool { return r.State.Mode.String() == mode }) {
			return fmt.Errorf("never %s", mode)
		}
		return nil
	case "limit":
		v, err := numbers(words[2:])
		return errors.Join(err, r.limit(words[1], v[0]))
	case "mark":
		v, err := numbers(words[2:])
		r.mark(words[1], int32(v[0]))
		return err
	}
	if done, err := r.passTime(words); done {
		return err
	}
	asked := words[0] != "unasked"
	if !asked {
		words = words[1:]
	}
	m, err := command(words, asked)
	if err == nil {
		r.Tick(m)
	}
	return err
}

// passTime obeys the lines that are a word and figures; false where it is none of them.
func (r *Rig) passTime(words []string) (bool, error) {
	v, err := numbers(words[1:])
	switch words[0] {
	case "ticks":
		for range int(v[0]) {
			r.Tick()
		}
	case "jogging":
		for range int(v[2]) {
			r.Tick(step.Jog{AzSpeed: v[0], ElSpeed: v[1], Asked: true})
		}
	case "late":
		r.Inputs.LateBy = time.Duration(v[0]) * time.Millisecond
		r.Tick()
		r.Inputs.LateBy = 0
	case "clock":
		r.Wall += time.Duration(v[0] * 1e9)
		r.Tick()
	case "offset":
		r.Inputs.ClockOffset, r.Inputs.HasClockOffset = time.Duration(v[0]*1e9), true
	case "sun":
		r.Inputs.Sun = mount.AxisAngles{Az: unit.AngleFromDeg(v[0]), El: unit.AngleFromDeg(v[1])}
		r.Inputs.HasSun = true
	case "follow":
		r.Follow(v[0], v[1], v[2], v[3])
		r.Tick(step.Follow{Asked: true})
	case "course": // renewed, without an order
		r.Follow(v[0], v[1], v[2], v[3])
		r.Tick()
	default:
		return false, nil
	}
	return true, err
}

// numbers reads up to four figures.
func numbers(words []string) (v [4]float64, err error) {
	for i, w := range words[:min(len(words), len(v))] {
		if err == nil {
			v[i], err = strconv.ParseFloat(w, 64)
		}
	}
	return v, err
}

// mark is the mark latch of an axis, entered that many counts ago in a long rise.
func (r *Rig) mark(name string, ago int32) {
	axis := step.Azimuth
	if name == "elevation" {
		axis = step.Elevation
	}
	l := &r.Inputs.Readings.Latches
	r.Inputs.Readings.HasLatches = true
	counts := r.Enclosure.Axes[axis].Counts
	r.State.Axes[axis].Rise = step.Rise{From: counts - 1<<20, Top: counts, Have: true}
	l.MarkCounts[axis] = counts - ago
	l.MarkEntries[axis]++
	r.Tick()
}

func command(words []string, asked bool) (m step.Command, err error) {
	on := words[len(words)-1] == "on"
	v, err := numbers(words[1:])
	to := mount.AxisAngles{Az: unit.AngleFromDeg(v[0]), El: unit.AngleFromDeg(v[1])}
	axis := step.Azimuth
	if len(words) > 1 && words[1] == "elevation" {
		axis = step.Elevation
	}
	switch words[0] {
	case "slew":
		return step.Slew{To: to, Asked: asked}, err
	case "want":
		return step.Setpoint{To: to, Asked: asked}, err
	case "by":
		return step.SetpointBy{By: to, Asked: asked}, err
	case "jog":
		return step.Jog{AzSpeed: v[0], ElSpeed: v[1], Asked: asked}, err
	case "trust":
		v, err = numbers(words[2:])
		return step.Reference{Axis: axis, Angle: unit.AngleFromDeg(v[0]), Origin: mount.ByHand}, err
	}
	m = map[string]step.Command{
		"power": step.Power{On: on, Asked: asked}, "permit": step.Permit{On: on, Asked: asked},
		"working": step.Working{On: on}, "hold": step.Hold{}, "stop": step.Stop{}, "release": step.Release{},
		"follow": step.Follow{Asked: asked}, "distrust": step.Distrust{Axis: axis},
		"offered": step.TrustOffered{Axis: axis}, "window": step.WindowAlive{},
		"cancel": step.CancelStart{}, "calm": step.CancelStow{},
	}[words[0]]
	if m == nil {
		return nil, fmt.Errorf("no such order")
	}
	return m, nil
}

// reading sets a reading by its name, with hyphens for spaces.
func (r *Rig) reading(name, value string) error {
	v, err := strconv.ParseFloat(value, 64)
	for i := range enclosure.ReadingCount {
		if strings.EqualFold(strings.ReplaceAll(enclosure.Describe(i).Name, " ", "-"), name) {
			r.Inputs.Readings.Raw[i] = enclosure.Raw(i, v)
			r.Inputs.Readings.Read |= 1 << i
			return err
		}
	}
	return fmt.Errorf("no such reading")
}

// limit sets one of the limits of the guards.
func (r *Rig) limit(name string, v float64) error {
	l := &r.Config.Guard
	figures := map[string]*float64{
		"reflected": &l.ReflectedHigh, "coolant": &l.CoolantHigh, "relay-low": &l.RelayLow, "relay-high": &l.RelayHigh,
		"wind-warn": &l.WindWarn, "wind-mean": &l.WindMean,
	}
	switch {
	case figures[name] != nil:
		*figures[name] = v
	case name == "permit-elevation":
		l.PermitElevation = unit.AngleFromDeg(v)
	case name == "mark-azimuth":
		r.Config.Axes[0].MarkAngle = unit.AngleFromDeg(v)
	case name == "sun":
		l.SunAway = unit.AngleFromDeg(v)
	case name == "closed": // azimuth, five degrees to either side, all elevations
		az := unit.AngleFromDeg(v)
		side := unit.AngleFromDeg(5)
		l.Closed[l.ClosedCount] = guard.Sector{From: az - side, To: az + side, High: unit.AngleFromDeg(90)}
		l.ClosedCount++
	case name == "structure": // least elevation between azimuths 110 and 120
		f := &r.Config.Structures
		f.Structures[f.Count] = mount.Structure{From: unit.AngleFromDeg(110), To: unit.AngleFromDeg(120),
			Min: unit.AngleFromDeg(v)}
		f.Count++
	default:
		return fmt.Errorf("no such limit")
	}
	return nil
}

// fault sets one of the enclosure's faults. A name ending in an axis belongs to that axis.
func (r *Rig) fault(name, value string) error {
	b := r.Enclosure
	on := value == "on"
	axis := 0
	if rest, found := strings.CutSuffix(name, "-el"); found {
		axis, name = 1, rest
	}
	name = strings.TrimSuffix(name, "-az")
	a := &b.Axes[axis]
	switches := map[string]*bool{
		"stop-circuit": &b.StopOpen, "hand-panel": &b.HandPanel, "door": &b.Door, "no-power": &b.NoPower,
		"drive-fault": &b.DriveFault,
		"keyed":       &b.Keyed, "both-ends": &b.BothEnds[axis], "locked": &a.Locked, "loose": &a.Loose,
		"reverse": &a.Reverse, "cut": &r.Cut, "deaf": &r.Deaf,
		"encoder-fault": &b.EncoderFault[axis], "wrong-map": &b.WrongMap, "wind-sensor": &b.WindFitted,
		"clock-stands": &b.ClockStands, "idle": &b.Idle, "runs-on": &b.Runs, "current-lost": &b.CurrentLost[axis],
	}
	if p := switches[name]; p != nil {
		*p = on
		return nil
	}
	v, err := strconv.ParseFloat(value, 64)
	switch name {
	case "restart":
		b.Restart()
		return nil
	case "drift": // degrees a second
		b.Drift[axis] = v * math.Pi / 180
	case "current": // amperes
		b.CurrentA[axis] = v
	case "impossible":
		b.Impossible[axis] += uint16(v)
	case "slips": // part of the travel that is not counted
		b.Slips[axis] = v
	case "gear": // how much faster the encoder turns
		a.Step /= v
	case "end": // the lower end switch, degrees
		b.Limits[axis][0] = v * math.Pi / 180
	default:
		return fmt.Errorf("no such fault")
	}
	return err
}

// tell says what happened since the last time and how things stand.
func (r *Rig) tell() string {
	var lines []string
	for _, e := range r.Told {
		lines = append(lines, fmt.Sprintf("%6.1f  %v", e.Now.Seconds(), e))
	}
	r.Told = r.Told[:0]
	v := &r.Status
	moving := "still"
	if v.Axes[0].Moving || v.Axes[1].Moving {
		moving = "moving"
	}
	stands := fmt.Sprintf(
		"%6.1f  %v, power %v, %s at %.1f %.1f, demand %d %d",
		v.Now.Seconds(),
		v.Mode,
		v.Power,
		moving,
		v.Axes[0].Position.Deg(),
		v.Axes[1].Position.Deg(),
		r.Out.Demand.Az/100,
		r.Out.Demand.El/100,
	)
	if v.Lock.Locked {
		cause := "the operator's Stop"
		if v.Lock.Cause.Code != guard.None {
			cause = v.Lock.Cause.Code.String()
		}
		stands += fmt.Sprintf(", locked out by %s", cause)
		if v.Lock.Releasable {
			stands += ", may be released"
		}
	}
	if v.StowsInSeconds > 0 {
		stands += fmt.Sprintf(", stow in %.0f s", v.StowsInSeconds)
	}
	if v.StowNow {
		stands += ", stow now"
	}
	if v.StowCancelled {
		stands += ", stow cancelled"
	}
	if v.Permit.Requested {
		stands += fmt.Sprintf(", permit %v", v.Permit.Ordered)
	}
	return strings.Join(append(lines, stands), "\n")
}
