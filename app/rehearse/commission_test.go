//go:build !race

package rehearse

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/settings"
	"beamhelm/drive/replica/plant"
)

// work is a commissioning under way.
type work struct {
	*World
	t *testing.T
}

// fresh is a dish that nobody has moved yet, whose azimuth is changed from what the settings say.
func fresh(t *testing.T, change func(*settings.Axis)) *work {
	t.Helper()
	sky, sources := skyAndSources(t)
	from := time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)
	is := settings.Practice()
	change(&is.Axes.Azimuth)
	w, err := newWorld(settings.Practice(), is, sky, sources,
		Script{From: from, Seed: 7, HasBeam: true, Az: 200, El: 40, Untrusted: true})
	if err != nil {
		t.Fatal(err)
	}
	w.pass(3 * time.Second)
	return &work{w, t}
}

func (w *work) act(a commission.Act) {
	w.Desk.Ask(desk.Commission{Act: a})
	w.pass(time.Second)
}

// push holds a push button for some seconds.
func (w *work) push(az, el float64, seconds int) {
	for range seconds * 10 {
		w.Desk.Ask(desk.Push{Az: az, El: el})
		w.Advance()
	}
	w.pass(5 * time.Second)
}

func (w *work) finish(step commission.Step) {
	w.t.Helper()
	w.act(commission.Act{Kind: commission.Finish, Step: step})
	c := w.Desk.Status().Commissioning
	if c == nil || c.State.Marks[step].Verdict != commission.Done {
		w.t.Fatalf("%s is not done: %+v, events %s", step, c.State.Lines(c.Config, c.Now, step),
			strings.Join(w.events, "\n"))
	}
}

// put lets a fault be for some seconds.
func (w *work) put(f plant.Fault, seconds int) {
	w.t.Helper()
	f.From, f.Until = w.now, w.now+time.Duration(seconds)*time.Second
	if err := w.Dish.Put(f); err != nil {
		w.t.Fatal(err)
	}
	w.pass(time.Duration(seconds+3) * time.Second)
}

func (w *work) power() {
	w.Desk.Ask(desk.Release{})
	w.pass(2 * time.Second)
	w.Desk.Ask(desk.Power{On: true})
	w.pass(5 * time.Second)
}

func (w *work) agree() {
	w.act(commission.Act{Kind: commission.Begin})
	for i := range commission.CautionList() {
		w.act(commission.Act{Kind: commission.Agree, Index: i, Yes: true})
	}
	w.finish(commission.Cautions)
}

// The whole work at a dish that is as its settings say: nothing moves before the
// cautions, every step is seen, and what is measured is what the dish is.
func TestCommissioning(t *testing.T) {
	w := fresh(t, func(*settings.Axis) {})
	w.power()
	before := w.Desk.Status().Axes[0].Counts
	w.push(0.3, 0, 3)
	if n := w.Desk.Status().Axes[0].Counts - before; n != 0 {
		t.Fatalf("%d counts before the cautions", n)
	}
	w.agree()
	w.pass(35 * time.Second)
	w.finish(commission.Link)
	w.put(plant.Fault{Kind: plant.StopCircuitOpen}, 3)
	w.put(plant.Fault{Kind: plant.HandPanelTaken}, 3)
	w.finish(commission.Stopping)
	w.power()
	for axis := range 2 {
		w.pushAxis(axis, 0.25, 4)
		w.act(commission.Act{Kind: commission.Saw, Axis: axis, Yes: true})
	}
	w.finish(commission.Motors)
	for axis := range 2 {
		for side := range 2 {
			w.put(plant.Fault{Kind: plant.EndWireBroken, Axis: axis, Values: [2]float64{float64(2*side - 1)}}, 2)
		}
	}
	w.finish(commission.EndSwitches)
	w.power()
	for axis := range 2 {
		w.act(commission.Act{Kind: commission.RotationFrom, Axis: axis})
		from := w.place(axis)
		for _, u := range []float64{0.5, 0.5, -0.5, -0.5, 0.5, 0.5, -0.5, -0.5} {
			w.pushAxis(axis, u, 6)
		}
		w.pushAxis(axis, 1, 15)
		w.act(commission.Act{Kind: commission.RotationTo, Axis: axis, Deg: w.place(axis) - from})
	}
	w.finish(commission.Counts)
	for axis := range 2 {
		for _, u := range []float64{-1, 0.25, -0.25, 0.08, 0.05} {
			w.pushAxis(axis, u, 12)
		}
	}
	w.finish(commission.Speeds)
	w.measured()
	for axis := range 2 {
		w.Desk.Ask(desk.ReferenceTo{Axis: axis, Angle: unit.AngleFromDeg(w.place(axis))})
	}
	w.pass(2 * time.Second)
	w.finish(commission.Reference)
	// clear of the mast
	w.Desk.Ask(desk.SlewTo{To: desk.AxisAngles{Az: unit.AngleFromDeg(150), El: unit.AngleFromDeg(30)}})
	w.pass(2 * time.Minute)
	w.pushAxis(1, -0.5, 60)
	if soft := w.Desk.Status().Commissioning.State.Soft; soft[1][0].IsZero() || !soft[1][1].IsZero() ||
		w.place(1) < -0.1 {
		t.Errorf("pushed to the lower soft limit of elevation, at %.2f: seen %v", w.place(1), soft)
	}
	w.act(commission.Act{Kind: commission.Refuse, Step: commission.Limits})
	if w.Desk.Status().Commissioning.State.Marks[commission.Limits].Verdict == commission.Refused {
		t.Error("left out without a reason")
	}
	w.act(commission.Act{Kind: commission.Refuse, Step: commission.Limits, Words: "snow on the path"})
	w.Desk.Ask(desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun, Name: "Sun"}})
	w.pass(time.Second)
	w.Desk.Ask(desk.Track{On: true})
	w.pass(3 * time.Minute)
	w.Desk.Ask(desk.TakePeak{Sweeps: true})
	w.pass(6 * time.Minute)
	w.finish(commission.FirstPeak)
	w.finish(commission.Report)
	c := w.Desk.Status().Commissioning
	text := c.State.Text(c.Config, c.Now)
	for _, words := range []string{"SKIPPED", "snow on the path", "10", "Speeds and stopping: done", "counts a degree",
		"trim"} {
		if !strings.Contains(text, words) {
			t.Errorf("the report lacks %q:\n%s", words, text)
		}
	}
	if strings.Contains(text, "OPEN") || strings.Contains(text, "[ ]") && !strings.Contains(text, "soft limit") {
		t.Errorf("something is open:\n%s", text)
	}
}

func (w *work) pushAxis(axis int, drive float64, seconds int) {
	by := [2]float64{}
	by[axis] = drive
	w.push(by[0], by[1], seconds)
}

// place is where an axis really is, degrees.
func (w *work) place(axis int) float64 {
	return w.Dish.Truth().Axis[axis].Deg()
}

// measured compares what was measured with what the plant is.
func (w *work) measured() {
	c := w.Desk.Status().Commissioning
	for axis := range 2 {
		f := c.State.Figures(c.Config, axis)
		x := [2]settings.Axis{c.Config.Settings.Axes.Azimuth, c.Config.Settings.Axes.Elevation}[axis]
		w.t.Logf("axis %d: %+v", axis, f)
		near := func(what string, is, want, by float64) {
			w.t.Helper()
			if math.Abs(is-want) > by {
				w.t.Errorf("axis %d: %s is %.3f, want %.3f within %.3f", axis, what, is, want, by)
			}
		}
		near("counts", 1/f.DegPerCount, 4*x.Pulses*x.GearRatio/360, 0.15)
		near("top speed", f.Top, x.TopSpeedDegPerS, 0.25*x.TopSpeedDegPerS)
		if f.Reversals < 4 ||
			f.Backlash > x.BacklashDeg+0.05 { // wind and weight hold the dish to a side of the backlash: less is seen
			w.t.Errorf("axis %d: play %.3f from %d", axis, f.Backlash, f.Reversals)
		}
		if f.CountsFollow != x.Direction*x.DriveDirection || f.Acceleration <= 0 || f.RanOn <= 0 {
			w.t.Errorf("axis %d: %+v", axis, f)
		}
	}
}

// A motor wired the wrong way round and an encoder with its phases exchanged
// are told from each other, and the settings that mend them are the ones suggested.
func TestWrongWaysAreTold(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*settings.Axis)
		saw    bool
		want   map[string]string
	}{
		"nothing": {func(*settings.Axis) {}, true, nil},
		"motor": {func(a *settings.Axis) { a.DriveDirection = -a.DriveDirection }, false,
			map[string]string{"axes.azimuth.drive_direction": "-1"}},
		"encoder": {func(a *settings.Axis) { a.Direction = -a.Direction }, true,
			map[string]string{"axes.azimuth.direction": "-1"}},
		"both": {func(a *settings.Axis) { a.Direction, a.DriveDirection = -a.Direction, -a.DriveDirection }, false,
			map[string]string{"axes.azimuth.direction": "-1", "axes.azimuth.drive_direction": "-1"}},
	} {
		t.Run(name, func(t *testing.T) {
			w := fresh(t, c.change)
			w.agree()
			w.power()
			from := w.place(0)
			w.push(0.25, 0, 6)
			if moved := w.place(0) - from; (moved > 0) != c.saw || math.Abs(moved) < 0.2 {
				t.Fatalf("the dish went %.2f degrees", moved)
			}
			w.act(commission.Act{Kind: commission.Saw, Axis: 0, Yes: c.saw})
			got := map[string]string{}
			s := w.Desk.Status().Commissioning
			for _, one := range s.State.Suggestions(s.Config) {
				if strings.HasSuffix(one.Key, "direction") {
					got[one.Key] = one.Value
				}
			}
			if len(got) != len(c.want) {
				t.Errorf("suggested %v, want %v", got, c.want)
			}
			for key, value := range c.want {
				if got[key] != value {
					t.Errorf("%s = %q, want %q", key, got[key], value)
				}
			}
		})
	}
}
