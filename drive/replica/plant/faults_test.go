package plant

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/enclosure"
)

// TestFaultsShow: each fault can be seen by the enclosure where an operator
// would look for it, and is gone when it is mended.
func TestFaultsShow(t *testing.T) {
	type sight struct{ out, before Output }
	moved := func(s sight, axis int) int32 { return s.out.Axes[axis].Counts - s.before.Axes[axis].Counts }
	stands := func(s sight, axis int) bool { return moved(s, axis) <= 3 && moved(s, axis) >= -3 } // it may spring back
	reading := func(i int, low, high float64) func(sight) bool {
		return func(s sight) bool { return s.out.Readings[i] >= low && s.out.Readings[i] <= high }
	}
	rows := []struct {
		name string
		// shows after 30 s of slow drive on both axes.
		shows func(s sight) bool
	}{
		{"az-jammed", func(s sight) bool { return stands(s, 0) && s.out.Axes[0].CurrentA > 10 }},
		{"el-ice", func(s sight) bool { return s.out.Axes[1].CurrentA > 5 && moved(s, 1) > 0 }},
		{"az-coupling-broken", func(s sight) bool {
			return stands(s, 0) && s.out.Axes[0].CurrentA > 0.5 && s.out.Axes[0].CurrentA < 3
		}},
		{"az-motor-unpowered", func(s sight) bool { return stands(s, 0) && s.out.Axes[0].CurrentA == 0 }},
		{"az-motor-reversed", func(s sight) bool { return moved(s, 0) < -10 && s.out.Axes[0].CurrentA > 0.5 }},
		{"el-motor-hot", reading(enclosure.ElevationMotorTemperature, 80, 110)},
		{"az-drive-fault", func(s sight) bool { return s.out.Axes[0].DriveFault && stands(s, 0) }},
		{"az-encoder-loose", func(s sight) bool { return stands(s, 0) && s.out.Axes[0].CurrentA < 3 }},
		{"el-encoder-dead", func(s sight) bool { return stands(s, 1) && s.out.Axes[1].CurrentA < 3 }},
		{"az-encoder-alarm", func(s sight) bool { return s.out.Axes[0].EncoderAlarm }},
		{"az-encoder-glitches", func(s sight) bool { return s.out.Axes[0].Impossible > 50 }},
		{"az-encoder-lines-missing", func(s sight) bool {
			return moved(s, 0) < 168 && moved(s, 0) > 0 &&
				s.out.Axes[0].Impossible == 0
		}},
		{"el-encoder-phase", func(s sight) bool { return s.out.Axes[1].Impossible > 10 && moved(s, 1) > 0 }},
		{"az-end-wire-broken", func(s sight) bool {
			return s.out.Axes[0].EndLow && s.out.Axes[0].EndHigh &&
				stands(s, 0)
		}},
		{"el-end-switch-stuck", func(s sight) bool { return !s.out.Axes[1].EndHigh }},
		{"stop-circuit-open", func(s sight) bool { return s.out.StopOpen && !s.out.Powered && stands(s, 0) }},
		{"hand-panel", func(s sight) bool { return s.out.HandPanel && s.out.HandDrive[0] == 0.3 }},
		{"power-fails", func(s sight) bool { return !s.out.Powered && s.out.SupplyBack }},
		{"supply-gone", func(s sight) bool { return !s.out.Powered && !s.out.SupplyBack }},
		{"drive-supply-low", reading(enclosure.DriveSupply, 17, 19.5)},
		{"logic-supply-low", reading(enclosure.LogicSupply, 4.5, 4.7)},
		{"battery-low", reading(enclosure.BatterySupply, 10.9, 11.5)},
		{"drive-stage-hot", reading(enclosure.DriveStageTemperature, 70, 95)},
		{"humidity-high", reading(enclosure.HumidityInside, 96, 98)},
		{"door-open", func(s sight) bool { return s.out.DoorOpen }},
		{"restart", func(s sight) bool {
			return s.out.Axes[0].Counts-s.before.Axes[0].Counts > 1000 ||
				moved(s, 0) < 0
		}},
		{"clock-stands", func(s sight) bool { return s.out.ClockStands }},
		{"drives-nothing", func(s sight) bool { return s.out.DrivesNothing }},
		{"sensors-gone", func(s sight) bool {
			r := s.out.Readings
			return math.IsNaN(r[enclosure.DriveSupply]) && math.IsNaN(r[enclosure.RelaySupply]) &&
				math.IsNaN(r[enclosure.DriveStageTemperature]) && !math.IsNaN(r[enclosure.BatterySupply])
		}},
		{"storm", reading(enclosure.WindGust, 14, 45)},
		{"wind-sensor-frozen", reading(enclosure.WindGust, 0, 0)},
		{"wind-sensor-gone", func(s sight) bool { return math.IsNaN(s.out.Readings[enclosure.WindMean]) }},
		{"frost", reading(enclosure.AirOutside, -16, 4)},
		{"preamplifier-dead", func(s sight) bool {
			return s.out.Readings[enclosure.PreamplifierSupply] == 0 && s.out.DetectorUV < s.before.DetectorUV-100e3
		}},
		{"relay-supply-low", reading(enclosure.RelaySupply, 19, 20)},
		{"feed-heater-dead", reading(enclosure.FeedHeaterCurrent, 0, 0.1)},
		{"detector-silent", func(s sight) bool { return s.out.DetectorUV == 0 }},
		{"detector-overloaded", func(s sight) bool { return s.out.DetectorUV > 1.5e6 }},
		{"sequencer-fault", reading(enclosure.Sequencer, enclosure.SequencerFault, enclosure.SequencerFault)},
		{"reflected-power", reading(enclosure.ReflectedPower, 100, 140)},
		{"coolant-stopped", reading(enclosure.CoolantFlow, 0.3, 0.5)},
	}
	shown := map[string]bool{}
	see := func(p *Plant, seconds float64) Output {
		var out Output
		in := Input{Elapsed: 5 * time.Millisecond, Contactor: true, Permit: true, Applied: [2]float64{0.35, 0.35},
			Outputs: enclosure.OutputPreamplifier | enclosure.OutputFeedHeater}
		for range int(seconds * 200) {
			out = p.Step(in)
		}
		return out
	}
	healthy := map[[2]bool]sight{}
	begin := func(name string) (*Plant, Output) {
		c := still()
		if strings.HasPrefix(name, "wind") {
			c.Wind.MeanMPS = 4
		}
		c.Axes[1].Place = unit.AngleFromDeg(79) // it comes to its upper end in time
		c.Sequencer.OursFirst = name == "reflected-power"
		p := open(t, c)
		return p, see(p, 3)
	}
	for _, row := range rows {
		p, before := begin(row.name)
		// A dish like it without the fault, run once for all that start alike.
		like := [2]bool{strings.HasPrefix(row.name, "wind"), row.name == "reflected-power"}
		if _, ran := healthy[like]; !ran {
			well := *p
			healthy[like] = sight{see(&well, 30), before}
		}
		if row.shows(healthy[like]) {
			t.Errorf("%s shows without being there", row.name)
		}
		put(t, p, row.name)
		if s := (sight{see(p, 30), before}); !row.shows(s) {
			t.Errorf("%s does not show: %+v", row.name, s.out)
		}
		p.Mend()
		if _, n := p.Faults(); n != 0 {
			t.Errorf("%s: mended, there are %d faults", row.name, n)
		}
		shown[strings.TrimPrefix(strings.TrimPrefix(row.name, "az-"), "el-")] = true
	}
	shown["runs-free"], shown["interference"] = true, true // in tests of their own
	for _, d := range Descriptions() {
		if !shown[d.Name] {
			t.Errorf("no row shows %s", d.Name)
		}
	}
}

// TestEndSwitchStuck: the axis runs into its buffers and draws much current.
func TestEndSwitchStuck(t *testing.T) {
	c := still()
	c.Axes[1].Place = unit.AngleFromDeg(88)
	p := open(t, c)
	put(t, p, "el-end-switch-stuck")
	out := drive(p, 10, 0, 1)
	if over := (p.Truth().Axis[1] - c.Axes[1].EndHigh).Deg(); over < 1.4 || over > 2.2 {
		t.Errorf("it stands %.2f degrees beyond its end, the buffers are at 1.5", over)
	}
	if out.Axes[1].CurrentA < 12 {
		t.Errorf("pressing its buffers it draws %.1f A", out.Axes[1].CurrentA)
	}
}

// TestHandPanel: it drives from its own power, and the stop circuit ends that.
func TestHandPanel(t *testing.T) {
	p := open(t, still())
	in := Input{Elapsed: 5 * time.Millisecond, ByHand: true, Applied: [2]float64{0.5, 0}}
	from := p.Truth().Axis[0]
	for range 800 {
		p.Step(in)
	}
	if moved := (p.Truth().Axis[0] - from).Deg(); moved < 1 || p.Output().Powered {
		t.Errorf("by hand it moved %.2f degrees, panel's power %v", moved, p.Output().Powered)
	}
	put(t, p, "stop-circuit-open")
	for range 200 {
		p.Step(in)
	}
	from = p.Truth().Axis[0]
	for range 200 {
		p.Step(in)
	}
	if moved := p.Truth().Axis[0] - from; moved != 0 {
		t.Errorf("with the stop circuit open it moved %v degrees", moved.Deg())
	}
}

// TestRestart: dark for its time, then the counter begins anywhere with no
// count known; an absolute encoder shows the same as before.
func TestRestart(t *testing.T) {
	c := still()
	c.Axes[1].Encoder.Absolute = true
	p := open(t, c)
	drive(p, 3, 0.5, 0.2)
	rest(p, 2)
	before := p.Output()
	put(t, p, "restart", 0.5)
	dark := 0
	for range 400 {
		if rest(p, 0.005).LogicDown {
			dark++
		}
	}
	after := p.Output()
	if dark < 90 || dark > 110 {
		t.Errorf("dark for %d ms, want 500", dark*5)
	}
	if after.Axes[0].Counts == before.Axes[0].Counts || after.Axes[0].SinceCount >= 0 {
		t.Errorf("incremental: counts %d, age %v after, %d before", after.Axes[0].Counts, after.Axes[0].SinceCount,
			before.Axes[0].Counts)
	}
	if after.Axes[1].Counts != before.Axes[1].Counts {
		t.Errorf("absolute: counts %d after, %d before", after.Axes[1].Counts, before.Axes[1].Counts)
	}
}

// TestFaultTimes: a fault comes and goes at its times.
func TestFaultTimes(t *testing.T) {
	p := open(t, still())
	if err := p.Put(Fault{Kind: DoorOpen, From: time.Second, Until: 2 * time.Second}); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		after time.Duration
		want  bool
	}{{500 * time.Millisecond, false}, {1500 * time.Millisecond, true}, {2500 * time.Millisecond, false}} {
		rest(p, (row.after - p.Elapsed()).Seconds())
		if got := p.Output().DoorOpen; got != row.want {
			t.Errorf("after %v the door is open: %v", row.after, got)
		}
	}
}

func TestFaultsRefused(t *testing.T) {
	storm, d, err := Named("storm")
	if err != nil || d.Words == "" {
		t.Fatal(err)
	}
	if storm, err = storm.With("mean", 25); err != nil || storm.Values[0] != 25 {
		t.Errorf("a storm of 25 m/s: %v, %v", storm.Values, err)
	}
	_, tooMuch := storm.With("mean", 400)
	_, _, unknown := Named("az-earthquake")
	_, missing := storm.With("depth", 1)
	for name, err := range map[string]error{
		"too much": tooMuch, "unknown name": unknown, "unknown parameter": missing,
		"not a number": Fault{Kind: Storm, Values: [2]float64{math.NaN()}}.Validate(),
		"no kind":      Fault{}.Validate(),
		"no axis":      Fault{Kind: DoorOpen, Axis: 1}.Validate(),
		"ends early":   Fault{Kind: DoorOpen, From: 3, Until: 2}.Validate(),
	} {
		if err == nil {
			t.Errorf("%s was taken", name)
		}
	}
	p := open(t, still())
	names := Names()
	if len(names) < 35 {
		t.Errorf("%d faults", len(names))
	}
	full := 0
	for _, name := range names {
		f, _, _ := Named(name)
		if p.Put(f) != nil {
			full++
		}
	}
	if full != max(0, len(names)-MaxFaults) {
		t.Errorf("%d of %d faults were refused, %d is the most", full, len(names), MaxFaults)
	}
	p.Remove(Jammed, 0)
	if _, n := p.Faults(); n != MaxFaults-1 {
		t.Errorf("after mending one there are %d", n)
	}
}

// TestRunsFree: with a worn gear the dish moves without drive, and turns its motor.
func TestRunsFree(t *testing.T) {
	p := open(t, still())
	put(t, p, "az-runs-free", -2500)
	from := p.Truth()
	rest(p, 10)
	now := p.Truth()
	if moved := (now.Axis[0] - from.Axis[0]).Deg(); moved > -0.5 || moved < -10 {
		t.Errorf("it moved %.2f degrees in 10 s, want -10 to -0.5", moved)
	}
	if now.Motor[0] == from.Motor[0] {
		t.Error("the motor did not turn with it")
	}
}

// TestInterference comes in bursts: the level rises above the receiver's own
// noise, and falls back.
func TestInterference(t *testing.T) {
	p := open(t, still())
	drive(p, 1, 0, 0)
	quiet := 0.0
	for range 2000 {
		quiet = max(quiet, drive(p, 0.005, 0, 0).DetectorUV)
	}
	put(t, p, "interference", 100)
	above := 0
	for range 2000 {
		if drive(p, 0.005, 0, 0).DetectorUV > quiet {
			above++
		}
	}
	if above < 400 || above > 1200 {
		t.Errorf("%d of 2000 moments were above the quiet level, want 400 to 1200", above)
	}
}
