package plant

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"
)

var axisNames = [...]string{"azimuth", "elevation"}

func TestSteadySpeedAtFullDrive(t *testing.T) {
	for axis, name := range axisNames {
		for _, sense := range []float64{1, -1} {
			p := open(t, still())
			a, e := along(axis, sense)
			drive(p, 6, a, e)
			from := p.Truth().Axis[axis]
			drive(p, 10, a, e)
			speed := (p.Truth().Axis[axis] - from).Deg() / 10 * sense
			if math.Abs(speed/1.5-1) > 0.01 {
				t.Errorf("%s: steady speed at full drive %.4f degrees/s, want 1.5 within 1 %%", name, speed*sense)
			}
			t.Logf("%s %+v: %.4f degrees/s, %.2f A", name, sense, speed, p.Truth().CurrentA[axis])
		}
	}
}

// TestSlopeOfSpeed: the drive stage lets the speed change at its own rate.
func TestSlopeOfSpeed(t *testing.T) {
	p := open(t, still())
	speed := func() float64 {
		from := p.Truth().Axis[0]
		drive(p, 0.4, 1, 0) // two swings of the structure
		return (p.Truth().Axis[0] - from).Deg() / 0.4
	}
	drive(p, 1, 1, 0)
	early := speed()
	drive(p, 0.6, 1, 0)
	got := speed() - early
	if want := 0.52; math.Abs(got-want) > 0.03*want {
		t.Errorf("acceleration %.3f degrees/s2, want %.2f within 3 %%", got, want)
	}
}

// TestStopping: after zero drive at full speed the axis travels v^2/2a;
// without power it is braked at once.
func TestStopping(t *testing.T) {
	rows := []struct {
		name      string
		stop      func(p *Plant)
		want, tol float64
	}{
		{"zero drive", func(p *Plant) { drive(p, 8, 0, 0) }, 1.5 * 1.5 / (2 * 0.52), 0.1},
		{"power off", func(p *Plant) { rest(p, 8) }, 0.06, 0.05},
	}
	for _, row := range rows {
		p := open(t, still())
		drive(p, 8, 1, 0)
		from := p.Truth().Motor[0].Deg()
		row.stop(p)
		got := p.Truth().Motor[0].Deg() - from
		if math.Abs(got-row.want) > row.tol {
			t.Errorf("%s: the motor side travelled %.3f degrees, want %.3f within %.2f", row.name, got, row.want,
				row.tol)
		}
		if rate := p.Truth().Rate[0]; rate != 0 {
			t.Errorf("%s: it still moves at %v", row.name, rate.Deg())
		}
		t.Logf("%s: %.3f degrees", row.name, got)
	}
}

// TestStall: a jammed axis draws what the resistance of the winding allows,
// V = R i, or the limit of the drive stage.
func TestStall(t *testing.T) {
	for _, row := range []struct{ applied, want float64 }{{0.1, 0.1 * 27.4 / (0.4 * (1 - 10*copperPerC))}, {1, 15},
		{-1, -15}} {
		p := open(t, still())
		put(t, p, "az-jammed")
		out := drive(p, 3, row.applied, 0)
		if got := out.Axes[0].CurrentA; math.Abs(got-row.want) > 0.03*math.Abs(row.want) {
			t.Errorf("jammed at %+.1f of full drive: %.2f A, want %.2f within 3 %%", row.applied, got, row.want)
		}
		from := p.Truth().Axis[0]
		drive(p, 3, row.applied, 0)
		if moved := p.Truth().Axis[0] - from; moved != 0 {
			t.Errorf("a jammed axis moved %v degrees", moved.Deg())
		}
	}
}

// TestBacklash: reversing, the motor side travels the backlash before the dish follows.
func TestBacklash(t *testing.T) {
	c := still()
	c.Axes[1].ImbalanceNm = 0
	for axis, name := range axisNames {
		p := open(t, c)
		a, e := along(axis, 0.2)
		drive(p, 5, a, e)
		up := p.Truth()
		drive(p, 5, -a, -e)
		down := p.Truth()
		lag := func(x Truth) float64 { return (x.Motor[axis] - x.Axis[axis]).Deg() }
		// Teeth bend by what they carry, on either side of the backlash.
		bend := (up.TorqueNm[axis] - down.TorqueNm[axis]) / c.Axes[axis].GearNmPerRad * 180 / math.Pi
		if got := lag(up) - lag(down) - bend; math.Abs(got-0.15) > 0.002 {
			t.Errorf("%s: backlash %.4f degrees, want 0.15", name, got)
		}
	}
}

// TestWormHolds: without drive a push moves the dish within the backlash only, and
// never turns the motor.
func TestWormHolds(t *testing.T) {
	c := still()
	c.Wind = Wind{MeanMPS: 25, Direction: unit.AngleFromDeg(100), Turbulence: 0.25}
	p := open(t, c)
	start := p.Truth()
	low, high := start.Axis[0], start.Axis[0]
	for range 600 {
		rest(p, 0.1)
		now := p.Truth()
		low, high = min(low, now.Axis[0]), max(high, now.Axis[0])
		if now.Motor != start.Motor {
			t.Fatalf("the motor side moved from %v to %v", start.Motor, now.Motor)
		}
	}
	// Teeth and hub give way a little under the storm's torque.
	if travel := (high - low).Deg(); travel > 0.15+0.06 {
		t.Errorf("the dish moved %.3f degrees, the backlash is 0.15", travel)
	}
}

// TestImbalanceChoosesTheFlank: without wind elevation lies on the side of the backlash that
// its weight pulls it to.
func TestImbalanceChoosesTheFlank(t *testing.T) {
	p := open(t, still())
	drive(p, 3, 0, -0.3)
	rest(p, 3)
	now := p.Truth()
	if gap := (now.Motor[1] - now.Axis[1]).Deg(); math.Abs(gap-0.075) > 0.01 {
		t.Errorf("the dish lies %.3f degrees below the motor side, want half the backlash, 0.075", gap)
	}
	if now.TorqueNm[1] <= 0 {
		t.Errorf("the teeth carry %.0f Nm, want them to hold the dish up", now.TorqueNm[1])
	}
}

// TestStiction: a drive below what friction takes turns nothing, more does,
// and in the cold it takes more.
func TestStiction(t *testing.T) {
	minimum := func(temperature float64) float64 {
		c := still()
		c.Air.TemperatureC = temperature
		for applied := 0.005; applied < 0.3; applied += 0.001 {
			p := open(t, c)
			from := p.Truth().Motor[0]
			drive(p, 2, applied, 0)
			if (p.Truth().Motor[0] - from).Deg() > 0.005 {
				return applied
			}
		}
		return math.Inf(1)
	}
	mild, cold := minimum(10), minimum(-15)
	// Current to turn times sticking times resistance, over the supply.
	if want := 1.3 * 1 * 0.39 / 27.4; math.Abs(mild-want) > 0.004 {
		t.Errorf("it begins to turn at %.4f of full drive, want %.4f within 0.004", mild, want)
	}
	if ratio := cold / mild; math.Abs(ratio-coldFriction(-15)*0.9) > 0.25 {
		t.Errorf("at -15 degrees C it takes %.2f times the drive of 10 degrees C, friction is %.2f times as much",
			ratio, coldFriction(-15))
	}
	t.Logf("least drive %.4f at 10 C, %.4f at -15 C", mild, cold)
}

// TestStructure: pushed once, the dish swings on its hub at 5 Hz and comes to rest.
func TestStructure(t *testing.T) {
	p := open(t, still())
	m := &p.axes[0]
	m.dish += 2e-5 // so little that friction holds the hub
	crossings, last, first, at := 0, m.dish-m.hub, 0.0, 0.0
	for range 2000 {
		p.Step(Input{Elapsed: time.Millisecond})
		now := m.dish - m.hub
		if now < 0 && last >= 0 {
			if at = p.Elapsed().Seconds(); crossings == 0 {
				first = at
			}
			crossings++
		}
		last = now
	}
	hertz := float64(crossings-1) / (at - first)
	if math.Abs(hertz-5) > 0.1 {
		t.Errorf("it swings at %.2f Hz, want 5 within 0.1", hertz)
	}
	if left := math.Abs(m.dish-m.hub) / 2e-5; left > 0.2 {
		t.Errorf("after 2 s %.1f %% of the swing is left, want at most 20 (3 %% of critical damping)", left*100)
	}
}

// TestEnds: an open end switch ends the drive that way by wire, and lets the
// axis back off.
func TestEnds(t *testing.T) {
	for _, sense := range []float64{1, -1} {
		c := still()
		c.Axes[1].Place = c.Axes[1].EndHigh - unit.AngleFromDeg(3)
		if sense < 0 {
			c.Axes[1].Place = c.Axes[1].EndLow + unit.AngleFromDeg(3)
		}
		p := open(t, c)
		out := drive(p, 10, 0, sense)
		if out.Axes[1].EndHigh != (sense > 0) || out.Axes[1].EndLow != (sense < 0) {
			t.Fatalf("at the end: lower open %v, upper open %v", out.Axes[1].EndLow, out.Axes[1].EndHigh)
		}
		over := (p.Truth().Axis[1] - c.Axes[1].EndHigh).Deg()
		if sense < 0 {
			over = (c.Axes[1].EndLow - p.Truth().Axis[1]).Deg()
		}
		if over < 0 || over > 0.3 {
			t.Errorf("it stands %.3f degrees beyond the end switch, want 0 to 0.3", over)
		}
		if out = drive(p, 4, 0, -sense); out.Axes[1].EndHigh || out.Axes[1].EndLow {
			t.Error("it did not back off")
		}
	}
}
