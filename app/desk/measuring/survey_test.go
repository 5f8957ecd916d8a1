package measuring

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
	"beamhelm/drive/mount"
)

// leaning is an invented mount.
var leaning = mount.Model{
	AzZero: degrees(0.3), ElZero: degrees(-0.2), LeanNorth: degrees(0.08), LeanEast: degrees(-0.05),
}

// around are observations of it all over the sky.
func around(m mount.Model) []mount.Observation {
	var all []mount.Observation
	for az := 30.0; az <= 300; az += 30 {
		for _, el := range []float64{20, 45, 65} {
			d := mount.Boresight{Az: degrees(az), El: degrees(el)}
			all = append(all, mount.Observation{At: began, Boresight: d, Axes: m.Apply(d), Target: "Sun",
				Sigma: [2]unit.Angle{degrees(0.01), degrees(0.01)}})
		}
	}
	return all
}

// near reports that axis angles agree to a hundred thousandth of a degree.
func near(a, b mount.AxisAngles) bool {
	return math.Abs((a.Az-b.Az).Deg()) < 1e-5 && math.Abs((a.El-b.El).Deg()) < 1e-5
}

// What the encoders leave open counts in an observation's error beside the peak's own: a count is an even distribution
// (its width over the root of 12), and so is the backlash between an encoder on the motor's shaft and an axis that may
// come from either side. In azimuth it is less on the sky by the cosine of the elevation.
func TestCountsAndBacklashAreInTheErrors(t *testing.T) {
	const peakDeg, count, backlash = 0.02, 0.088, 0.25
	for _, row := range []struct {
		encoder  settings.EncoderPlace
		approach settings.Approach
		backlash float64
	}{
		{settings.OnDishAxis, settings.Either, 0}, {settings.OnMotorShaft, settings.Either, backlash},
		{settings.OnMotorShaft, settings.Upward, 0},
	} {
		b := newBench(t)
		for i, a := range []*settings.Axis{&b.c.Settings.Axes.Azimuth, &b.c.Settings.Axes.Elevation} {
			a.Encoder, a.Approach, a.BacklashDeg = row.encoder, row.approach, backlash
			b.loop.Axes[i].Step = degrees(count)
		}
		res := PeakResult{At: began, Error: mount.Offset{Cross: degrees(peakDeg), El: degrees(peakDeg)}}
		got := newWork(&b.c, &b.s, &b.in).observation(&res).Sigma
		d, _, _ := b.c.Place(b.c.Moon(), began)
		axis := math.Hypot(count, row.backlash) / math.Sqrt(12)
		for i, want := range []float64{math.Hypot(peakDeg, axis*d.El.Cos()), math.Hypot(peakDeg, axis)} {
			if math.Abs(got[i].Deg()-want) > 1e-9 {
				t.Errorf("%+v: coordinate %d is good to %.5f°, want %.5f", row, i, got[i].Deg(), want)
			}
		}
	}
}

func TestModelIsUsedAndTakenBack(t *testing.T) {
	b := newBench(t)
	b.s = New(Kept{Survey: KeptSurvey{Observations: around(leaning)}})
	band, feed := b.c.Names(0, 0)
	trims := pointing.Trims{{Band: band, Feed: feed, Kind: station.Moon, CrossEl: degrees(0.4), El: degrees(0.1)}}
	b.in.Trims = trims
	before := b.shown().Survey
	d, _, _ := b.c.Place(b.c.Moon(), b.in.At)
	if before.Fit == nil || before.CanGoBack {
		t.Fatalf("fit %v, back %v: %s", before.Fit, before.CanGoBack, before.Why)
	}
	was := b.in.Beam.Chain.Axes(d)
	b.order(UseModel{})
	got, want := b.in.Beam.Chain.Axes(d), mount.Chain{Model: leaning}.Axes(d)
	if !near(got, want) {
		t.Errorf("axes %.5f %.5f, want %.5f %.5f", got.Az.Deg(), got.El.Deg(), want.Az.Deg(), want.El.Deg())
	}
	told := mount.AxisAngles{Az: before.Change.Cross, El: before.Change.El}
	if moved := (mount.AxisAngles{Az: got.Az - was.Az, El: got.El - was.El}); !near(told, moved) {
		t.Errorf("told a change of %.4f %.4f, it was %.4f %.4f", told.Az.Deg(), told.El.Deg(), moved.Az.Deg(),
			moved.El.Deg())
	}
	if len(b.in.Trims) != 0 || !b.out.Pressed {
		t.Errorf("the trims are %v, pressed %v", b.in.Trims, b.out.Pressed)
	}
	b.order(ModelBack{})
	if got := b.in.Beam.Chain.Axes(d); !near(got, was) || len(b.in.Trims) != 1 || b.in.Trims[0] != trims[0] {
		t.Errorf("axes %.4f, want %.4f as before; trims %v", got.Az.Deg(), was.Az.Deg(), b.in.Trims)
	}
	b.order(ModelBack{})
	if !b.said("model.none-before") {
		t.Errorf("events %v", b.out.Events)
	}
	b.in.UnderWay = true
	if b.order(UseModel{}); !b.said("model.slewing") || len(b.out.Asks) > 0 {
		t.Errorf("on its way: asked for %v, events %v", b.out.Asks, b.out.Events)
	}
}

func TestExcludeAndForget(t *testing.T) {
	b := newBench(t)
	all := around(leaning)
	all[3].Axes.El += degrees(1)
	b.s = New(Kept{Survey: KeptSurvey{Observations: all}})
	first := b.shown().Survey
	if !first.Fit.Residuals[3].Suspect {
		t.Error("not suspect")
	}
	b.order(Exclude{Index: 3, Out: true})
	b.order(Exclude{Index: 99, Out: true})
	second := b.shown().Survey
	if second.Fit.Used != len(all)-1 || second.Fit.After > first.Fit.After/5 || first.Observations[3].Excluded {
		t.Errorf("used %d, left %v of %v; the published one has changed: %v", second.Fit.Used, second.Fit.After.Deg(),
			first.Fit.After.Deg(), first.Observations[3].Excluded)
	}
	b.order(ForgetSurvey{})
	b.order(UseModel{})
	s := b.shown().Survey
	if len(s.Observations) != 0 || s.Fit != nil || !b.said("model.unchanged") {
		t.Errorf("%d observations, events %v", len(s.Observations), b.out.Events)
	}
}

// What was kept and can't be used is left out.
func TestDamagedSurveyIsLeftOut(t *testing.T) {
	b := newBench(t)
	all := around(leaning)
	all[0].Boresight.El = unit.Angle(math.NaN())
	b.s = New(Kept{Survey: KeptSurvey{
		Observations: all, Model: mount.Model{LeanNorth: degrees(50)},
		Before: []KeptModel{{Model: mount.Model{Sag: degrees(90)}}},
	}})
	if s := b.shown().Survey; len(s.Observations) != len(all)-1 || s.Model != (mount.Model{}) || s.CanGoBack {
		t.Errorf("%d observations, model %+v, back %v", len(s.Observations), s.Model, s.CanGoBack)
	}
}
