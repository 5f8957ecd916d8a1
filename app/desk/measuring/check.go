package measuring

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Check is the check at the start of a night, and what is usual.
type Check struct {
	Running bool
	// Doing says what it does now; Part how much of it all is done, 0 to 1.
	Doing    message.Message
	Part     float64
	Progress // its moves, as long as it moves
	// Last is the newest result, nil for none. It is not changed once published.
	Last *CheckResult
	// Unusual are the things out of what is usual now, by the key that NowUsual takes.
	Unusual []watching.Unusual
	// Baselines are what is usual of the readings, unusual or not; not changed once published.
	Baselines []watching.Baseline
	// Cable is what was lost on each band, apart while transmitting and while not; not changed once published.
	Cable []watching.CableCount
}

// CheckResult is what a check came to.
type CheckResult struct {
	At      time.Time            `json:"at"`
	Long    bool                 `json:"long"`
	Verdict message.Message      `json:"verdict"`
	Grade   alarm.Grade          `json:"grade"`
	Lines   []watching.CheckLine `json:"lines"`
}

// checkState is what the desk carries of it.
type checkState struct {
	Run  *checkRun
	Last *CheckResult
}

// checkRun is a check under way.
type checkRun struct {
	Long    bool
	Moves   []mount.AxisAngles
	Move    int
	Phase   checkPhase
	Begun   step.Nanos
	At      step.Nanos // since when it is in this phase, or on this move
	Errors  uint64     // of the line when it began
	Replies uint64
	Lines   []watching.CheckLine
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
	checkMove   = 15 * time.Second // about, of a move
	checkSunEl  = 6                // degrees above the least elevation
)

// check begins a check, or says why not; the long form goes farther.
func (w *work) check(long bool) {
	s, loop := w.s, w.in.Loop
	w.pressed()
	run := &checkRun{
		Long:    long,
		Begun:   w.in.Now,
		At:      w.in.Now,
		Errors:  w.in.LineErrors,
		Replies: loop.Link.Replies,
		Before:  w.in.Target,
	}
	why := message.Message{}
	switch {
	case w.busy().Code != "":
		why = w.busy()
	case s.Rounds.Running:
		why = message.Of("measuring.survey-runs")
	case w.in.Armed:
		why = message.Of("measuring.armed")
	case !pointing.Referenced(w.in.Loop):
		why = message.Of("desk.not-referenced")
	case loop.Mode != step.Holding && loop.Mode != step.Idle:
		why = message.Of("check.not-at-rest")
	default:
		why = w.mayNotMove()
	}
	if why.Code == "" {
		if run.Moves = w.checkMoves(long); len(run.Moves) == 0 {
			why = message.Of("check.no-room")
		}
	}
	if why.Code != "" {
		w.say(alarm.Warning, "check.not-started", why)
		return
	}
	s.Check.Run = run
	w.ask(BeginCheck{})
	w.say(alarm.Normal, "check.started")
	w.ask(Slew{To: run.Moves[0], First: true})
}

// checkMoves are the places to go to: both axes one way and back; in the long form each over more of its way.
func (w *work) checkMoves(long bool) (moves []mount.AxisAngles) {
	here := pointing.AxesOf(w.in.Loop)
	at := here
	visit := func(az, el unit.Angle) bool {
		to := mount.AxisAngles{Az: here.Az + az, El: here.El + el}
		if !w.c.Allowed(to) || w.in.Beam.Refused(to).Code != "" {
			return false
		}
		moves, at = append(moves, to), to
		return true
	}
	az, el := w.checkReach(mount.Azimuth), w.checkReach(mount.Elevation)
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
func (w *work) checkReach(axis int) unit.Angle {
	if !w.c.Drive.Axes[axis].Fitted {
		return 0
	}
	d := &w.c.Drive.Axes[axis].Drive
	top, acceleration := d.TopSpeed.Deg(), w.c.Settings.Axes.Azimuth.AccelerationDegPerS2
	if axis == mount.Elevation {
		acceleration = w.c.Settings.Axes.Elevation.AccelerationDegPerS2
	}
	return degrees(max(2, min(top*top/max(0.01, acceleration)+6*top, 30)))
}

// checking moves a check on.
func (w *work) checking() {
	s := w.s
	r := s.Check.Run
	if r == nil {
		return
	}
	if why := w.mayNotMove(); why.Code != "" {
		w.endCheck(why)
		return
	}
	since := w.in.Now - r.At
	switch r.Phase {
	case checkMoves:
		switch {
		case since > checkWay:
			w.endCheck(message.Of("check.dish-late"))
		case w.in.Powering || since < pointing.Acknowledge || w.in.Detour:
		case pointing.Near(w.in.Loop, r.Moves[r.Move]) && w.in.Loop.Mode == step.Holding && w.in.Idle:
			r.Move++
			r.At = w.in.Now
			if r.Move == len(r.Moves) {
				r.Phase = checkQuiet
				return
			}
			w.ask(Slew{To: r.Moves[r.Move], Asked: true})
		case w.in.Idle && since > 2*pointing.Acknowledge:
			w.endCheck(message.Of("check.slew-ended"))
		}
	case checkQuiet:
		if since < checkSettle {
			return
		}
		r.Lines = append(r.Lines, w.quietLine())
		if why := w.toSun(r); why.Code != "" {
			r.Lines = append(r.Lines, watching.CheckLine{What: "Sun noise", Words: message.Of("check.unmeasured", why)})
			w.finishCheck(r)
		}
	case checkToSun, checkSun:
		w.checkOnSun(r, since)
	}
}

// toSun sets off for the Sun, or says why not.
func (w *work) toSun(r *checkRun) message.Message {
	d, _, ok := w.c.Place(w.c.Sun(), w.in.At)
	switch {
	case !ok || d.El < w.c.Min()+degrees(checkSunEl):
		return message.Of("check.sun-low")
	case d.El > degrees(80):
		return message.Of("check.sun-zenith")
	case w.c.Settings.Sun.KeepAwayDeg > 0:
		return message.Of("check.keeps-from-sun")
	case !w.heard():
		return message.Of("check.no-level")
	}
	w.ask(Choose{w.c.Sun()})
	r.Phase, r.At = checkToSun, w.in.Now
	w.ask(Track{})
	return message.Message{}
}

// checkOnSun goes on with the Sun: the Y factor is the receiver's own job.
func (w *work) checkOnSun(r *checkRun, since step.Nanos) {
	s := w.s
	unmeasured := func(why message.Code) {
		r.Lines = append(r.Lines, watching.CheckLine{What: "Sun noise",
			Words: message.Of("check.unmeasured", message.Of(why)), Grade: alarm.Notice})
		w.finishCheck(r)
	}
	switch {
	case r.Phase == checkToSun && (since > checkWay || !w.in.Tracking && since > 2*pointing.Acknowledge):
		unmeasured("measuring.unreached")
	case r.Phase == checkToSun:
		if since < checkSettle || !pointing.Follows(w.in.Loop.Mode) || w.in.Detour || w.offTarget() {
			return
		}
		r.Y = s.Receiver.Last
		if w.measureY(); s.Receiver.Run == nil {
			unmeasured("check.no-receiver")
			return
		}
		r.Phase, r.At = checkSun, w.in.Now
	case s.Receiver.Run == nil:
		last := s.Receiver.Last
		if last == nil || last == r.Y || last.Why.Code != "" {
			unmeasured("check.no-y")
			return
		}
		r.Lines = append(r.Lines, w.sunLine(last))
		w.finishCheck(r)
	}
}

// finishCheck judges what was seen, and holds.
func (w *work) finishCheck(r *checkRun) {
	s := w.s
	lines := []watching.CheckLine{watching.LinkLine(w.in.Loop.Link.Replies-r.Replies, w.in.LineErrors-r.Errors)}
	lines = append(lines, w.in.Watch.ReadingLines(w.c, w.in.Loop)...)
	lines = append(lines, w.in.Watch.AxisLines()...)
	lines = append(lines, watching.ReferenceLine(w.in.Loop, w.c.Beamwidth(w.in.Band, w.in.Feed)))
	lines = append(lines, r.Lines...)
	res := &CheckResult{At: w.in.At, Long: r.Long, Lines: lines}
	odd, worst := 0, message.Message{}
	for _, l := range lines {
		if l.Grade >= alarm.Warning {
			odd++
			if l.Grade > res.Grade || worst.Code == "" {
				worst = message.Of("check.worst", l.What, l.Words)
			}
		}
		res.Grade = max(res.Grade, l.Grade)
	}
	switch odd {
	case 0:
		res.Verdict = message.Of("check.no-fault")
	case 1:
		res.Verdict = message.Of("check.one-fault", worst)
	default:
		res.Verdict = message.Of("check.faults", odd, worst)
	}
	s.Check.Last = res
	w.leaveCheck(r, true)
	w.say(res.Grade, "check.verdict", res.Verdict)
}

// endCheck ends a check without a result.
func (w *work) endCheck(why message.Message) {
	r := w.s.Check.Run
	if r == nil {
		return
	}
	w.leaveCheck(r, true)
	w.say(alarm.Notice, "check.ended", why)
}

// leaveCheck gives the target back, and lets the dish hold where nothing else is to come.
func (w *work) leaveCheck(r *checkRun, hold bool) {
	s := w.s
	s.Check.Run = nil
	if r.Phase == checkSun {
		w.endReceiving(message.Of("check.has-ended"))
	}
	if hold && (w.in.Tracking || w.in.Slewing || w.in.Powering) {
		w.ask(Rest{Hold: true})
	}
	if w.in.Target != r.Before {
		w.ask(Choose{r.Before})
	}
}

// checkStatus is the check as the status tells it.
func (w *work) checkStatus() Check {
	out := Check{Last: w.s.Check.Last, Cable: w.in.Watch.Past.Cable.Counts, Unusual: w.in.Watch.Unusual(),
		Baselines: w.in.Watch.Baselines()}
	r := w.s.Check.Run
	if r == nil {
		return out
	}
	out.Running = true
	out.Part = 0.7 * float64(r.Move) / float64(max(1, len(r.Moves)))
	switch r.Phase {
	case checkMoves:
		out.Doing = message.Of("check.doing.move", r.Move+1, len(r.Moves))
		out.Progress = course{r.Begun, r.At}.progress(w.in.Now, r.Move, len(r.Moves), checkMove)
	case checkQuiet:
		out.Doing = message.Of("check.doing.listening")
	case checkToSun:
		out.Doing = message.Of("check.doing.to-sun")
	case checkSun:
		out.Doing, out.Part = message.Of("check.doing.on-sun"), 0.8
	}
	out.Part = math.Min(out.Part, 1)
	return out
}
