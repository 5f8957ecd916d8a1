package rehearse

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/drive/replica/plant"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
)

// evening is a world in which the Sun is tracked with a position that is wrong by these degrees.
func evening(t *testing.T, az, el float64) *World {
	return eveningWith(t, az, el, func(s settings.Settings) settings.Settings { return s })
}

func skyAndSources(t *testing.T) (*ephem.Sky, catalogue.Catalogue) {
	t.Helper()
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		t.Fatal(err)
	}
	return sky, sources
}

// eveningWith is the same with other settings.
func eveningWith(t *testing.T, az, el float64, change func(settings.Settings) settings.Settings) *World {
	t.Helper()
	sky, sources := skyAndSources(t)
	// The Sun stands near 40 degrees in the south-west, the Moon far from it.
	from := time.Date(2027, 4, 14, 13, 0, 0, 0, time.UTC)
	w, err := NewWorld(change(settings.Practice()), sky, sources,
		Script{From: from, Seed: 7, HasBeam: true, Az: 200, El: 40})
	if err != nil {
		t.Fatal(err)
	}
	w.pass(3 * time.Second)
	for axis, off := range [2]float64{az, el} {
		w.Desk.Ask(desk.ReferenceTo{Axis: axis, Angle: w.Desk.Status().Axes[axis].Position + unit.AngleFromDeg(off)})
	}
	w.Desk.Ask(desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun, Name: "Sun"}})
	w.pass(time.Second)
	w.Desk.Ask(desk.Track{On: true})
	w.pass(60 * time.Second)
	if s := w.Desk.Status(); s.Activity != desk.Tracking {
		t.Fatalf("activity %d, events %v", s.Activity, w.events)
	}
	return w
}

// pass lets time pass.
func (w *World) pass(d time.Duration) {
	for until := w.now + d; w.now < until; {
		w.Advance()
	}
	w.News()
}

// peaked waits for the end of the peak that is being taken.
func (w *World) peaked(t *testing.T) *desk.PeakResult {
	t.Helper()
	for range 4 * 60 * 10 {
		w.Advance()
		if !w.Desk.Status().Peak.Running {
			break
		}
	}
	w.News()
	return w.Desk.Status().Peak.Last
}

// A position that is wrong is found again by the Sun's noise, by sweeps and by
// stops, within the error that the peak itself tells.
func TestAPeakFindsTheSun(t *testing.T) {
	for _, c := range []struct {
		name   string
		sweeps bool
		az, el float64
	}{{"sweeps", true, 0.5, -0.4}, {"sweeps, far off", true, -1.2, 0.9}, {"stops", false, 0.4, -0.3}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := evening(t, c.az, c.el)
			before := w.Desk.Status().Noise.LevelDB
			off := w.Moment().TrueOff
			w.Desk.Ask(desk.TakePeak{Sweeps: c.sweeps})
			w.pass(time.Second)
			if s := w.Desk.Status(); !s.Peak.Running {
				t.Fatalf("not begun: %v", w.events)
			}
			p := w.peaked(t)
			if p == nil || p.Why.Code != "" {
				t.Fatalf("no peak after %v: %v", w.Now(), w.events)
			}
			if s := w.Desk.Status(); s.Trim.CrossEl != 0 || s.Trim.El != 0 || !s.Peak.Usable ||
				s.Activity != desk.Tracking {
				t.Errorf("the trim is %v, %v before it is used, usable %v, activity %d", s.Trim.CrossEl, s.Trim.El,
					s.Peak.Usable, s.Activity)
			}
			// The same peak is an observation of the mount: the axes need what the position was put wrong by.
			all := w.Desk.Status().Survey.Observations
			if len(all) != 1 {
				t.Fatalf("%d observations", len(all))
			}
			if az, el := (all[0].Axes.Az - all[0].Boresight.Az).Deg(),
				(all[0].Axes.El - all[0].Boresight.El).Deg(); math.Abs(az-c.az) > 0.1 || math.Abs(el-c.el) > 0.1 {
				t.Errorf("observed %.3f, %.3f, want about %.2f, %.2f", az, el, c.az, c.el)
			}
			w.Desk.Ask(desk.UsePeak{})
			w.pass(20 * time.Second)
			s := w.Desk.Status()
			left := w.Moment().TrueOff
			t.Logf("off %.3f, then %.3f; %.1f then %.1f dB; trim %+.3f %+.3f, errors %.3f %.3f, stretch %.3f %.3f, "+
				"apart %.3f %.3f, %v", off, left, before, s.Noise.LevelDB,
				p.Found.Cross.Deg(), p.Found.El.Deg(), p.Error.Cross.Deg(), p.Error.El.Deg(), p.Curves[0].Fit.Stretch,
				p.Curves[1].Fit.Stretch,
				p.Curves[0].Fit.Apart.Deg(), p.Curves[1].Fit.Apart.Deg(), w.Now())
			// Tracking itself is allowed 0.065 beamwidths, each axis: 0.18 degree of these 2.7.
			if left > 0.25 || left > off/2 || !(s.Noise.LevelDB > before) {
				t.Errorf("off by %.3f after the peak, %.3f before; noise %.1f, %.1f before", left, off, s.Noise.LevelDB,
					before)
			}
			w.Desk.Ask(desk.UsePeak{})
			w.pass(time.Second)
			if again := w.Desk.Status().Trim; again.CrossEl != s.Trim.CrossEl || again.El != s.Trim.El {
				t.Error("used twice, the trim has moved")
			}
		})
	}
}

// chooseMoon changes the target to the Moon and confirms the slew that it means.
func chooseMoon(w *World) {
	choice := desk.Choose{Body: desk.BodyChoice{Kind: desk.Moon, Name: "Moon"}}
	w.Desk.Ask(choice)
	w.pass(time.Second)
	w.Desk.Ask(choice)
}

// Whatever comes between ends the peak, says why, and leaves the trim as it was.
func TestAPeakEnds(t *testing.T) {
	order := func(o desk.Order) func(*World) { return func(w *World) { w.Desk.Ask(o) } }
	for name, c := range map[string]struct {
		act     func(*World)
		says    string
		tracks  bool
		trimmed bool
	}{
		"the operator": {order(desk.EndJob{}), "ended by the operator", true, false},
		"Stop":         {order(desk.Stop{}), "tracking has ended", false, false},
		"hold":         {order(desk.Hold{}), "tracking has ended", false, false},
		"another":      {chooseMoon, "target or band has changed", true, false},
		"a nudge": {order(desk.Nudge{By: desk.Offset{Cross: unit.AngleFromDeg(0.1)}}), "the trim has been changed",
			true, true},
		"another band":   {order(desk.BandTo{Band: 1}), "target or band has changed", true, false},
		"silent meter":   {put(t, plant.DetectorSilent), "the noise meter is silent", true, false},
		"overload":       {put(t, plant.DetectorOverloaded), "the noise meter is overloaded", true, false},
		"the hand panel": {put(t, plant.HandPanelTaken), "tracking has ended", false, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := evening(t, 0.3, 0)
			w.Desk.Ask(desk.TakePeak{Sweeps: true})
			w.pass(12 * time.Second)
			c.act(w)
			w.pass(15 * time.Second)
			s := w.Desk.Status()
			if s.Peak.Running || s.Peak.Last != nil {
				t.Fatal("the peak goes on")
			}
			if all := strings.Join(w.events, "\n"); !strings.Contains(all, "no peak: "+c.says) {
				t.Errorf("no %q in:\n%s", c.says, all)
			}
			if (s.Activity == desk.Tracking) != c.tracks {
				t.Errorf("activity %d", s.Activity)
			}
			if moved := s.Trim.CrossEl != 0; moved != c.trimmed {
				t.Errorf("the trim is %v", s.Trim.CrossEl.Deg())
			}
		})
	}
}

// Aside goes to where the sky is colder at the same elevation; back is on the target.
func TestAside(t *testing.T) {
	w := evening(t, 0, 0)
	on := w.Desk.Status().Noise.LevelDB
	w.Desk.Ask(desk.OffSource{On: true})
	w.pass(40 * time.Second)
	s, m := w.Desk.Status(), w.Moment()
	want := 5 * s.Band.HalfPower.Deg()
	if math.Abs(m.TrueOff-want) > 0.3 || math.Abs(math.Abs(s.OffSource.Deg())-want) > 1e-9 ||
		s.Activity != desk.Tracking {
		t.Errorf("off by %.2f, want %.2f; told %.2f", m.TrueOff, want, s.OffSource.Deg())
	}
	if height := w.Dish.Truth().Elevation.Deg() - s.Target.El.Deg(); math.Abs(height) > 0.3 {
		t.Errorf("aside stands %.2f higher", height)
	}
	if s.Noise.LevelDB > on-1 {
		t.Errorf("noise %.1f aside, %.1f on the Sun", s.Noise.LevelDB, on)
	}
	w.Desk.Ask(desk.OffSource{})
	w.pass(40 * time.Second)
	if m := w.Moment(); m.TrueOff > 0.3 || w.Desk.Status().OffSource != 0 {
		t.Errorf("off by %.2f after Back", m.TrueOff)
	}
}

// put lets a fault happen at the dish.
func put(t *testing.T, kind plant.Kind) func(*World) {
	return func(w *World) {
		if err := w.Dish.Put(plant.Fault{Kind: kind}); err != nil {
			t.Error(err)
		}
	}
}

// A detector that has died or is overloaded is not a level: the figure goes, and cold sky is not taken from it.
func TestADeadDetectorIsNoLevel(t *testing.T) {
	for name, c := range map[string]struct {
		kind plant.Kind
		says string
	}{
		"silent":     {plant.DetectorSilent, "cold-sky level not set: the noise meter is silent"},
		"overloaded": {plant.DetectorOverloaded, "cold-sky level not set: the noise meter is overloaded"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := evening(t, 0, 0)
			if !w.Desk.Status().Noise.Clean {
				t.Fatal("no level before the fault")
			}
			put(t, c.kind)(w)
			w.pass(5 * time.Second)
			w.Desk.Ask(desk.TakeColdSky{})
			w.pass(time.Second)
			if n := w.Desk.Status().Noise; n.Clean || n.HasCold {
				t.Errorf("clean %v, cold sky taken %v", n.Clean, n.HasCold)
			}
			if all := strings.Join(w.events, "\n"); !strings.Contains(all, c.says) {
				t.Errorf("no %q in:\n%s", c.says, all)
			}
		})
	}
}

// Each feed has its own meter, and so its own cold sky.
func TestColdSkyBelongsToBandAndFeed(t *testing.T) {
	w := evening(t, 0, 0)
	w.Desk.Ask(desk.TakeColdSky{})
	w.pass(time.Second)
	if !w.Desk.Status().Noise.HasCold {
		t.Fatalf("not taken: %v", w.events)
	}
	w.Desk.Ask(desk.BandTo{Band: 1})
	w.pass(2 * time.Second)
	if w.Desk.Status().Noise.HasCold {
		t.Error("another band has this one's cold sky")
	}
	w.Desk.Ask(desk.BandTo{Band: 0})
	w.pass(2 * time.Second)
	if !w.Desk.Status().Noise.HasCold {
		t.Error("it is gone after a change of band")
	}
}
