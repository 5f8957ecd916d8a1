package plant

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
)

// TestPeriods: with leave the sequencer sends in our turns only, and the
// preamplifier has no supply whenever the transmitter is keyed.
func TestPeriods(t *testing.T) {
	c := still()
	c.Sequencer.PeriodS = 15
	p := open(t, c)
	in := Input{Elapsed: 5 * time.Millisecond, Permit: true, Outputs: enclosure.OutputPreamplifier}
	keyed, wrong, seen := 0.0, 0, map[float64]bool{}
	for range 60 * 200 {
		out := p.Step(in)
		seen[out.Readings[enclosure.Sequencer]] = true
		if out.Keyed {
			keyed += 0.005
			if second := p.Now().Second() % 30; second >= 15 {
				wrong++
			}
			if p.preamplified() {
				t.Fatal("keyed with the preamplifier on")
			}
		}
	}
	if keyed < 29 || keyed > 30 {
		t.Errorf("keyed %.1f s of a minute in turns of 15 s, want a little less than 30", keyed)
	}
	if wrong > 2 {
		t.Errorf("keyed for %d steps outside our turn", wrong)
	}
	for state := range 4 {
		if !seen[float64(state)] {
			t.Errorf("the sequencer never showed state %d", state)
		}
	}
	rest(p, 40)
	in.Permit = true
	for !p.Step(in).Keyed {
	}
	in.Permit = false
	p.Step(in)
	in.Elapsed = 10 * time.Millisecond
	p.Step(in)
	if p.Step(in).Keyed {
		t.Error("still keyed 20 ms after the leave was withdrawn")
	}
}

// TestQuietNightReadings: over twenty minutes of a night with some motion and sending
// every reading stays within believable bands and moves.
func TestQuietNightReadings(t *testing.T) {
	c := Default()
	p := open(t, c)
	bands := [enclosure.ReadingCount][2]float64{
		enclosure.DriveSupply: {25, 28.5}, enclosure.LogicSupply: {4.9, 5.1}, enclosure.BatterySupply: {13, 14.2},
		enclosure.PreamplifierSupply: {0, 13}, enclosure.RelaySupply: {26.5, 28.5},
		enclosure.FeedHeaterCurrent: {1.1, 1.6},
		enclosure.AirInside:         {8, 22}, enclosure.AirOutside: {3, 13}, enclosure.AzimuthMotorTemperature: {3, 40},
		enclosure.ElevationMotorTemperature: {3, 40}, enclosure.DriveStageTemperature: {10, 45},
		enclosure.HumidityInside: {35, 55},
		enclosure.WindMean:       {0, 12}, enclosure.WindGust: {0.5, 14}, enclosure.DetectorSupply: {4.9, 5.1},
		enclosure.ForwardPower: {0, 440}, enclosure.ReflectedPower: {0, 8}, enclosure.HeatSinkTemperature: {8, 60},
		enclosure.CoolantIn: {8, 40}, enclosure.CoolantOut: {8, 42}, enclosure.CoolantFlow: {5.8, 6.6},
		enclosure.AmplifierSupply: {49, 50.5}, enclosure.AmplifierCurrent: {0.3, 19}, enclosure.Sequencer: {0, 3},
		enclosure.WindDirection: {0, 360}, enclosure.HighVoltage: {2300, 2440},
	}
	low, high := [enclosure.ReadingCount]float64{}, [enclosure.ReadingCount]float64{}
	for i := range low {
		low[i], high[i] = math.Inf(1), math.Inf(-1)
	}
	in := Input{Elapsed: 5 * time.Millisecond, Contactor: true, Permit: true,
		Outputs: enclosure.OutputPreamplifier | enclosure.OutputFeedHeater}
	for n := range 1200 * 200 {
		in.Applied = [2]float64{}
		if n%4000 < 400 {
			in.Applied = [2]float64{0.15, -0.02}
		}
		out := p.Step(in)
		if n < 200 { // the preamplifier's supply comes up
			continue
		}
		for i, v := range out.Readings {
			low[i], high[i] = min(low[i], v), max(high[i], v)
		}
	}
	for i, band := range bands {
		name := enclosure.Describe(i).Name
		if band == [2]float64{} {
			if !math.IsNaN(p.Output().Readings[i]) && i != enclosure.SequencerFault && i != enclosure.SequenceCopy {
				t.Errorf("reading %d %s is %v, want none", i, name, p.Output().Readings[i])
			}
			continue
		}
		if !(low[i] >= band[0] && high[i] <= band[1]) {
			t.Errorf("%s was %.3f to %.3f %s, want within %v to %v", name, low[i], high[i], enclosure.Describe(i).Unit,
				band[0], band[1])
		}
		if high[i]-low[i] < enclosure.Describe(i).Scale {
			t.Errorf("%s did not move from %.3f %s", name, low[i], enclosure.Describe(i).Unit)
		}
		t.Logf("%-24s %9.3f to %9.3f %s", name, low[i], high[i], enclosure.Describe(i).Unit)
	}
}

// TestMotorHeat: the heat of the winding against what leaves it: R i^2 / cooling.
func TestMotorHeat(t *testing.T) {
	p := open(t, still())
	put(t, p, "az-jammed")
	put(t, p, "az-drive-fault")
	p.Remove(DriveStageFault, 0)
	drive(p, 60, 0.15, 0) // about 10 A
	now := p.Truth()
	got := p.Output().Readings[enclosure.AzimuthMotorTemperature] - 10
	watts := now.CurrentA[0] * now.CurrentA[0] * 0.4
	// A minute is short against the 2140 s of heat capacity over cooling.
	if want := watts * 60 / 1500; math.Abs(got/want-1) > 0.1 {
		t.Errorf("a minute at %.1f A warmed the motor by %.2f K, want %.2f within 10 %%", now.CurrentA[0], got, want)
	}
}

// TestSupplySags under the motors' current, by the resistance of its cable.
func TestSupplySags(t *testing.T) {
	p := open(t, still())
	put(t, p, "az-jammed")
	rest(p, 1)
	before := p.busV
	drive(p, 4, 1, 0)
	if got, want := before-p.busV, 15*0.12; math.Abs(got-want) > 0.2 {
		t.Errorf("the supply sags by %.2f V at 15 A, want %.2f", got, want)
	}
}

// TestDeterminism: the same seed and inputs give the same dish to the last
// bit, another seed another one; the mechanics don't depend on how time is cut.
func TestDeterminism(t *testing.T) {
	run := func(seed uint64, elapsed time.Duration) *Plant {
		c := Default()
		c.Seed = seed
		p := open(t, c)
		f, _, _ := Named("az-encoder-glitches")
		if err := p.Put(f); err != nil {
			t.Fatal(err)
		}
		for p.Elapsed() < 20*time.Second {
			p.Step(Input{Elapsed: elapsed, Contactor: true, Applied: [2]float64{0.4, -0.1},
				Outputs: enclosure.OutputPreamplifier})
		}
		return p
	}
	a, b := run(7, 5*time.Millisecond), run(7, 5*time.Millisecond)
	if a.out.DetectorUV != b.out.DetectorUV || a.axes != b.axes || a.readers != b.readers || a.weather != b.weather {
		t.Error("the same seed gave another dish")
	}
	if c := run(7, time.Millisecond); c.axes != a.axes || c.weather != a.weather {
		t.Error("steps of 1 ms gave other axes than steps of 5 ms")
	}
	if d := run(8, 5*time.Millisecond); d.weather == a.weather || d.out.Axes[0].Counts == a.out.Axes[0].Counts {
		t.Error("another seed gave the same dish")
	}
}

// TestNothingIsAllocated in a step.
func TestNothingIsAllocated(t *testing.T) {
	p := open(t, Default())
	put(t, p, "storm")
	in := Input{Elapsed: 5 * time.Millisecond, Contactor: true, Applied: [2]float64{0.4, -0.1}}
	if n := testing.AllocsPerRun(2000, func() { p.Step(in) }); n != 0 {
		t.Errorf("a step allocates %v times", n)
	}
}

// TestBadInput: what is not finite or too much does no harm.
func TestBadInput(t *testing.T) {
	p := open(t, Default())
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		p.Step(Input{Elapsed: 5 * time.Millisecond, Contactor: true, Applied: [2]float64{v, v}, FeedTurnDegrees: v,
			Band: 99})
	}
	p.Step(Input{Elapsed: -time.Hour})
	truth := p.Truth()
	for i := range truth.Axis {
		if !finite(truth.Axis[i].Rad()) || !finite(truth.Motor[i].Rad()) {
			t.Errorf("axis %d is at %v", i, truth.Axis[i])
		}
	}
}

func TestValidate(t *testing.T) {
	d := unit.AngleFromDeg
	rows := []struct {
		words  string
		change func(c *Config)
	}{
		{"azimuth place", func(c *Config) { c.Axes[0].Place = d(500) }},
		{"elevation top speed", func(c *Config) { c.Axes[1].TopSpeed = 0 }},
		{"stiffness of the gear teeth", func(c *Config) { c.Axes[1].GearNmPerRad = 1e9 }},
		{"directions", func(c *Config) { c.Axes[1].Encoder.Direction = 0 }},
		{"counts in a millisecond", func(c *Config) { c.Axes[0].Encoder.Pulses, c.Axes[0].Encoder.Ratio = 1e6, 1e4 }},
		{"first band", func(c *Config) { c.Bands[0] = Band{} }},
		{"5760 MHz receiver", func(c *Config) { c.Bands[1].ReceiverK = math.NaN() }},
		{"squareness", func(c *Config) { c.Mount.Squareness = d(30) }},
		{"transmit period", func(c *Config) { c.Sequencer.PeriodS = 0 }},
		{"turbulence", func(c *Config) { c.Wind.Turbulence = 3 }},
		{"drive supply", func(c *Config) { c.Supplies.DriveV = 0 }},
	}
	if c := Default(); c.Validate() != nil {
		t.Fatal(c.Validate())
	}
	for _, row := range rows {
		c := Default()
		row.change(&c)
		if _, err := New(c); err == nil || !strings.Contains(err.Error(), row.words) {
			t.Errorf("%s: the error is %v", row.words, err)
		}
	}
}
