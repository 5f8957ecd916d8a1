package desk

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/permit"
)

// fast is a desk at which the Moon is tracked, in practice that runs so many times as fast.
func fast(t *testing.T, scale int) *bench {
	b := newBench(t)
	b.scale = 1
	b.after(0)
	b.after(100*time.Millisecond, Track{On: true})
	b.after(100 * time.Millisecond)
	b.after(2*time.Second, TimeScaleTo{Scale: scale})
	b.after(100 * time.Millisecond)
	return b
}

// The course says where the axes have to be as the sky runs: in the loop's own time, which is the real one.
func TestTheCourseOfAFastSky(t *testing.T) {
	for _, scale := range []int{10, 60} {
		b := fast(t, scale)
		if b.out.Status.TimeScale != scale || !b.out.HasCourse {
			t.Fatalf("runs %d times as fast, want %d; a course %v", b.out.Status.TimeScale, scale, b.out.HasCourse)
		}
		course := b.out.Course
		for i, knot := range course.Knots[:course.Count] {
			after := knot.At - b.now
			moon, _, _ := b.c.Place(b.s.Choice, b.at.Add(after*time.Duration(scale)))
			want := b.s.chain(&b.c).Axes(moon)
			is := knot.Axes
			off := math.Hypot(math.Remainder((is.Az-want.Az).Deg(), 360)*want.El.Cos(), (is.El - want.El).Deg())
			if off > 1e-6 {
				t.Errorf("%d times: %v ahead the course is %.4f° from the Moon", scale, after, off)
			}
			if i == 0 {
				continue
			}
			// The rates fit the way from knot to knot to the second order.
			before := course.Knots[i-1]
			way := (knot.Axes.Az - before.Axes.Az).Deg()
			mean := (before.AzRate + knot.AzRate) / 2 * 180 / math.Pi * (knot.At - before.At).Seconds()
			if math.Abs(way-mean) > 0.02*math.Abs(way) {
				t.Errorf("%d times, knot %d: %.4f° on, by its rates %.4f°", scale, i, way, mean)
			}
		}
	}
}

// A change of the time scale is no clock fault, whenever it comes, and however late the desk's step is. A clock that is
// set is found at any time scale.
func TestATimeScaleIsNoClockFault(t *testing.T) {
	b := fast(t, 60)
	for range 3 {
		for _, scale := range []int{10, 60, 1, 60, 10, 1, 60} {
			b.after(3*time.Second, TimeScaleTo{Scale: scale})
			b.after(4 * time.Second)
			if b.said("desk.clock-set") || b.s.Aim != trackAim {
				t.Fatalf("%d times: said %v, aim %d", scale, b.out.Events, b.s.Aim)
			}
		}
	}
	b.at = b.at.Add(5 * time.Minute)
	b.after(100 * time.Millisecond)
	if !b.clockSet(5*time.Minute) || b.s.Aim != noAim {
		t.Errorf("a clock set by 5 minutes: %v, aim %d", b.out.Events, b.s.Aim)
	}
}

// What takes its time is refused while practice runs faster, and practice stays as it is while it runs.
func TestMeasurementsAreMadeInRealTime(t *testing.T) {
	b := fast(t, 60)
	for _, o := range []Order{TakePeak{}, MeasureY{}, Compare{}, SkyDip{Begin: true},
		CheckDish{}, SurveyTo{On: true, Targets: "Moon", Hours: 1},
		MeasureEchoes{On: true, Cycles: 5},
	} {
		b.after(100*time.Millisecond, o)
		if !b.said("desk.real-time-only") {
			t.Errorf("%T: said %v", o, b.out.Events)
		}
	}
	b.after(100*time.Millisecond, Permit{On: true})
	if !b.said("permit.refused") || !b.said("permit.fast-time") || !b.inhibited(permit.FastTime) {
		t.Errorf("the permit: %v", b.out.Events)
	}
	b.after(100*time.Millisecond, TimeScaleTo{Scale: 1})
	if b.after(100 * time.Millisecond); b.out.Status.TimeScale != 1 || b.inhibited(permit.FastTime) {
		t.Fatalf("runs %d times as fast", b.out.Status.TimeScale)
	}
	b.onTarget()
	b.s.Measuring.Peak.SoundAt = b.now // a level was measured
	b.after(100*time.Millisecond, TakePeak{})
	if b.after(100*time.Millisecond, TimeScaleTo{Scale: 10}); b.out.TimeScale != 0 ||
		!b.said("timescale.unchanged") || !b.said("measuring.peak-runs") {
		t.Errorf("while a peak is measured: %v, said %v", b.out.TimeScale, b.out.Events)
	}
}

// A real dish has the real time, and no other time scales than those offered are taken.
func TestWhereTimeCantRunFaster(t *testing.T) {
	b := newBench(t)
	if b.after(0, TimeScaleTo{Scale: 60}); b.out.TimeScale != 0 || !b.said("timescale.practice-only") {
		t.Errorf("a real dish: %d, %v", b.out.TimeScale, b.out.Events)
	}
	b.scale = 1
	for _, scale := range []int{0, -60, 2, 3600} {
		if b.after(0, TimeScaleTo{Scale: scale}); b.out.TimeScale != 0 {
			t.Errorf("%d is taken", scale)
		}
	}
}
