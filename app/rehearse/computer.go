package rehearse

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
)

// trouble is something wrong with the computer that the panel runs on.
type trouble struct {
	kind    string
	seconds float64
}

// computer is what 'computer WORDS' does:
//
//	window silent, window back      the window gives no sign of life, or does again
//	desk stops, desk goes on        nothing works out a course, or does again
//	late SECONDS                    the next tick begins so late
//	clock off SECONDS               a time source says that the clock is behind by this
//	clock steps SECONDS             the clock is set forward by this
func computer(words []string) (trouble, error) {
	text := strings.ToLower(strings.Join(words, " "))
	switch text {
	case "window silent", "window back", "desk stops", "desk goes on":
		return trouble{kind: text}, nil
	}
	kind, figure := strings.Join(words[:len(words)-1], " "), last(words)
	seconds, err := strconv.ParseFloat(figure, 64)
	switch kind {
	case "late", "clock off", "clock steps":
		if err != nil || !(seconds >= -3600 && seconds <= 3600) || kind == "late" && seconds < 0 {
			return trouble{}, fmt.Errorf("%s: must be seconds, an hour at most", figure)
		}
		return trouble{kind, seconds}, nil
	}
	return trouble{}, fmt.Errorf("computer %s: no such trouble", text)
}

// suffer lets a trouble of the computer begin or end.
func (w *World) suffer(t trouble) {
	by := time.Duration(t.seconds * float64(time.Second))
	switch t.kind {
	case "window silent", "window back":
		w.silent = t.kind == "window silent"
	case "desk stops", "desk goes on":
		w.deskless = t.kind == "desk stops"
	case "late":
		w.late = by
	case "clock off":
		w.source.offset, w.source.known = by, true
	case "clock steps":
		w.from = w.from.Add(by)
	}
}

// source is a time source that says what a script wants.
type source struct {
	offset time.Duration
	known  bool
}

// Offset implements desk.TimeSource.
func (s *source) Offset() (time.Duration, bool) { return s.offset, s.known }

// Trouble implements desk.TimeSource.
func (s *source) Trouble() string { return "" }

// other reads what changes settings and enclosure.
func (s *Script) other(words []string) error {
	figure := func(text string, minimum, maximum float64) (float64, error) {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(v >= minimum && v <= maximum) {
			return 0, fmt.Errorf("%s: must be %v to %v degrees", text, minimum, maximum)
		}
		return v, nil
	}
	text := strings.Join(words, " ")
	var err error
	switch {
	case text == "dish bare":
		s.Bare = true
	case text == "enclosure without elevation":
		s.WithoutElevation = true
	case words[0] == "closed" && len(words) == 3:
		if s.Closed[0], err = figure(words[1], 0, 360); err == nil {
			s.Closed[1], err = figure(words[2], 0, 360)
		}
	case words[0] == "permit" && len(words) == 3 && words[1] == "above":
		s.PermitAbove, err = figure(words[2], 0, 90)
	default:
		err = fmt.Errorf("%q: must be dish bare, closed FROM TO, permit above DEGREES or enclosure without elevation",
			text)
	}
	return err
}

// change makes the settings those of the script.
func (s *Script) change(to settings.Settings) settings.Settings {
	if s.Bare {
		to.Dish.Finish, to.Sun.KeepAwayDeg = settings.Bare, max(to.Sun.KeepAwayDeg, 5)
	}
	if s.Closed != [2]float64{} {
		to.ClosedSectors = append(to.ClosedSectors[:len(to.ClosedSectors):len(to.ClosedSectors)],
			settings.ClosedSector{Name: "neighbours", FromDeg: s.Closed[0], ToDeg: s.Closed[1], FromElevationDeg: 0,
				ToElevationDeg: 90})
	}
	to.Permit.MinElevationDeg = max(to.Permit.MinElevationDeg, s.PermitAbove)
	return to
}

// without is what the enclosure lacks.
func (s *Script) without() enclosure.Fitted {
	if s.WithoutElevation {
		return enclosure.FittedElevation
	}
	return 0
}
