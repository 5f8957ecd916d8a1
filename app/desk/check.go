package desk

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Check is the check at the start of a night, and what is usual.
type Check struct {
	Running bool
	// Doing says what it does now; Part how much of it all is done, 0 to 1.
	Doing string
	Part  float64
	// Last is the newest result, nil for none. It is not changed once published.
	Last *CheckResult
	// Unusual are the things out of what is usual now, by the key that NowUsual takes.
	Unusual []Unusual
	// Cable is what was lost on each band, apart while transmitting and while not; not changed once published.
	Cable []CableCount
}

// CheckResult is what a check came to.
type CheckResult struct {
	At      time.Time   `json:"at"`
	Long    bool        `json:"long"`
	Verdict string      `json:"verdict"`
	Grade   Grade       `json:"grade"`
	Lines   []CheckLine `json:"lines"`
}

// checkState is what the desk carries of it.
type checkState struct {
	Run  *checkRun
	Last *CheckResult
}

// checkRun is a check under way.
type checkRun struct {
	Long    bool
	Moves   []mount.Direction
	Move    int
	Phase   checkPhase
	At      step.Nanos // since when it is in this phase, or on this move
	Errors  uint64     // of the line when it began
	Replies uint64
	Lines   []CheckLine
	Before  station.Target // the target that was chosen before it went to the Sun
	Y       *ReceiverResult
}

// checkPhase: only turn.checking and turn.toSun change it.
type checkPhase uint8

const (
	checkMoves checkPhase = iota // the axes move to and fro; becomes checkQuiet
	checkQuiet                   // holding, for the level of cold sky; becomes checkToSun, or ends
	checkToSun                   // on the way to the Sun; becomes checkSun, or ends
	checkSun                     // the Sun's Y factor is being measured; ends
)

// The shape of a check.
const (
	checkWay    = 4 * time.Minute // the longest that a move may take
	checkSettle = 4 * time.Second
	checkSunEl  = 6 // degrees above the least elevation
)

// check begins a check, or says why not; the long form goes farther.
func (t *turn) check(long bool) {
	s, loop := t.s, t.in.Loop
	s.NudgeAt = t.in.Now
	run := &checkRun{
		Long:    long,
		At:      t.in.Now,
		Errors:  t.in.Around.Line.Errors,
		Replies: loop.Link.Replies,
		Before:  s.Choice,
	}
	why := ""
	switch {
	case t.busy() != "":
		why = t.busy()
	case s.Rounds.Running:
		why = "an automatic survey is running"
	case s.Armed.Has && !s.Armed.Question:
		why = "a pass is armed"
	case !t.trusted():
		why = "the axes are not referenced; set the reference first"
	case loop.Mode != step.Holding && loop.Mode != step.Resting:
		why = "the dish must be at rest"
	default:
		why = t.mayNotMove()
	}
	if why == "" {
		if run.Moves = t.checkMoves(long); len(run.Moves) == 0 {
			why = "there is no room to move either axis here"
		}
	}
	if why != "" {
		t.say(Warning, "Station check not started: %s", why)
		return
	}
	s.Check.Run = run
	s.Watch.BeginCheck()
	t.say(Normal, "Station check started: the dish moves back and forth")
	t.goTo(slewAim, run.Moves[0], true)
}

// checkMoves are the places to go to: both axes one way and back; in the long form each over more of its way.
func (t *turn) checkMoves(long bool) (moves []mount.Direction) {
	here := axesOf(t.in.Loop)
	at := here
	visit := func(az, el unit.Angle) bool {
		to := mount.Direction{Az: here.Az + az, El: here.El + el}
		if !t.c.Allowed(to) || t.beam().Refused(to) != "" {
			return false
		}
		moves, at = append(moves, to), to
		return true
	}
	az, el := t.checkReach(mount.Azimuth), t.checkReach(mount.Elevation)
	_ = visit(az, el) || visit(-az, el) || visit(az, -el) || visit(-az, -el) || visit(az, 0) || visit(-az, 0) ||
		visit(0, el) ||
		visit(0, -el)
	if long {
		for _, far := range [...]float64{60, -30} {
			visit(degrees(far), 0)
		}
		for _, high := range [...]float64{15, 40, 80, 40} {
			visit(0, degrees(high)-here.El)
		}
	}
	if at != here {
		visit(0, 0)
	}
	return moves
}

// checkReach is how far an axis must go to be driven steadily for some seconds; none where it isn't fitted.
func (t *turn) checkReach(axis int) unit.Angle {
	if !t.c.Drive.Axes[axis].Fitted {
		return 0
	}
	d := &t.c.Drive.Axes[axis].Drive
	top, acceleration := d.TopSpeed.Deg(), t.c.Settings.Axes.Azimuth.AccelerationDegPerS2
	if axis == mount.Elevation {
		acceleration = t.c.Settings.Axes.Elevation.AccelerationDegPerS2
	}
	return degrees(max(2, min(top*top/max(0.01, acceleration)+6*top, 30)))
}

// checking moves a check on.
func (t *turn) checking() {
	s := t.s
	r := s.Check.Run
	if r == nil {
		return
	}
	if why := t.mayNotMove(); why != "" {
		t.endCheck(why)
		return
	}
	since := t.in.Now - r.At
	switch r.Phase {
	case checkMoves:
		switch {
		case since > checkWay:
			t.endCheck("the dish did not come to where it should be")
		case s.Waiting.Is || since < acknowledge || len(s.Legs) > 0:
		case near(t.in.Loop, r.Moves[r.Move]) && t.in.Loop.Mode == step.Holding && s.Aim == noAim:
			r.Move++
			r.At = t.in.Now
			if r.Move == len(r.Moves) {
				r.Phase = checkQuiet
				return
			}
			t.begin(slewAim, r.Moves[r.Move], true)
		case s.Aim == noAim && since > 2*acknowledge:
			t.endCheck("a slew ended early")
		}
	case checkQuiet:
		if since < checkSettle {
			return
		}
		r.Lines = append(r.Lines, t.quietLine())
		if why := t.toSun(r); why != "" {
			r.Lines = append(r.Lines, CheckLine{What: "Sun noise", Words: "not measured: " + why})
			t.finishCheck(r)
		}
	case checkToSun, checkSun:
		t.checkOnSun(r, since)
	}
}

// toSun sets off for the Sun, or says why not.
func (t *turn) toSun(r *checkRun) string {
	d, _, ok := t.c.Place(t.c.Sun(), t.in.At)
	switch {
	case !ok || d.El < t.c.Least()+degrees(checkSunEl):
		return "the Sun is not high enough"
	case d.El > degrees(80):
		return "the Sun is too near the zenith"
	case t.c.Settings.Sun.KeepAwayDeg > 0:
		return "the dish keeps away from the Sun"
	case !t.heard():
		return "there is no usable level"
	}
	t.choose(t.c.Sun())
	r.Phase, r.At = checkToSun, t.in.Now
	t.begin(trackAim, mount.Direction{}, true)
	return ""
}

// checkOnSun goes on with the Sun: the Y factor is the receiver's own job.
func (t *turn) checkOnSun(r *checkRun, since step.Nanos) {
	s := t.s
	unmeasured := func(why string) {
		r.Lines = append(r.Lines, CheckLine{What: "Sun noise", Words: "not measured: " + why, Grade: Notice})
		t.finishCheck(r)
	}
	switch {
	case r.Phase == checkToSun && (since > checkWay || s.Aim != trackAim && since > 2*acknowledge):
		unmeasured("it was not reached")
	case r.Phase == checkToSun:
		if since < checkSettle || !pursuing(t.in.Loop.Mode) || len(s.Legs) > 0 || t.offTarget() {
			return
		}
		r.Y = s.Receiver.Last
		if t.measureY(); s.Receiver.Run == nil {
			unmeasured("the receiver can't be measured now")
			return
		}
		r.Phase, r.At = checkSun, t.in.Now
	case s.Receiver.Run == nil:
		last := s.Receiver.Last
		if last == nil || last == r.Y || last.Why != "" {
			unmeasured("no good Y factor")
			return
		}
		r.Lines = append(r.Lines, t.sunLine(last))
		t.finishCheck(r)
	}
}

// finishCheck judges what was seen, and holds.
func (t *turn) finishCheck(r *checkRun) {
	s := t.s
	lines := []CheckLine{watching.LinkLine(t.in.Loop.Link.Replies-r.Replies, t.in.Around.Line.Errors-r.Errors)}
	lines = append(lines, s.Watch.ReadingLines(t.c, t.in.Loop)...)
	lines = append(lines, s.Watch.AxisLines()...)
	lines = append(lines, watching.ReferenceLine(t.in.Loop, t.c.Beamwidth(s.Band, s.Feed)))
	lines = append(lines, r.Lines...)
	res := &CheckResult{At: t.in.At, Long: r.Long, Lines: lines}
	odd, worst := 0, ""
	for _, l := range lines {
		if l.Grade >= Warning {
			odd++
			if l.Grade > res.Grade || worst == "" {
				worst = l.What + " " + l.Words
			}
		}
		res.Grade = max(res.Grade, l.Grade)
	}
	switch odd {
	case 0:
		res.Verdict = "No fault found"
	case 1:
		res.Verdict = "One item needs attention: " + worst
	default:
		res.Verdict = fmt.Sprintf("%d items need attention, first: %s", odd, worst)
	}
	s.Check.Last = res
	t.leaveCheck(r, true)
	t.say(res.Grade, "Station check: %s", res.Verdict)
}

// endCheck ends a check without a result.
func (t *turn) endCheck(why string) {
	r := t.s.Check.Run
	if r == nil {
		return
	}
	t.leaveCheck(r, true)
	t.say(Notice, "Station check ended: %s", why)
}

// overtakeCheck ends a check when the operator does something else with the dish.
func (t *turn) overtakeCheck(o Order) {
	r := t.s.Check.Run
	if r == nil {
		return
	}
	directs := false // the order itself says what the dish does
	switch o.Kind {
	case Stop, Track, Hold, SlewTo, Park, WindStow, SnowStow, Nudge, Jog, Push:
		directs = true
	case Choose, TakePeak, MeasureY, Compare, BandTo, Power, Working, RoundsTo, Arm, BeamOnTarget, ReferenceTo,
		UndoReference:
	default:
		return
	}
	t.leaveCheck(r, !directs)
	t.say(Notice, "Station check ended: the operator has taken over")
}

// leaveCheck gives the target back, and lets the dish hold where nothing else is to come.
func (t *turn) leaveCheck(r *checkRun, hold bool) {
	s := t.s
	s.Check.Run = nil
	if r.Phase == checkSun {
		t.endReceiving("the station check has ended")
	}
	if hold && (s.Aim == trackAim || s.Aim == slewAim || s.Waiting.Is) {
		s.seek(noAim, t.in.Now)
		t.ask(step.Command{Kind: step.Hold})
	}
	if s.Choice != r.Before {
		t.choose(r.Before)
	}
}

// checkStatus is the check as the status tells it.
func (t *turn) checkStatus() Check {
	out := Check{Last: t.s.Check.Last, Cable: t.s.Watch.Past.Cable.Counts, Unusual: t.s.Watch.Unusual()}
	r := t.s.Check.Run
	if r == nil {
		return out
	}
	out.Running = true
	out.Part = 0.7 * float64(r.Move) / float64(max(1, len(r.Moves)))
	switch r.Phase {
	case checkMoves:
		out.Doing = fmt.Sprintf("move %d of %d", r.Move+1, len(r.Moves))
	case checkQuiet:
		out.Doing = "listening"
	case checkToSun:
		out.Doing = "slewing to the Sun"
	case checkSun:
		out.Doing, out.Part = "on the Sun", 0.8
	}
	out.Part = math.Min(out.Part, 1)
	return out
}
