package panel

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"beamhelm/app/desk"
)

// fakeFaults is as many faults as the simulated dish has, each with long words.
type fakeFaults struct {
	standing []string
	asked    []string
	full     bool
}

func (f *fakeFaults) Kinds() []FaultGroup {
	groups := []FaultGroup{{Title: "Azimuth"}, {Title: "Elevation"}, {Title: "Drives and enclosure"},
		{Title: "Weather, receiver, transmitter"}}
	for i := range groups {
		for k := range 16 {
			groups[i].Kinds = append(groups[i].Kinds, FaultKind{
				Name: fmt.Sprintf("%d-%d", i, k), Short: "encoder lines missing",
				Words: "Spikes on the encoder's cable: impossible transitions, some counts lost or gained",
			})
		}
	}
	return groups
}

func (f *fakeFaults) Standing() []string { return f.standing }

func (f *fakeFaults) Put(name string) error {
	f.asked = append(f.asked, "put "+name)
	if f.full {
		return errors.New("no more than 16 faults at a time")
	}
	f.standing = append(f.standing, name)
	return nil
}

func (f *fakeFaults) Mend(name string) error {
	f.asked = append(f.asked, "mend "+name)
	f.standing = slices.DeleteFunc(f.standing, func(s string) bool { return name == "" || s == name })
	return nil
}

// The menu of practice chooses how fast its time runs; the mark says so while it isn't real time.
func TestPaceOfPractice(t *testing.T) {
	w, d := open(t, minimum, func(s *desk.Status) { s.TimeScale = 1 })
	w.Press("practice")
	bring(w, d, func(s *desk.Status) { s.TimeScale = 1 })
	if l := w.Layout().Control; !l["time-scale-1"].On || l["time-scale-60"].On ||
		l["practice"].Words != "PRACTICE simulated dish" {
		t.Errorf("in real time: %+v", l)
	}
	w.Press("time-scale-60")
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.TimeScaleTo{Scale: 60}) {
		t.Errorf("asked %v", asked)
	}
	bring(w, d, func(s *desk.Status) { s.TimeScale = 60 })
	if l := w.Layout().Control; !l["time-scale-60"].On || l["time-scale-1"].On ||
		l["practice"].Words != "PRACTICE Time × 60" {
		t.Errorf("60 times as fast: %+v", l)
	}
}

func TestFaultsOfPractice(t *testing.T) {
	w, _ := open(t, minimum, nil)
	faults := w.faults.(*fakeFaults)
	w.Press("practice")
	w.Press("fault-1-3")
	w.Press("fault-2-0")
	w.Press("fault-1-3")
	w.Press("clear-all")
	if want := []string{"put 1-3", "put 2-0", "mend 1-3", "mend "}; !slices.Equal(faults.asked, want) {
		t.Errorf("asked for %q, want %q", faults.asked, want)
	}
	faults.full = true
	w.Press("fault-0-0")
	if words := w.Layout().Control["fault-result"].Words; words != "no more than 16 faults at a time" {
		t.Errorf("a refused fault says %q", words)
	}
	if w.with.Open.Close(); w.with.Open.Covers() {
		t.Error("the sheet stays open")
	}
}

// A real dish has no faults to be put: its window has no way to them.
func TestNoFaultsOfARealDish(t *testing.T) {
	w, _ := open(t, minimum, func(s *desk.Status) { s.Practice = false })
	if _, shown := w.Layout().Control["practice"]; shown {
		t.Error("the way to the faults is shown")
	}
}

// crossing is a way to practice and back.
type crossing struct {
	blocked string
	gone    int
}

func (c *crossing) Blocked() string { return c.blocked }
func (c *crossing) Go()             { c.gone++ }

func TestToPracticeAndBack(t *testing.T) {
	for _, row := range []struct {
		practised bool
		blocked   string
		gone      int
	}{{false, "", 1}, {true, "", 1}, {true, "There are no settings", 0}} {
		w, _ := open(t, minimum, func(s *desk.Status) { s.Practice = row.practised })
		way := &crossing{blocked: row.blocked}
		w.askPractice(way)
		w.Press("practice-cancel")
		if way.gone != 0 {
			t.Error("Cancel goes")
		}
		w.askPractice(way)
		w.Press("practice-go")
		if way.gone != row.gone {
			t.Errorf("%+v: gone %d times", row, way.gone)
		}
	}
}
