package desk

import (
	"math"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/drive/enclosure"
)

// read lets reading i be a value from now on.
func (b *bench) read(i int, value float64) {
	b.loop.Readings.Read |= 1 << i
	b.loop.Readings.Raw[i] = int16(math.Round(value / enclosure.Describe(i).Scale))
}

// TestNamedAlarms: what is wrong is told with what to do about it, by its own
// name where no single reading tells it.
func TestNamedAlarms(t *testing.T) {
	for name, c := range map[string]struct {
		put         func(b *bench)
		words, next string
	}{
		"sequencer": {func(b *bench) { b.read(enclosure.Sequencer, enclosure.SequencerFault) },
			"Sequencer fault", "Do not transmit"},
		"keyed with the relay supply low": {func(b *bench) {
			b.loop.Permit.Keyed =
				true
			b.read(enclosure.RelaySupply, 18)
		},
			"Transmitting while the preamplifier relay supply is out of its limits",
			"the sequencer, not this panel, protects"},
		"relay supply": {func(b *bench) { b.read(enclosure.RelaySupply, 18) },
			"Preamp relay supply 18.0 V, low limit 21.0 V", "the sequencer, not this panel, protects"},
		"reflected power": {func(b *bench) { b.read(enclosure.ForwardPower, 60); b.read(enclosure.ReflectedPower, 16) },
			"Reflected power: the standing wave ratio is too high", "Stop transmitting"},
		"coolant stands": {func(b *bench) { b.read(enclosure.CoolantFlow, 0.4) },
			"Coolant flow 0.4 L/min, low limit 2.0 L/min", "Look at the pump"},
		"coolant hot": {func(b *bench) { b.read(enclosure.CoolantOut, 70) },
			"Coolant out 70.0 °C, high limit 65.0 °C", "Look at pump and radiator"},
		"coolant frozen": {func(b *bench) { b.read(enclosure.CoolantOut, -17) },
			"Coolant out -17.0 °C, low limit -15.0 °C", "before it has warmed"},
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			c.put(b)
			for range 120 {
				b.after(100 * time.Millisecond)
			}
			for _, a := range b.out.Status.Alarms {
				if a.Words == c.words {
					if a.Grade != AlarmGrade || !strings.Contains(a.Next, c.next) || !a.Stands || a.Acknowledged {
						t.Errorf("%+v", a)
					}
					return
				}
			}
			t.Errorf("no %q among %+v", c.words, b.out.Status.Alarms)
		})
	}
}

// Every reading that has limits by default says what to do when it crosses them.
func TestEveryJudgedReadingHasANextStep(t *testing.T) {
	c := practice(t)
	for i, key := range station.ReadingKeys() {
		limits := watching.ReadingLimits(c.Settings.Readings[key])
		low := !math.IsNaN(limits.AlarmLow) || !math.IsNaN(limits.WarningLow)
		high := !math.IsNaN(limits.AlarmHigh) || !math.IsNaN(limits.WarningHigh)
		if key != "" && (low || high) && strings.HasPrefix(watching.NextStep(i, low), "Look at it at the dish") {
			t.Errorf("%s has limits and no next step", key)
		}
	}
}
