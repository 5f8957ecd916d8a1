package view

import (
	"fmt"
	"math"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// ReadingLine is what is shown of one reading.
type ReadingLine struct {
	Index   int // in Status.Readings
	Name    string
	Figure  string
	Unit    string
	Tone    Tone
	Grade   desk.Grade
	Crossed string
}

// ReadingGroup is a heading with its lines.
type ReadingGroup struct {
	Name  string
	Lines []ReadingLine
}

// OutOfLimits is the heading of the readings that are out of their limits.
const OutOfLimits = "Out of limits"

// Groups returns the readings that are fitted, by group, in the order in which the groups first appear. Those
// that are out of their limits stand before all others, the worst first, under a heading of their own.
func Groups(now Now) []ReadingGroup {
	var groups []ReadingGroup
	place := map[string]int{}
	for _, grade := range []desk.Grade{desk.AlarmGrade, desk.Warning} {
		for index, reading := range now.Readings {
			if now.Live && reading.Fitted && reading.Grade == grade {
				if groups == nil {
					groups = []ReadingGroup{{Name: OutOfLimits}}
				}
				groups[0].Lines = append(groups[0].Lines, LineOf(now, index))
			}
		}
	}
	for index, reading := range now.Readings {
		if !reading.Fitted && !reading.Lost || now.Live && reading.Fitted && reading.Grade >= desk.Warning {
			continue
		}
		at, known := place[reading.Group]
		if !known {
			at = len(groups)
			place[reading.Group] = at
			groups = append(groups, ReadingGroup{Name: reading.Group})
		}
		groups[at].Lines = append(groups[at].Lines, LineOf(now, index))
	}
	return groups
}

// LineOf returns what is shown of the reading with an index.
func LineOf(now Now, index int) ReadingLine {
	reading := now.Readings[index]
	line := ReadingLine{
		Index: index, Name: reading.Name, Unit: reading.Unit,
		Figure: Number(reading.Value, reading.Decimals),
		Tone:   GradeTone(reading.Grade, Plain), Grade: reading.Grade, Crossed: reading.Crossed.String(),
	}
	if reading.Words.Code != "" {
		line.Figure, line.Unit = reading.Words.String(), ""
	}
	if reading.Lost {
		line.Figure, line.Unit, line.Tone = "no reading", "", Attention
	}
	if !now.Live {
		line.Tone = Old
	}
	return line
}

// Scale of a reading as fractions 0 to 1 of its whole width.
type Scale struct {
	// From and To are the ends of the band in which the reading is normal.
	From, To float64
	// At is where the reading stands; NaN when it is not known.
	At float64
	// Limits are the low alarm, low warning, high warning and high alarm limit; NaN where there is none.
	Limits [4]float64
}

// NoScale is that of a reading without a width: everything is normal, nothing known.
func NoScale() Scale {
	nan := math.NaN()
	return Scale{To: 1, At: nan, Limits: [4]float64{nan, nan, nan, nan}}
}

// ScaleOf returns the scale of a reading.
func ScaleOf(reading desk.Reading) Scale {
	width := reading.High - reading.Low
	if !(width > 0) {
		return NoScale()
	}
	part := func(v, otherwise float64) float64 {
		if math.IsNaN(v) {
			return otherwise
		}
		return min(max((v-reading.Low)/width, 0), 1)
	}
	low, high := reading.WarnLow, reading.WarnHigh
	if math.IsNaN(low) {
		low = reading.AlarmLow
	}
	if math.IsNaN(high) {
		high = reading.AlarmHigh
	}
	s := Scale{From: part(low, 0), To: part(high, 1), At: part(reading.Value, math.NaN())}
	for i, limit := range LimitsOf(reading) {
		s.Limits[i] = part(limit, math.NaN())
	}
	return s
}

// LimitsOf are the low alarm, low warning, high warning and high alarm limit of a reading; NaN where there is none.
func LimitsOf(r desk.Reading) [4]float64 {
	return [4]float64{r.AlarmLow, r.WarnLow, r.WarnHigh, r.AlarmHigh}
}

// ReadingTold is what is told of one reading in full.
type ReadingTold struct {
	Figure Phrase // with its unit
	State  Phrase // whether it is normal
	Limits []Figure
	Next   Phrase // what to do; empty when it is normal
	// IfCrossed is what to do about each limit that is set, while none is crossed.
	IfCrossed []Figure
	// Baseline is what it was in circumstances met lately, beside what is usual in them.
	Baseline []string
}

// TellReading tells of the reading with an index in full.
func TellReading(now Now, index int) ReadingTold {
	r, line := now.Readings[index], LineOf(now, index)
	told := ReadingTold{Figure: Phrase{strings.TrimSpace(line.Figure + " " + line.Unit), line.Tone}}
	switch {
	case !now.Live:
		told.State = Phrase{"Not known: no reply from the enclosure", Old}
	case r.Lost:
		told.State = Phrase{"No reading any more: look at the sensor and its cable", Attention}
	case !r.Fitted:
		told.State = Phrase{"No reading", Old}
	case r.Grade >= desk.Warning:
		told.State = Phrase{gradeWord(r.Grade) + ": " + r.Crossed.String(), line.Tone}
	case beyondLimit(r):
		told.State = Phrase{"Beyond a limit: an alarm or a warning follows if it stays so for the hold time", Attention}
	default:
		told.State = Phrase{"Within its limits", Faint}
	}
	for i, name := range [...]string{"Alarm below", "Warning below", "Warning above", "Alarm above"} {
		if limit := LimitsOf(r)[i]; !math.IsNaN(limit) {
			told.Limits = append(told.Limits, Figure{Name: name,
				Value: Phrase{Number(limit, r.Decimals) + " " + r.Unit, Plain}})
		}
	}
	if len(told.Limits) == 0 && told.State.Tone == Faint {
		told.State.Words = "No limits are set"
	}
	if r.Next.Code != "" {
		told.Next = Phrase{r.Next.String(), Attention}
	} else {
		told.IfCrossed = ifCrossed(r)
	}
	for _, b := range now.Check.Baselines {
		if b.Reading == index {
			told.Baseline = append(told.Baseline, b.Words.String())
		}
	}
	return told
}

// beyondLimit says whether a value lies beyond a limit, whether or not for long enough to be told.
func beyondLimit(r desk.Reading) bool {
	return r.Value < r.AlarmLow || r.Value < r.WarnLow || r.Value > r.WarnHigh || r.Value > r.AlarmHigh
}

// ifCrossed is what to do if a limit that is set is crossed: below and above, or once where that is the same.
func ifCrossed(r desk.Reading) (lines []Figure) {
	limits := LimitsOf(r)
	sides := [2]bool{!math.IsNaN(limits[0]) || !math.IsNaN(limits[1]), !math.IsNaN(limits[2]) || !math.IsNaN(limits[3])}
	low, high := r.IfBelow.String(), r.IfAbove.String()
	sides[0], sides[1] = sides[0] && low != "", sides[1] && high != ""
	if low == high && sides[0] && sides[1] {
		return []Figure{{Name: "If out of limits", Value: Phrase{high, Plain}}}
	}
	if sides[0] {
		lines = append(lines, Figure{Name: "If below", Value: Phrase{low, Plain}})
	}
	if sides[1] {
		lines = append(lines, Figure{Name: "If above", Value: Phrase{high, Plain}})
	}
	return lines
}

// PastTime is how much of the past a reading's extent is told of.
type PastTime struct {
	Name string
	Long time.Duration
}

// PastTimes are those told, the shortest first.
func PastTimes() []PastTime {
	const day = 24 * time.Hour
	return []PastTime{
		{"Last hour", time.Hour}, {"Last 24 h", day}, {"Last 7 days", 7 * day}, {"Last 30 days", 30 * day},
	}
}

// Extent is the range of a reading over a past period, NaN where nothing was recorded, and for how long of that period
// it was recorded.
type Extent struct {
	Low, Mean, High float64
	Recorded        time.Duration
}

// ExtentWords tell the extent of a reading over a past period, and how much of that was recorded where a fiftieth of it
// or more was not.
func ExtentWords(r desk.Reading, e Extent, past time.Duration, circle bool) Phrase {
	if math.IsNaN(e.Low) {
		return Phrase{notRecorded, Old}
	}
	figure := func(v float64) string { return Number(v, r.Decimals) }
	words := figure(e.Low) + " to " + figure(e.High) + Spaced(r.Unit) + ", mean " + figure(e.Mean)
	if circle { // a direction has no least
		words = "mean " + figure(e.Mean) + Spaced(r.Unit)
	}
	if e.Recorded <= past-past/50 {
		recorded := Span(e.Recorded)
		if past > 24*time.Hour {
			recorded = fmt.Sprintf("%.0f %% of it", math.Floor(100*e.Recorded.Hours()/past.Hours()))
		}
		words += "; recorded " + recorded
	}
	return Phrase{words, Plain}
}

func gradeWord(g desk.Grade) string {
	if g >= desk.AlarmGrade {
		return "Alarm"
	}
	return "Warning"
}

// HealthGrade returns the grade of the worst reading and switch.
func HealthGrade(now Now) desk.Grade {
	worst := desk.Normal
	for _, reading := range now.Readings {
		if reading.Fitted {
			worst = max(worst, reading.Grade)
		}
	}
	for _, item := range now.Switches {
		worst = max(worst, item.Grade)
	}
	return worst
}

// State is a name with a word or two: a switch, or how the loop does.
type State struct {
	Name, Words string
	Tone        Tone
}

// States returns the switches, then how often the motors start and how late the loop is.
func States(now Now) []State {
	states := make([]State, 0, len(now.Switches)+2)
	for _, item := range now.Switches {
		states = append(states, State{item.Name, item.Words, GradeTone(item.Grade, Plain)})
	}
	starts, late := now.MotorStartsPerHour, now.Lateness
	states = append(states,
		State{"Motor starts/h", Number(starts[Azimuth], 0) + ", " + Number(starts[Elevation], 0), Plain},
		State{"Loop delay, 99th percentile", Number(late.P99, 1) + " ms", Plain})
	if !now.Live {
		for i := range states {
			states[i].Tone = Old
		}
	}
	return states
}
