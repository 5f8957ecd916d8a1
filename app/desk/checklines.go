package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/wear"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
)

// linkLine says how the link did during the check.
func (t *turn) linkLine(r *checkRun) CheckLine {
	errors, replies := t.in.Line.Errors-r.Errors, t.in.Loop.Link.Replies-r.Replies
	l := CheckLine{What: "Link", Words: fmt.Sprintf("%d replies, %d errors", replies, errors)}
	if errors*100 > replies {
		l.Grade = Warning
	}
	return l
}

// readingLines say what is out of its limits, and what is not.
func (t *turn) readingLines() (lines []CheckLine) {
	fitted := 0
	for i := range t.s.Readings {
		if math.IsNaN(t.in.Loop.Readings.Value(i)) || enclosure.Describe(i).Name == "" {
			continue
		}
		fitted++
		if g := t.s.Readings[i].Grade; g >= alarm.Warning {
			limits := readingLimits(t.c.Settings.Readings[station.ReadingKeys()[i]])
			lines = append(lines, CheckLine{name(i), crossedWords(i, limits, t.in.Loop.Readings.Value(i), g, true), g})
		}
	}
	if len(lines) == 0 {
		lines = []CheckLine{{What: "Supplies and readings", Words: fmt.Sprintf("all %d within their limits", fitted)}}
	}
	return lines
}

// movesLines say what motors took and how fast the axes went, against what is usual.
func (r *checkRun) movesLines() (lines []CheckLine) {
	for _, s := range r.Seen {
		k := &wear.Kinds[s.Kind]
		if s.n < k.Samples {
			continue // too short to be a mean
		}
		value := s.sum / float64(s.n)
		unit := strings.Replace(" "+k.Unit, " °", "°", 1)
		l := CheckLine{What: s.Of, Words: fmt.Sprintf("%s: %.*f%s", s.In, k.Decimals, value, unit)}
		switch {
		case !s.usual.Known():
			l.Words += ", nothing to compare with yet"
		case s.usual.Unusual(k, value):
			l.Grade = Warning
			fallthrough
		default:
			l.Words += fmt.Sprintf(", baseline %.*f%s", k.Decimals, s.usual.Mean, unit)
		}
		lines = append(lines, l)
	}
	return lines
}

// referenceLine says where the position is from, and how far the mark was off when it was passed.
func (t *turn) referenceLine() CheckLine {
	l := CheckLine{What: "Reference", Words: "referenced; no mark was passed"}
	for axis := range t.in.Loop.Axes {
		a := &t.in.Loop.Axes[axis]
		off := math.Abs(a.MarkOff.Deg())
		if !a.Fitted || off == 0 {
			continue
		}
		l.Words = fmt.Sprintf("%s mark %.3f° from its place", mount.AxisName(axis), off)
		if off > max(3*math.Abs(a.Step.Deg()), t.c.Beamwidth(t.s.Band, t.s.Feed).Deg()/10) {
			l.Grade = Warning
			return l
		}
	}
	return l
}

// quietLine compares the level where the dish holds with that of cold sky before.
func (t *turn) quietLine() CheckLine {
	l := CheckLine{What: "Cold sky"}
	n := t.noise()
	here := mount.Direction{Az: t.in.Loop.Axes[mount.Azimuth].Is, El: t.in.Loop.Axes[mount.Elevation].Is}
	why := ""
	switch {
	case !n.Fitted:
		why = "there is no noise meter"
	case !n.Clean || math.IsNaN(n.LevelDB):
		why = "there is no usable level"
	case here.El < degrees(15):
		why = "the beam is too low"
	}
	if why == "" && t.c.NearSunOrMoon(t.directionOf(here), degrees(fromSunMoon), t.in.At) {
		why = "the beam is near Sun or Moon"
	}
	if why != "" {
		l.Words = "not compared: " + why
		return l
	}
	band, feed := t.c.Names(t.s.Band, t.s.Feed)
	cold := ColdSky{Band: band, Feed: feed, El: here.El, LevelDB: n.LevelDB, At: t.in.At}
	at := t.coldAt(cold)
	usual := t.s.Watch.Usual.Past(at)
	l.Words = fmt.Sprintf("%.1f dB, %s", n.LevelDB, at.In)
	switch {
	case !usual.Known():
		l.Words += ", nothing to compare with yet"
	case usual.Unusual(&wear.Kinds[wear.ColdSky], n.LevelDB):
		l.Grade = Warning
		fallthrough
	default:
		l.Words += fmt.Sprintf(", baseline %.1f dB", usual.Mean)
	}
	t.coldTaken(cold)
	return l
}

// sunUsual is by how much Sun noise may differ from that of before: the Sun's
// own flux changes by a dB over weeks.
const sunUsual = 1.5 // dB

// sunLine compares the Sun's Y factor with those of before.
func (t *turn) sunLine(now *ReceiverResult) CheckLine {
	l := CheckLine{What: "Sun noise", Words: fmt.Sprintf("%.2f dB over cold sky", now.Figures.YDB)}
	var before []float64
	for _, r := range t.s.Receiver.Results {
		if r.Band == now.Band && r.Feed == now.Feed && r.Target == now.Target && r.Why == "" && !r.At.Equal(now.At) {
			before = append(before, r.Figures.YDB)
		}
	}
	if len(before) == 0 {
		l.Words += ", nothing to compare with yet"
		return l
	}
	slices.Sort(before)
	usual := before[len(before)/2]
	l.Words += fmt.Sprintf(", baseline %.2f dB", usual)
	if now.Figures.YDB < usual-sunUsual {
		l.Grade = Warning
	}
	return l
}
