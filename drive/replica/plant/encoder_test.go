package plant

import (
	"math"
	"testing"

	"github.com/soniakeys/unit"
)

// turnBy moves an encoder alone by an angle at a rate, radians a second, and
// returns its reader.
func turnBy(a *Axis, r *reader, from, by, rate float64, faults encoderFaults) {
	chance := seeded(9, 9)
	n := math.Ceil(math.Abs(by) / (rate * step))
	for i := 1.0; i <= n; i++ {
		angle := from + by*i/n
		r.read(a, angle, angle, i*step, &faults, &chance)
	}
}

func TestCountsOfATurn(t *testing.T) {
	rows := []struct {
		name    string
		encoder Encoder
		want    float64
		source  string
	}{
		{"1024 pulses on the axis", Encoder{Pulses: 1024, Ratio: 1, Direction: 1, Uneven: 0.15}, 4096, "1024 x 4"},
		{"300 pulses geared 3 to 1", Encoder{Pulses: 300, Ratio: 3, Direction: 1, Uneven: 0.15}, 3600,
			"common practice, no source: 0.1 degrees a count"},
		{"counts fall with the angle", Encoder{Pulses: 300, Ratio: 3, Direction: -1, Uneven: 0.15}, -3600,
			"the same, direction -1"},
		{"on the shaft of the motor", Encoder{Pulses: 500, Ratio: 9000, Direction: 1, OnMotor: true}, 18e6,
			"500 x 4 x 9000"},
		{"absolute, 16 bits", Encoder{Pulses: 16384, Ratio: 1, Direction: 1, Absolute: true}, 65536, "2^16"},
	}
	for _, row := range rows {
		a := DefaultAxis()
		a.Encoder = row.encoder
		r := newReader(&a, 3, 1, 0.3, 0.3)
		start := r.counts
		turnBy(&a, &r, 0.3, 2*math.Pi, 0.02*math.Pi/180*75, encoderFaults{})
		// Edges differ by their misplacement at either end of the turn.
		if got := float64(r.counts - start); math.Abs(got-row.want) > 1 {
			t.Errorf("%s: %.0f counts in a turn, want %.0f within 1 (%s)", row.name, got, row.want, row.source)
		}
		turnBy(&a, &r, 0.3+2*math.Pi, -2*math.Pi, 0.02*math.Pi/180*75, encoderFaults{})
		if r.counts != start || r.impossible != 0 {
			t.Errorf("%s: back at its place it shows %d counts more and %d impossible transitions", row.name,
				r.counts-start, r.impossible)
		}
	}
}

// TestTenTurns: a ratio of 1.133 exactly; no count is lost over ten turns.
func TestTenTurns(t *testing.T) {
	a := DefaultAxis()
	a.Encoder.Pulses, a.Encoder.Ratio = 1000, 1.133
	r := newReader(&a, 3, 1, 0, 0)
	start := r.counts
	turnBy(&a, &r, 0, 20*math.Pi, 0.03, encoderFaults{})
	if got, want := float64(r.counts-start), 10*1000*4*1.133; math.Abs(got-want) > 1 {
		t.Errorf("%.0f counts in ten turns, want %.0f within 1", got, want)
	}
}

// TestEdges: no edge is further from its even place than configured, edges
// keep their order, and the error returns every four edges but for a small rest.
func TestEdges(t *testing.T) {
	for seed := range uint64(20) {
		a := DefaultAxis()
		r := newReader(&a, seed, 1, 0, 0)
		worst, before := 0.0, r.edge(-5001)
		for n := int64(-5000); n < 5000; n++ {
			e := r.edge(n)
			worst = max(worst, math.Abs(e-float64(n)))
			if e <= before {
				t.Fatalf("seed %d: edge %d at %.3f is not after the one before, %.3f", seed, n, e, before)
			}
			if rest := math.Abs(e - float64(n) - (r.edge(n+4) - float64(n+4))); rest > 4*0.03 {
				t.Errorf("seed %d: edges %d and %d are misplaced by %.3f counts more or less than each other", seed, n,
					n+4, rest)
			}
			before = e
		}
		if worst > 0.15 || worst < 0.1 {
			t.Errorf("seed %d: the worst edge is misplaced by %.3f counts, want 0.1 to 0.15", seed, worst)
		}
	}
}

// TestCountsAreWhereTheyShouldBe: the truth's zero makes angles of counts.
func TestCountsAreWhereTheyShouldBe(t *testing.T) {
	for _, direction := range []int{1, -1} {
		c := still()
		c.Axes[0].Encoder.Direction = direction
		p := open(t, c)
		count := c.Axes[0].Encoder.step() * float64(direction)
		for _, v := range []float64{0.7, -0.4, 0.05, -1, 1} {
			out := drive(p, 3, v, 0)
			truth := p.Truth()
			place := truth.ZeroAngle[0].Rad() + (float64(out.Axes[0].Counts)+0.5)*count
			if off := math.Abs(truth.Axis[0].Rad()-place) / math.Abs(count); off > 0.5+0.15 {
				t.Errorf("direction %d: the axis is %.2f counts from the middle of its count, want at most 0.65",
					direction, off)
			}
		}
	}
}

// TestSinceCount: the age of a count gives the place of its edge within a
// step of the plant at any speed.
func TestSinceCount(t *testing.T) {
	p := open(t, still())
	drive(p, 6, 1, 0)
	before := p.Output()
	out := drive(p, 1, 1, 0)
	if out.Axes[0].Counts <= before.Axes[0].Counts || !out.Axes[0].Upward {
		t.Fatal("it does not count upwards")
	}
	r := &p.readers[0]
	edge := r.zero + r.low/r.per
	travelled := (p.Truth().Axis[0].Rad() - edge) * 180 / math.Pi
	if want := 1.5 * out.Axes[0].SinceCount.Seconds(); math.Abs(travelled-want) > 0.001 {
		t.Errorf("%.4f degrees since the last edge, its age times the speed is %.4f", travelled, want)
	}
	fresh := open(t, still())
	if since := fresh.Output().Axes[0].SinceCount; since >= 0 {
		t.Errorf("before the first count its age is %v, want below 0", since)
	}
}

func TestMarkIsEnteredAtItsAngle(t *testing.T) {
	for _, direction := range []int{1, -1} {
		c := still()
		c.Axes[0].Place, c.Axes[0].Encoder.Direction = unit.AngleFromDeg(180-5*float64(direction)), direction
		p := open(t, c)
		if p.Output().Axes[0].OnMark {
			t.Fatal("it starts on its mark")
		}
		var out Output
		for range 4000 {
			if out = drive(p, 0.005, float64(direction)*0.5, 0); out.Axes[0].OnMark {
				break
			}
		}
		place := p.Truth().ZeroAngle[0].Deg() + float64(out.Axes[0].MarkCounts)*c.Axes[0].Encoder.step()*float64(
			direction)*180/math.Pi
		if math.Abs(place-180) > 0.12 {
			t.Errorf("direction %d: the mark was entered at %.3f degrees, want 180 within a count and a half",
				direction, place)
		}
	}
}

func TestFaultyEncoders(t *testing.T) {
	rows := []struct {
		name       string
		faults     encoderFaults
		lost       [2]float64 // part of the counts of a turn that may be lost
		impossible [2]float64
	}{
		{"dead", encoderFaults{dead: true}, [2]float64{1, 1}, [2]float64{0, 0}},
		{"loose", encoderFaults{loose: true}, [2]float64{1, 1}, [2]float64{0, 0}},
		{"lines missing", encoderFaults{damaged: 0.1}, [2]float64{0.06, 0.14}, [2]float64{0, 0}},
		{"out of phase", encoderFaults{phase: 0.3}, [2]float64{0.38, 0.54}, [2]float64{800, 1100}},
		{"glitches", encoderFaults{glitches: 5}, [2]float64{-0.01, 0.01}, [2]float64{900, 1500}},
	}
	for _, row := range rows {
		a := DefaultAxis()
		r := newReader(&a, 3, 1, 0, 0)
		start := r.counts
		turnBy(&a, &r, 0, 2*math.Pi, 0.0262, row.faults) // 240 s
		lost := 1 - float64(r.counts-start)/4096
		if lost < row.lost[0] || lost > row.lost[1] {
			t.Errorf("%s: %.3f of the counts are lost, want %v to %v", row.name, lost, row.lost[0], row.lost[1])
		}
		if n := float64(r.impossible); n < row.impossible[0] || n > row.impossible[1] {
			t.Errorf("%s: %.0f impossible transitions, want %v to %v", row.name, n, row.impossible[0],
				row.impossible[1])
		}
	}
}

// TestEncoderOnTheMotorHidesThePlay: the motor side counts while the dish
// still lies on its old side of the backlash.
func TestEncoderOnTheMotorHidesThePlay(t *testing.T) {
	c := still()
	c.Axes[0].Encoder = Encoder{Pulses: 100, Ratio: 10000, Direction: 1, OnMotor: true}
	p := open(t, c)
	drive(p, 4, 0.3, 0)
	rest(p, 2)
	before, from := p.Output().Axes[0].Counts, p.Truth()
	for range 400 {
		drive(p, 0.01, -0.1, 0)
		if (from.Motor[0] - p.Truth().Motor[0]).Deg() > 0.1 {
			break
		}
	}
	counted := float64(before-p.Output().Axes[0].Counts) / 4e6 * 360
	if moved := (from.Axis[0] - p.Truth().Axis[0]).Deg(); moved > 0.005 || math.Abs(counted-0.1) > 0.02 {
		t.Errorf("the dish moved %.3f degrees while the encoder counted %.3f, want 0 and 0.1", moved, counted)
	}
}
