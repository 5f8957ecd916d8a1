package commission

import (
	"math"
	"time"

	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
)

// LineState is how a line stands.
type LineState uint8

const (
	ToDo  LineState = iota // wanted, and not yet seen
	Seen                   // seen
	Wrong                  // seen, and not as it should be
	Told                   // tells something; nothing is wanted
)

// Line is one thing of a step: what is expected and what was observed.
type Line struct {
	State LineState
	What  message.Message
	Words message.Message
}

// axisNames are those of the axes, by index; ways are how their rising and falling angles are called.
func axisName(i int) string { return [2]string{"Azimuth", "Elevation"}[i] }

// WayName is what going to rising (up) or falling angles of axis i is called.
func WayName(i int, up bool) string {
	names := [2][2]string{{"counter-clockwise", "clockwise"}, {"down", "up"}}
	if up {
		return names[i][1]
	}
	return names[i][0]
}

// Left is what is still wanted before a step is done; nothing where nothing is.
func (s *State) Left(c *Config, now *Now, step Step) message.Message {
	if step != Cautions && !s.MayMove() && step != Link && step != Report {
		return message.Of("commission.cautions")
	}
	for _, l := range s.Lines(c, now, step) {
		if l.State == ToDo {
			return message.Of("commission.not-yet", l.What)
		}
		if l.State == Wrong {
			return message.Of("commission.line", l.What, l.Words)
		}
	}
	return message.Message{}
}

// Lines are what a step wants and what was seen of it.
func (s *State) Lines(c *Config, now *Now, step Step) []Line {
	switch step {
	case Cautions:
		return s.cautionLines(c)
	case Link:
		return s.linkLines(c, now)
	case Stopping:
		return s.stoppingLines(now)
	case Report:
		return s.reportLines()
	case FirstPeak:
		return []Line{seenOr(now.Peak.After(s.Begun), message.Of("commission.good-peak"), now.PeakFound,
			"commission.good-peak.do")}
	}
	var lines []Line
	for i := range now.Axes {
		if now.Axes[i].Fitted {
			lines = append(lines, s.axisLines(c, now, step, i)...)
		}
	}
	return lines
}

func (s *State) axisLines(c *Config, now *Now, step Step, i int) []Line {
	switch step {
	case Motors:
		return s.motorLines(c, i)
	case EndSwitches:
		return s.endLines(i)
	case Counts:
		return s.countLines(c, now, i)
	case Speeds:
		return s.speedLines(c, i)
	case Reference:
		a := &now.Axes[i]
		return []Line{seenOr(a.Trusted, message.Of("commission.referenced", axisName(i)),
			message.Of("commission.referenced.seen", a.IsDeg, a.Origin), "commission.referenced.do")}
	}
	return s.limitLines(c, i)
}

func seenOr(ok bool, what, seen message.Message, wanted message.Code) Line {
	if ok {
		return Line{Seen, what, seen}
	}
	return Line{ToDo, what, message.Of(wanted)}
}

func at(t time.Time) message.Message { return message.Of("commission.seen-at", t) }

func (s *State) cautionLines(c *Config) (lines []Line) {
	for i, caution := range cautions {
		l := Line{ToDo, message.Of(caution.What), message.Of(caution.Words)}
		if i < len(s.Agreed) && !s.Agreed[i].IsZero() {
			l.State = Seen
		}
		lines = append(lines, l)
	}
	return append(lines, Line{Told, message.Of("commission.distance"), message.Text(exposureWords(&c.Settings))})
}

// steadyLink is how long the line must be good without a loss, and lossy how many losses a minute are too many.
const (
	steadyLink = 30 * time.Second
	lossy      = 6
)

func (s *State) linkLines(c *Config, now *Now) []Line {
	d := now.Identity
	known := now.Good && d.MapVersion != 0
	lost := float64(now.Errors - min(s.errors, now.Errors))
	lines := []Line{
		seenOr(now.Good, message.Of("commission.replies"), message.Of("commission.replies.seen"),
			"commission.replies.do"),
		seenOr(known, message.Of("commission.identity"), message.Of("commission.identity.seen", d.MapVersion,
			d.Firmware>>8, d.Firmware&255, d.StartCounter), "commission.identity.do"),
		{Told, message.Of("commission.fitted"), message.Of("commission.fitted.there", FittedWords(d.Fitted))},
		{ToDo, message.Of("commission.steady-link"),
			message.Of("commission.exchanges", now.PerSecond, lost, s.goodFor.Seconds())},
	}
	if s.goodFor >= steadyLink {
		lines[3].State = Seen
	}
	if s.goodFor >= steadyLink && lost > lossy*s.goodFor.Minutes() {
		lines[3].State = Wrong
	}
	for i := range now.Axes {
		if c.axis(i).Fitted && known && !d.Fitted.Axis(i) {
			lines = append(lines, Line{Wrong, message.Of("commission.axis", axisName(i)),
				message.Of("commission.unfitted")})
		}
	}
	return lines
}

// FittedWords names what an enclosure has.
func FittedWords(f enclosure.Fitted) (words string) {
	for _, n := range [...]struct {
		bit  enclosure.Fitted
		name string
	}{
		{enclosure.FittedAzimuth, "azimuth"}, {enclosure.FittedElevation, "elevation"},
		{enclosure.FittedHandPanel, "hand panel"},
		{enclosure.FittedWind, "wind sensor"}, {enclosure.FittedDetector, "noise detector"},
		{enclosure.FittedTransmitGate, "transmit permit"},
		{enclosure.FittedAmplifier, "amplifier"}, {enclosure.FittedCountsSurvive, "counts survive power loss"},
		{enclosure.FittedMarkLatch, "marks"},
		{enclosure.FittedBandSwitch, "band switch"}, {enclosure.FittedFeedTurner, "feed turner"},
		{enclosure.FittedBrakes, "brakes"}, {enclosure.FittedWarning, "motion warning"},
	} {
		if f.Has(n.bit) {
			words += ", " + n.name
		}
	}
	if words == "" {
		return "nothing"
	}
	return words[2:]
}

func (s *State) stoppingLines(now *Now) []Line {
	lines := []Line{
		seenOr(!s.StopOpened.IsZero(), message.Of("commission.stop-opened"), at(s.StopOpened),
			"commission.stop-opened.do"),
		seenOr(!s.StopCut.IsZero(), message.Of("commission.stop-cut"), at(s.StopCut),
			"commission.stop-cut.do"),
		seenOr(!s.StopClosed.IsZero() && s.StopClosed.After(s.StopOpened), message.Of("commission.stop-closed"),
			at(s.StopClosed), "commission.stop-closed.do"),
	}
	if now.Identity.Fitted.Has(enclosure.FittedHandPanel) {
		lines = append(lines,
			seenOr(!s.HandTaken.IsZero(), message.Of("commission.hand-taken"), at(s.HandTaken),
				"commission.hand-taken.do"),
			seenOr(!s.HandGiven.IsZero() && s.HandGiven.After(s.HandTaken), message.Of("commission.hand-given"),
				at(s.HandGiven), "commission.hand-given.do"))
	} else {
		lines = append(lines, Line{Told, message.Of("commission.hand-panel"), message.Of("commission.hand-panel.none")})
	}
	return lines
}

func (s *State) motorLines(c *Config, i int) []Line {
	f := s.Figures(c, i)
	x := c.axis(i)
	lines := []Line{seenOr(f.CountsFollow != 0, message.Of("commission.counts", axisName(i)),
		message.Of("commission.counts.seen"), "commission.counts.do")}
	way := Line{ToDo, message.Of("commission.way", axisName(i)), message.Of("commission.way.do")}
	switch s.way(c, i) {
	case AsAsked:
		way.State, way.Words = Seen, message.Of("commission.way.seen")
	case OtherWay:
		way.State, way.Words = Wrong, message.Of("commission.way.wrong")
	}
	lines = append(lines, way)
	if f.CountsFollow != 0 && f.CountsFollow != x.Direction*x.DriveDirection {
		encoder := Line{Wrong, message.Of("commission.encoder", axisName(i)), message.Of("commission.encoder.wrong")}
		if s.way(c, i) == OtherWay {
			encoder.State, encoder.Words = Told, message.Of("commission.encoder.then")
		}
		lines = append(lines, encoder)
	}
	if p, ok := s.newest(i); ok {
		words := message.Of("commission.push.of", 100*p.Drive, p.Counts, p.Seconds)
		if p.Steady {
			words = message.Of("commission.push.steady", words, math.Abs(p.PerS))
		}
		if p.CurrentA > 0 {
			words = message.Of("commission.push.current", words, p.CurrentA)
		}
		lines = append(lines, Line{Told, message.Of("commission.push"), words})
	}
	return lines
}

// newest is the newest push of an axis.
func (s *State) newest(i int) (p Push, ok bool) {
	for k := len(s.Pushes) - 1; k >= 0; k-- {
		if s.Pushes[k].Axis == i {
			return s.Pushes[k], true
		}
	}
	return p, false
}

func (s *State) endLines(i int) (lines []Line) {
	for side, name := range [2]string{WayName(i, false), WayName(i, true)} {
		e := s.Ends[i][side]
		what := message.Of("commission.end", axisName(i), name)
		switch {
		case e.open:
			lines = append(lines, Line{ToDo, what, message.Of("commission.end.open")})
		case !e.Closed.IsZero():
			lines = append(lines, Line{Seen, what, message.Of("commission.end.seen", e.Opened)})
		default:
			lines = append(lines, Line{ToDo, what, message.Of("commission.end.do")})
		}
	}
	return lines
}

func (s *State) countLines(c *Config, now *Now, i int) []Line {
	f := s.Figures(c, i)
	x := c.axis(i)
	words := message.Of("commission.by-gear", 1/math.Abs(c.stepDeg(i)))
	rotation := Line{ToDo, message.Of("commission.rotation", axisName(i)), message.Of("commission.rotation.do")}
	switch t := s.Rotations[i]; {
	case f.Turned:
		off, within := s.rotationError(c, i)
		rotation = Line{Seen, rotation.What,
			message.Of("commission.rotation.seen", t.By, t.Deg, 1/math.Abs(f.DegPerCount), 100*off, 100*within)}
		if math.Abs(off) > 0.01+within || f.DegPerCount*c.stepDeg(i) < 0 {
			rotation.State = Wrong
		}
	case t.HasFrom:
		rotation.Words = message.Of("commission.rotation.begun", now.Axes[i].Counts-t.From)
	}
	backlash := Line{Told, message.Of("commission.backlash", axisName(i)), message.Of("commission.backlash.do")}
	if f.Reversals > 0 {
		backlash.Words = message.Of(
			"commission.backlash.seen",
			f.Backlash,
			f.Reversals,
			f.Scatter,
			x.BacklashDeg,
		)
	}
	if x.Encoder == "motor shaft" {
		backlash.Words = message.Of("commission.backlash.by-hand")
	}
	if l := now.Axes[i].LearnedBacklashDeg; l > 0 {
		backlash.Words = message.Of("commission.backlash.learned", backlash.Words, l)
	}
	return []Line{{Told, message.Of("commission.axis", axisName(i)), words}, rotation, backlash}
}

func (s *State) speedLines(c *Config, i int) []Line {
	f := s.Figures(c, i)
	x := c.axis(i)
	top := Line{ToDo, message.Of("commission.top", axisName(i)), message.Of("commission.top.do")}
	if f.HasTop && f.Reached {
		top = Line{Seen, top.What, message.Of("commission.top.seen", f.Top, x.TopSpeedDegPerS)}
	} else if f.HasTop {
		top.Words = message.Of("commission.top.so-far", f.Top)
	}
	minimum := Line{ToDo, message.Of("commission.minimum", axisName(i)), message.Of("commission.minimum.do")}
	if f.Min > 0 && f.Min <= 0.15 {
		minimum = Line{Seen, minimum.What, message.Of("commission.minimum.seen", 100*f.Min, 100*f.Dead)}
		if f.Uneven > 0 && f.Uneven < f.Min {
			minimum.Words = message.Of("commission.minimum.uneven", minimum.Words, 100*f.Uneven)
		}
	}
	ramp := Line{Told, message.Of("commission.acceleration", axisName(i)), message.Of("commission.unmeasured")}
	if f.Acceleration > 0 {
		ramp.Words = message.Of("commission.acceleration.seen", f.Acceleration, x.AccelerationDegPerS2)
	}
	rest := Line{Told, message.Of("commission.stopping", axisName(i)), message.Of("commission.unmeasured")}
	if f.HasTop {
		rest.Words = message.Of("commission.stopping.seen", f.RanOn,
			f.FromDegPerS, x.StoppingDeg())
		if f.RanOn > x.StoppingDeg() {
			rest.State = Wrong
		}
	}
	return []Line{top, minimum, ramp, rest}
}

func (s *State) limitLines(c *Config, i int) (lines []Line) {
	x := c.axis(i)
	soft := [2]float64{x.LowerSoftDeg, x.UpperSoftDeg}
	ends := [2]float64{x.LowerEndDeg, x.UpperEndDeg}
	for side := range 2 {
		what := message.Of("commission.soft", axisName(i), soft[side])
		held := Line{ToDo, what, message.Of("commission.soft.do", WayName(i, side == 1))}
		if seen := s.Soft[i][side]; !seen.IsZero() {
			held.State, held.Words = Seen, message.Of("commission.soft.seen", seen)
		}
		lines = append(lines, held)
		e := Line{Told, message.Of("commission.end", axisName(i), WayName(i, side == 1)),
			message.Of("commission.end.not-approached", ends[side])}
		if is, ok := s.EndDeg(c, i, side); ok {
			e.Words = message.Of("commission.end.opened", is, ends[side])
			if math.Abs(is-ends[side]) > 2 {
				e.State = Wrong
			}
		}
		lines = append(lines, e)
	}
	return lines
}

func (s *State) reportLines() (lines []Line) {
	for i, m := range s.Marks[:Report] {
		l := Line{What: message.Of("commission.step", i, Step(i)), Words: message.Of("commission.step.open")}
		switch m.Verdict {
		case Done:
			l.State, l.Words = Seen, message.Of("commission.step.done", m.At)
		case Refused:
			l.State, l.Words = Told, message.Of("commission.step.skipped", m.Why)
		}
		lines = append(lines, l)
	}
	return lines
}
