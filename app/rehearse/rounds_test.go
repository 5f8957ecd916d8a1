//go:build !race

package rehearse

import (
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/drive/replica/plant"
)

// begin begins a survey over targets for an hour, and waits for the first peak to begin.
func begin(t *testing.T, w *World, names string) {
	t.Helper()
	w.Desk.Ask(desk.SurveyTo{On: true, Targets: names, Hours: 1})
	for range 240 {
		w.pass(time.Second)
		if w.Desk.Status().Peak.Running {
			return
		}
	}
	t.Fatalf("no peak is begun: %v", w.events)
}

// A survey goes from target to target by itself, with a motion warning before
// each way, and keeps each peak as an observation.
func TestSurveyByItself(t *testing.T) {
	w := evening(t, 0.3, -0.2)
	w.Desk.Ask(desk.SurveyTo{On: true, Targets: "Sun, Moon", Hours: 1})
	warnings, warned := 0, false
	for range 15 * 60 {
		w.pass(time.Second)
		warns := w.Desk.Status().StartingIn > 0
		if warns && !warned {
			warnings++
		}
		if warned = warns; w.Desk.Status().Survey.Rounds.Taken == 2 {
			break
		}
	}
	s := w.Desk.Status().Survey
	if s.Rounds.Taken != 2 || len(s.Observations) != 2 || s.Observations[0].Target == s.Observations[1].Target {
		t.Fatalf("%+v, %d observations: %s", s.Rounds, len(s.Observations), strings.Join(w.events, "\n"))
	}
	if warnings != 2 {
		t.Errorf("%d motion warnings for two ways: %s", warnings, strings.Join(w.events, "\n"))
	}
	// Both are done: it rests, and holds.
	w.pass(time.Minute)
	if s := w.Desk.Status(); !s.Survey.Rounds.Running || s.Activity != desk.Holding {
		t.Errorf("%v, %+v", s.Activity, s.Survey.Rounds)
	}
	// The sky has turned: the next round begins.
	w.pass(22 * time.Minute)
	if s := w.Desk.Status(); s.Activity == desk.Holding && s.Survey.Rounds.Taken == 2 {
		t.Errorf("no second round: %v", strings.Join(w.events, "\n"))
	}
	w.pass(40 * time.Minute)
	if s := w.Desk.Status().Survey.Rounds; s.Running {
		t.Errorf("it goes on after its hour: %+v", s)
	}
}

// Whatever makes it end leaves the trim as it was, and nothing more is begun.
func TestSurveyEnds(t *testing.T) {
	for name, c := range map[string]struct {
		do   func(w *World)
		says string
	}{
		"Stop": {func(w *World) { w.Desk.Ask(desk.Stop{}) }, "the operator has taken over"},
		"a slew": {func(w *World) { w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: 3, El: 0.7}}) },
			"the operator has taken over"},
		"end it":          {func(w *World) { w.Desk.Ask(desk.EndJob{}) }, "ended by the operator"},
		"the survey ends": {func(w *World) { w.Desk.Ask(desk.SurveyTo{}) }, "ended by the operator"},
		"work": {func(w *World) { w.Desk.Ask(desk.Working{On: true}) },
			"somebody works at the dish"},
		"a storm":  {func(w *World) { storm(t, w) }, "wind"},
		"a trip":   {func(w *World) { put(t, plant.DriveStageFault)(w) }, "drive"},
		"the door": {func(w *World) { put(t, plant.DoorOpen)(w) }, "door"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := evening(t, 0.3, 0)
			trims := len(w.Desk.Kept().Trims)
			begin(t, w, "Moon, Sun")
			c.do(w)
			for range 120 {
				if w.pass(2 * time.Second); !w.Desk.Status().Survey.Rounds.Running {
					break
				}
			}
			s := w.Desk.Status()
			if s.Survey.Rounds.Running || s.Peak.Running || len(w.Desk.Kept().Trims) != trims {
				t.Errorf("%+v, peak %v: %s", s.Survey.Rounds, s.Peak.Running, strings.Join(w.events, "\n"))
			}
			if all := strings.ToLower(strings.Join(w.events, "\n")); !strings.Contains(all,
				"survey over after 0 peaks") || !strings.Contains(all, c.says) {
				t.Errorf("no %q in %s", c.says, all)
			}
		})
	}
}

// What can't be surveyed is said at once.
func TestSurveyIsRefused(t *testing.T) {
	w := evening(t, 0, 0)
	for _, c := range []struct {
		names string
		hours int
		says  string
	}{
		{"", 1, `there is no target ""`},
		{"Moon, Nowhere", 1, `there is no target "nowhere"`},
		{"Moon", 0, "0 hours: must be 1 to 24"},
		{"Moon", 99, "99 hours: must be 1 to 24"},
	} {
		w.Desk.Ask(desk.SurveyTo{On: true, Targets: c.names, Hours: c.hours})
		w.pass(time.Second)
		if all := strings.ToLower(strings.Join(w.events, "\n")); !strings.Contains(all, c.says) ||
			w.Desk.Status().Survey.Rounds.Running {
			t.Errorf("%q for %d: %s", c.names, c.hours, all)
		}
	}
}

func storm(t *testing.T, w *World) {
	f, _, err := plant.Named("storm")
	if err == nil {
		err = w.Dish.Put(f)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// A line that loses a reply now and then ends no survey.
func TestSurveyOnABadLine(t *testing.T) {
	w := evening(t, 0.3, -0.2)
	poor := w.quality
	poor.SpoiltBytes = 0.001
	if err := w.Line.Spoil(poor); err != nil {
		t.Fatal(err)
	}
	w.Desk.Ask(desk.SurveyTo{On: true, Targets: "Sun, Moon", Hours: 1})
	w.pass(8 * time.Minute)
	if s := w.Desk.Status(); s.Link.Errors == 0 || s.Survey.Rounds.Taken == 0 ||
		!s.Survey.Rounds.Running && s.Survey.Rounds.Taken < 2 {
		t.Errorf("%d errors of the line, %+v: %s", s.Link.Errors, s.Survey.Rounds, strings.Join(w.events, "\n"))
	}
}
