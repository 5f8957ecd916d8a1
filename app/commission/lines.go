package commission

import (
	"fmt"
	"math"
	"time"

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

// Line is one thing of a step: what is wanted and what was seen.
type Line struct {
	State LineState
	What  string
	Words string
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

// Left is what is still wanted before a step is done; empty where nothing is.
func (s *State) Left(c *Config, now *Now, step Step) string {
	if step != Cautions && !s.MayMove() && step != Link && step != Report {
		return "the cautions come first"
	}
	for _, l := range s.Lines(c, now, step) {
		if l.State == ToDo {
			return l.What + ": not yet seen"
		}
		if l.State == Wrong {
			return l.What + ": " + l.Words
		}
	}
	return ""
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
		return []Line{seenOr(now.Peak.After(s.Begun), "A good peak on the Sun or a source", now.PeakWords,
			"point at it, track it, then peak")}
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
		return []Line{seenOr(a.Trusted, axisName(i)+" referenced", fmt.Sprintf("at %.2f°, %s", a.IsDeg, a.Origin),
			"beam or shadow on the Sun, or a surveyed mark")}
	}
	return s.limitLines(c, i)
}

func seenOr(ok bool, what, seen, wanted string) Line {
	if ok {
		return Line{Seen, what, seen}
	}
	return Line{ToDo, what, wanted}
}

func at(t time.Time) string { return "seen at " + t.Format("15:04:05") }

func (s *State) cautionLines(c *Config) (lines []Line) {
	for i, caution := range cautions {
		l := Line{ToDo, caution.What, caution.Words}
		if i < len(s.Agreed) && !s.Agreed[i].IsZero() {
			l.State = Seen
		}
		lines = append(lines, l)
	}
	return append(lines, Line{Told, "Distance", exposureWords(&c.Settings)})
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
	words := fmt.Sprintf("%.1f exchanges a second, %.0f lost in %.0f s", now.PerSecond, lost, s.goodFor.Seconds())
	lines := []Line{
		seenOr(now.Good, "Replies", "they come", "check port, speed, parity and wiring"),
		seenOr(known, "Identity", fmt.Sprintf("register map %d, firmware %d.%d, start number %d", d.MapVersion,
			d.Firmware>>8, d.Firmware&255, d.StartCounter), "not read yet"),
		{Told, "Fitted there", FittedWords(d.Fitted)},
		seenOr(s.goodFor >= steadyLink, "Half a minute without a break", words, words),
	}
	if s.goodFor >= steadyLink && lost > lossy*s.goodFor.Minutes() {
		lines[3].State = Wrong
	}
	for i := range now.Axes {
		if c.axis(i).Fitted && known && !d.Fitted.Axis(i) {
			lines = append(lines, Line{Wrong, axisName(i), "fitted by the settings, not by the enclosure"})
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
		seenOr(!s.StopOpened.IsZero(), "Stop circuit opened at the dish", at(s.StopOpened),
			"press the stop at the dish"),
		seenOr(!s.StopCut.IsZero(), "Drive power went off with it", at(s.StopCut),
			"switch drive power on first, then press the stop"),
		seenOr(!s.StopClosed.IsZero() && s.StopClosed.After(s.StopOpened), "Closed again", at(s.StopClosed),
			"release the stop"),
	}
	if now.Identity.Fitted.Has(enclosure.FittedHandPanel) {
		lines = append(lines,
			seenOr(!s.HandTaken.IsZero(), "Hand panel took control", at(s.HandTaken), "take control at the hand panel"),
			seenOr(!s.HandGiven.IsZero() && s.HandGiven.After(s.HandTaken), "and gave it back", at(s.HandGiven),
				"give it back"))
	} else {
		lines = append(lines, Line{Told, "Hand panel", "none is fitted"})
	}
	return lines
}

func (s *State) motorLines(c *Config, i int) []Line {
	f := s.Figures(c, i)
	x := c.axis(i)
	lines := []Line{seenOr(f.CountsFollow != 0, axisName(i)+" counts", "they come with the drive",
		"push it one way for a few seconds, at little drive")}
	way := Line{ToDo, axisName(i) + " as seen at the dish", "say whether it went the way you pressed"}
	switch s.way(c, i) {
	case AsAsked:
		way.State, way.Words = Seen, "it went as pressed"
	case OtherWay:
		way.State, way.Words = Wrong,
			"it goes the other way: the drive's direction in the settings is to be turned round"
	}
	lines = append(lines, way)
	if f.CountsFollow != 0 && f.CountsFollow != x.Direction*x.DriveDirection {
		words := "they run against the drive: the encoder's direction in the settings is to be turned round"
		if s.way(c, i) == OtherWay {
			words = "they are right once the drive is turned round"
			lines = append(lines, Line{Told, axisName(i) + " encoder", words})
		} else {
			lines = append(lines, Line{Wrong, axisName(i) + " encoder", words})
		}
	}
	if p, ok := s.newest(i); ok {
		words := fmt.Sprintf("%+.0f %% of full drive: %+d counts in %.1f s", 100*p.Drive, p.Counts, p.Seconds)
		if p.Steady {
			words += fmt.Sprintf(", steadily %.1f a second", math.Abs(p.PerS))
		}
		if p.CurrentA > 0 {
			words += fmt.Sprintf(", %.1f A", p.CurrentA)
		}
		lines = append(lines, Line{Told, "Last push", words})
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
		what := axisName(i) + ", the end " + name
		switch {
		case e.open:
			lines = append(lines, Line{ToDo, what, "it is open: let it go"})
		case !e.Closed.IsZero():
			lines = append(lines, Line{Seen, what, "pressed and let go, " + at(e.Opened)})
		default:
			lines = append(lines, Line{ToDo, what, "press it by hand at the dish, with drive power off"})
		}
	}
	return lines
}

func (s *State) countLines(c *Config, now *Now, i int) []Line {
	f := s.Figures(c, i)
	x := c.axis(i)
	words := fmt.Sprintf("%.4f counts a degree by pulses and gear", 1/math.Abs(c.stepDeg(i)))
	rotation := Line{ToDo, axisName(i) + ", a known rotation",
		"mark where it starts, push the axis through it, enter how far it went"}
	switch t := s.Rotations[i]; {
	case f.Turned:
		off, within := s.rotationError(c, i)
		rotation = Line{Seen, rotation.What,
			fmt.Sprintf("%d counts for %.1f°: %.4f a degree, %+.2f %% off the settings, ±%.2f %%",
				t.By, t.Deg, 1/math.Abs(f.DegPerCount), 100*off, 100*within)}
		if math.Abs(off) > 0.01+within || f.DegPerCount*c.stepDeg(i) < 0 {
			rotation.State = Wrong
		}
	case t.HasFrom:
		rotation.Words = fmt.Sprintf("%+d counts since the start", now.Axes[i].Counts-t.From)
	}
	backlash := Line{Told, axisName(i) + " backlash",
		"push it twice one way and twice the other, at the same drive, some seconds each"}
	if f.Reversals > 0 {
		backlash.Words = fmt.Sprintf(
			"%.2f° from %d reversals, spread %.2f°; %.2f° in the settings",
			f.Backlash,
			f.Reversals,
			f.Scatter,
			x.BacklashDeg,
		)
	}
	if x.Encoder == "motor shaft" {
		backlash.Words = "invisible to an encoder on the motor shaft: rock the dish by hand against the worm and " +
			"read it off"
	}
	if l := now.Axes[i].LearnedBacklashDeg; l > 0 {
		backlash.Words += fmt.Sprintf("; learned while moving: %.2f°", l)
	}
	return []Line{{Told, axisName(i), words}, rotation, backlash}
}

func (s *State) speedLines(c *Config, i int) []Line {
	f := s.Figures(c, i)
	x := c.axis(i)
	top := Line{ToDo, axisName(i) + " top speed", "push at 25, 50 and 100 %, three seconds or more at full speed each"}
	if f.HasTop && f.Reached {
		top = Line{Seen, top.What, fmt.Sprintf("%.3f°/s; %.3f°/s in the settings", f.Top, x.TopSpeedDegPerS)}
	} else if f.HasTop {
		top.Words = fmt.Sprintf("%.3f°/s by pushes at less; push at 100 %%", f.Top)
	}
	minimum := Line{ToDo, axisName(i) + " minimum drive",
		"push at 10 % and less, five seconds each, until the counts stop"}
	if f.Min > 0 && f.Min <= 0.15 {
		minimum = Line{Seen, minimum.What, fmt.Sprintf("flows at %.1f %%; the line of speeds meets rest at %.1f %%",
			100*f.Min, 100*f.Dead)}
		if f.Uneven > 0 && f.Uneven < f.Min {
			minimum.Words += fmt.Sprintf("; not at %.1f %%", 100*f.Uneven)
		}
	}
	ramp := Line{Told, axisName(i) + " acceleration", "not yet measured"}
	if f.Acceleration > 0 {
		ramp.Words = fmt.Sprintf("%.2f°/s²; %.2f°/s² in the settings", f.Acceleration, x.AccelerationDegPerS2)
	}
	rest := Line{Told, axisName(i) + " stopping distance", "not yet measured"}
	if f.HasTop {
		rest.Words = fmt.Sprintf("%.2f° from %.2f°/s; the settings allow for %.2f° from top speed", f.RanOn,
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
		what := fmt.Sprintf("%s, the soft limit at %.1f°", axisName(i), soft[side])
		lines = append(lines, seenOr(!s.Soft[i][side].IsZero(), what, "it held, "+at(s.Soft[i][side]),
			"push "+WayName(i, side == 1)+" until it stops, then one second more"))
		e := Line{Told, axisName(i) + ", the end " + WayName(i, side == 1),
			fmt.Sprintf("%.1f° in the settings; not approached", ends[side])}
		if is, ok := s.EndDeg(c, i, side); ok {
			e.Words = fmt.Sprintf("opened at %.1f°; %.1f° by the settings", is, ends[side])
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
		l := Line{What: fmt.Sprintf("%d %s", i, Step(i)), Words: "open"}
		switch m.Verdict {
		case Done:
			l.State, l.Words = Seen, "done "+m.At.Format("2 Jan 15:04")
		case Refused:
			l.State, l.Words = Told, "skipped: "+m.Why
		}
		lines = append(lines, l)
	}
	return lines
}
