package desk

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
)

// leaning is an invented mount.
var leaning = mount.Model{AzZero: degrees(0.3), ElZero: degrees(-0.2), LeanNorth: degrees(0.08), LeanEast: degrees(-0.05)}

// around are observations of it all over the sky.
func around(m mount.Model) []mount.Observation {
	var all []mount.Observation
	for az := 30.0; az <= 300; az += 30 {
		for _, el := range []float64{20, 45, 65} {
			d := mount.Direction{Az: degrees(az), El: degrees(el)}
			all = append(all, mount.Observation{At: began, Sky: d, Axes: m.Apply(d), Sigma: [2]unit.Angle{degrees(0.01), degrees(0.01)}, Target: "Sun"})
		}
	}
	return all
}

func TestModelIsUsedAndTakenBack(t *testing.T) {
	b := newBench(t)
	b.s.takeSurvey(KeptSurvey{Observations: around(leaning)})
	b.after(time.Second, Order{Kind: TrimTo, Az: degrees(0.4), El: degrees(0.1)})
	before := b.out.Status
	d := mount.Direction{Az: before.Target.Az, El: before.Target.El}
	if before.Survey.Fit == nil || before.Survey.CanGoBack {
		t.Fatalf("fit %v, back %v: %s", before.Survey.Fit, before.Survey.CanGoBack, before.Survey.Why)
	}
	was := b.s.chain(&b.c).Axes(d)
	b.after(time.Second, Order{Kind: UseModel})
	want := leaning.Apply(d)
	got := b.s.chain(&b.c).Axes(d)
	if math.Abs((got.Az-want.Az).Deg()) > 1e-5 || math.Abs((got.El-want.El).Deg()) > 1e-5 {
		t.Errorf("axes %.5f %.5f, want %.5f %.5f", got.Az.Deg(), got.El.Deg(), want.Az.Deg(), want.El.Deg())
	}
	if c := before.Survey.Change; math.Abs((c.Cross-(got.Az-was.Az)).Deg()) > 1e-3 || math.Abs((c.El-(got.El-was.El)).Deg()) > 1e-3 {
		t.Errorf("told a change of %.4f %.4f, it was %.4f %.4f", c.Cross.Deg(), c.El.Deg(), (got.Az - was.Az).Deg(), (got.El - was.El).Deg())
	}
	if trim := b.out.Status.Trim; trim.CrossEl != 0 || trim.El != 0 {
		t.Errorf("the trim is %v, %v", trim.CrossEl, trim.El)
	}
	b.after(time.Second, Order{Kind: ModelBack})
	if got := b.s.chain(&b.c).Axes(d); math.Abs((got.Az-was.Az).Deg()) > 1e-3 || b.out.Status.Trim.CrossEl != degrees(0.4) {
		t.Errorf("axes %.4f, want %.4f as before; trim %v", got.Az.Deg(), was.Az.Deg(), b.out.Status.Trim.CrossEl.Deg())
	}
	b.after(time.Second, Order{Kind: ModelBack})
	if !b.said("there is no previous one") {
		t.Errorf("events %v", b.out.Events)
	}
}

func TestExcludeAndForget(t *testing.T) {
	b := newBench(t)
	all := around(leaning)
	all[3].Axes.El += degrees(1)
	b.s.takeSurvey(KeptSurvey{Observations: all})
	b.after(time.Second)
	first := b.out.Status.Survey
	if !first.Fit.Residuals[3].Suspect {
		t.Error("not suspect")
	}
	b.after(time.Second, Order{Kind: Exclude, Index: 3, On: true}, Order{Kind: Exclude, Index: 99, On: true})
	second := b.out.Status.Survey
	if second.Fit.Used != len(all)-1 || second.Fit.After > first.Fit.After/5 || first.Observations[3].Excluded {
		t.Errorf("used %d, left %v of %v; the published one has changed: %v", second.Fit.Used, second.Fit.After.Deg(), first.Fit.After.Deg(), first.Observations[3].Excluded)
	}
	b.after(time.Second, Order{Kind: ForgetSurvey}, Order{Kind: UseModel})
	if s := b.out.Status.Survey; len(s.Observations) != 0 || s.Fit != nil || !b.said("Mount model unchanged: 0 observations") {
		t.Errorf("%d observations, events %v", len(s.Observations), b.out.Events)
	}
}

// What was kept and can't be used is left out.
func TestDamagedSurveyIsLeftOut(t *testing.T) {
	b := newBench(t)
	all := around(leaning)
	all[0].Sky.El = unit.Angle(math.NaN())
	b.s.takeSurvey(KeptSurvey{Observations: all, Model: mount.Model{LeanNorth: degrees(50)}, Before: []KeptModel{{Model: mount.Model{Sag: degrees(90)}}}})
	b.after(time.Second)
	if s := b.out.Status.Survey; len(s.Observations) != len(all)-1 || s.Model != (mount.Model{}) || s.CanGoBack {
		t.Errorf("%d observations, model %+v, back %v", len(s.Observations), s.Model, s.CanGoBack)
	}
}
