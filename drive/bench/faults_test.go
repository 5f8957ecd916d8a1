package main

import (
	"math"
	"slices"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/step"
)

// What the simulated dish shows of a fault in the middle of a long slew must
// be found by the guard that it is meant for, and soon.
func TestFaultsInASlew(t *testing.T) {
	for _, c := range []struct {
		fault   string
		codes   []guard.Code
		seconds float64
	}{
		{"az-jammed", []guard.Code{guard.Stalled}, 3},
		{"az-coupling-broken", []guard.Code{guard.EncoderSilent, guard.EncoderFault}, 6},
		{"az-motor-unpowered", []guard.Code{guard.MotorSilent}, 6},
		{"az-encoder-dead", []guard.Code{guard.EncoderSilent, guard.EncoderFault}, 3},
		{"az-encoder-loose", []guard.Code{guard.EncoderSilent, guard.EncoderFault}, 3},
		{"az-encoder-alarm", []guard.Code{guard.EncoderFault}, 1},
		{"az-drive-fault", []guard.Code{guard.DriveFault}, 1},
		{"az-end-wire-broken", []guard.Code{guard.BothEnds}, 1},
		{"stop-circuit-open", []guard.Code{guard.StopCircuit}, 1},
		{"power-fails", []guard.Code{guard.PowerLost}, 1},
		{"supply-gone", []guard.Code{guard.PowerLost, guard.SupplyLow}, 4},
		{"drive-supply-low", []guard.Code{guard.SupplyLow}, 5},
		{"restart", []guard.Code{guard.Restarted}, 5},
		{"az-motor-hot", []guard.Code{guard.OverTemperature}, 60},
		{"drive-stage-hot", []guard.Code{guard.OverTemperature}, 60},
	} {
		t.Run(c.fault, func(t *testing.T) {
			d := slewing(t)
			f, _, err := plant.Named(c.fault)
			if err != nil {
				t.Fatal(err)
			}
			f.From = d.plant.Elapsed()
			if err := d.plant.Put(f); err != nil {
				t.Fatal(err)
			}
			began := d.in.Now
			for !d.state.Lock.Locked && d.in.Now-began < step.Nanos(c.seconds*1e9) {
				d.step()
			}
			if got := d.state.Lock.Cause.Code; !d.state.Lock.Locked || !slices.Contains(c.codes, got) {
				t.Errorf("after %.1f s locked %v by %v, want one of %v", (d.in.Now - began).Seconds(),
					d.state.Lock.Locked, got, c.codes)
			}
			if d.state.Lock.Locked && d.state.Axes[0].Demand != 0 {
				t.Errorf("locked out with demand %d", d.state.Axes[0].Demand)
			}
		})
	}
}

// Reversed wires show at the first start.
func TestReversedMotor(t *testing.T) {
	d := newDish(stillAir(5), step.Default())
	f, _, _ := plant.Named("az-motor-reversed")
	if err := d.plant.Put(f); err != nil {
		t.Fatal(err)
	}
	d.powerOn()
	from := d.place(0)
	d.step(step.Slew{To: mount.AxisAngles{Az: from + unit.AngleFromDeg(50), El: step.Keep()}, Asked: true})
	for range 60 {
		d.step()
	}
	if d.state.Lock.Cause.Code != guard.WrongWay {
		t.Errorf("locked %v by %v", d.state.Lock.Locked, d.state.Lock.Cause.Code)
	}
	if went := math.Abs((d.place(0) - from).Deg()); went > 2 {
		t.Errorf("it went %.2f degrees the wrong way", went)
	}
}

// A gear that holds nothing lets the dish run with power off: the loudest alarm.
func TestRunsFreeWithoutPower(t *testing.T) {
	d := newDish(stillAir(5), step.Default())
	for range 30 {
		d.step()
	}
	f, _, _ := plant.Named("az-runs-free")
	f.From = d.plant.Elapsed()
	if err := d.plant.Put(f); err != nil {
		t.Fatal(err)
	}
	for range 150 {
		d.step()
	}
	if d.state.Lock.Cause.Code != guard.MovingAfterStop {
		t.Errorf("locked %v by %v", d.state.Lock.Locked, d.state.Lock.Cause.Code)
	}
}

// slewing is a dish in the middle of a slew of 150 degrees in azimuth.
func slewing(t *testing.T) *dish {
	d := newDish(stillAir(5), step.Default())
	if !d.powerOn() {
		t.Fatal("no power")
	}
	d.step(step.Slew{To: mount.AxisAngles{Az: unit.AngleFromDeg(260), El: step.Keep()}, Asked: true})
	for range 150 {
		d.step()
	}
	if d.state.Mode != step.Slewing {
		t.Fatalf("not slewing: %v, %v", d.state.Mode, d.state.Lock.Cause.Code)
	}
	return d
}
