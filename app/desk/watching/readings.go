package watching

import (
	"math"
	"strings"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
)

// ReadingCount is the number of readings of the link.
const ReadingCount = enclosure.ReadingCount

// Reading is one reading of the enclosure.
type Reading struct {
	// Key is that of its limits in the settings and of its column in the records.
	Key        string
	Name, Unit string
	Group      string
	Decimals   int
	Fitted     bool
	// Lost says that there is no value now, but was one since the enclosure's start.
	Lost  bool
	Value float64
	// Low and High are the ends of the scale on which the band is drawn.
	Low, High float64
	// The four limits; NaN where none.
	AlarmLow, WarnLow, WarnHigh, AlarmHigh float64
	Grade                                  alarm.Grade
	// Crossed is the limit crossed, such as "limit 22.0"; nothing when none.
	Crossed message.Message
	// Words replaces the figure where it is a state (sequencer).
	Words message.Message
	// Next is what to do about the limit crossed; nothing when none.
	Next message.Message
	// IfBelow and IfAbove are what to do if a least limit or a most is crossed.
	IfBelow, IfAbove message.Message
	At               time.Time
}

// Switch is a two-state thing at the enclosure: end switches, stop circuit, hand panel, door.
type Switch struct {
	Name, Words string
	Grade       alarm.Grade
}

// ReadingLimits are the limits of a reading in the settings, as they are judged.
func ReadingLimits(l settings.Limits) alarm.Limits {
	nan := math.NaN()
	return alarm.Limits{
		AlarmLow: l.AlarmLow.Or(
			nan,
		), WarningLow: l.WarningLow.Or(nan), WarningHigh: l.WarningHigh.Or(nan), AlarmHigh: l.AlarmHigh.Or(nan),
		Hysteresis: l.Hysteresis, Hold: station.Seconds(l.HoldS),
	}
}

// ReadingName is the name of a reading, with its group where the name alone is not enough.
func ReadingName(i int) string {
	d := enclosure.Describe(i)
	if d.Unit == "°C" && (i == enclosure.AzimuthMotorTemperature || i == enclosure.ElevationMotorTemperature) {
		return d.Name + " temperature"
	}
	return d.Name
}

// Crossed names the limit that is crossed: "limit 22.0", or with the value "21.8 V, low limit 22.0 V".
func Crossed(i int, l alarm.Limits, value float64, g alarm.Grade, whole bool) message.Message {
	limit, minimum, ok := l.Crossed(value, g)
	if !ok {
		return message.Message{}
	}
	d := enclosure.Describe(i)
	if !whole {
		return message.Of("reading.limit", message.Figure{Value: limit, Decimals: d.Decimals})
	}
	code := message.Code("reading.above")
	if minimum {
		code = "reading.below"
	}
	return message.Of(code, message.Figure{Value: value, Decimals: d.Decimals, Unit: d.Unit},
		message.Figure{Value: limit, Decimals: d.Decimals, Unit: d.Unit})
}

// Shown are the readings of the link as the screen shows them.
func (s *State) Shown(c *station.Config, loop *step.Status, at time.Time) (out [enclosure.ReadingCount]Reading) {
	keys := station.ReadingKeys()
	for i := range out {
		d := enclosure.Describe(i)
		if d.Name == "" {
			continue
		}
		limits := ReadingLimits(c.Settings.Readings[keys[i]])
		value := loop.Readings.Value(i)
		grade := s.Readings[i].Grade
		r := Reading{
			Key: keys[i], Name: ReadingName(i), Unit: d.Unit, Group: d.Group, Decimals: d.Decimals,
			Fitted: !math.IsNaN(value), Lost: math.IsNaN(value) && s.had[i], Value: value, Grade: grade,
			AlarmLow:  limits.AlarmLow,
			WarnLow:   limits.WarningLow,
			WarnHigh:  limits.WarningHigh,
			AlarmHigh: limits.AlarmHigh,
			Crossed:   Crossed(i, limits, value, grade, false), At: at.Add(-loop.Link.Age),
		}
		if i == enclosure.WindMean || i == enclosure.WindGust {
			limits = r.byWind(i, &c.Drive.Guard, limits)
		}
		r.Low, r.High = scale(i, limits)
		r.IfBelow, r.IfAbove = NextStep(i, true), NextStep(i, false)
		if r.Crossed.Code != "" {
			_, minimum, _ := limits.Crossed(value, r.Grade)
			r.Next = NextStep(i, minimum)
		}
		if i == enclosure.Sequencer {
			r.Words = SequencerOf(value).Message()
			if value == enclosure.SequencerFault {
				r.Grade = alarm.Alarm
			}
		}
		out[i] = r
	}
	return out
}

// byWind puts the guard's limits of the wind where the settings have none for the reading, with the grade that they
// give; the guard itself tells the alarm.
func (r *Reading) byWind(i int, g *guard.Limits, l alarm.Limits) alarm.Limits {
	take := func(limit *float64, of float64) {
		if math.IsNaN(*limit) && of > 0 {
			*limit = of
		}
	}
	if i == enclosure.WindMean {
		take(&l.WarningHigh, g.WindWarn)
		take(&l.AlarmHigh, g.WindMean)
	} else {
		take(&l.AlarmHigh, g.WindGust)
	}
	r.WarnHigh, r.AlarmHigh = l.WarningHigh, l.AlarmHigh
	switch {
	case r.Value > l.AlarmHigh:
		r.Grade = max(r.Grade, alarm.Alarm)
	case r.Value > l.WarningHigh:
		r.Grade = max(r.Grade, alarm.Warning)
	}
	r.Crossed = Crossed(i, l, r.Value, r.Grade, false)
	return l
}

// scale is the range over which a reading's band is drawn.
func scale(i int, l alarm.Limits) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range [...]float64{l.AlarmLow, l.WarningLow, l.WarningHigh, l.AlarmHigh} {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	if math.IsInf(low, 0) {
		return usualScale(i)
	}
	if math.IsNaN(l.AlarmLow) && math.IsNaN(l.WarningLow) {
		low = min(0, low)
	}
	if math.IsNaN(l.AlarmHigh) && math.IsNaN(l.WarningHigh) {
		high = 2 * high
	}
	margin := 0.1 * (high - low)
	return low - margin*boolean(low != 0), high + margin
}

func boolean(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// usualScale is a range for readings without limits.
func usualScale(i int) (low, high float64) {
	switch enclosure.Describe(i).Unit {
	case "°C":
		return -20, 40
	case "m/s":
		return 0, 25
	case "°":
		return 0, 360
	case "%":
		return 0, 100
	case "W":
		return 0, 500
	case "A":
		return 0, 15
	}
	switch i {
	case enclosure.AmplifierSupply:
		return 0, 60
	case enclosure.HighVoltage:
		return 0, 4000
	}
	return 0, 20
}

// SequencerState is what the sequencer says of itself.
type SequencerState uint8

// Each is one more than the enclosure's figure for it, for zero is no sequencer.
const (
	NoSequencer SequencerState = iota // not fitted, or it says what is no state
	Receive
	GoingToTransmit
	Transmit
	GoingToReceive
	SequencerFault
)

// Message is the state in a word or two; nothing for none.
func (s SequencerState) Message() message.Message {
	return message.Message{Code: [...]message.Code{"", "sequencer.receive", "sequencer.to-transmit",
		"sequencer.transmit", "sequencer.to-receive", "sequencer.faulty"}[s]}
}

// SequencerOf is the state that a reading of the sequencer means.
func SequencerOf(value float64) SequencerState {
	if value >= 0 && value < float64(SequencerFault) {
		return SequencerState(value) + 1
	}
	return NoSequencer
}

// Switches are the two-state things at the enclosure.
func Switches(loop *step.Status) []Switch {
	if !loop.HasMotion {
		return nil
	}
	state := func(bit uint16) bool { return loop.Motion.State&bit != 0 }
	pick := func(on bool, yes, no string, g alarm.Grade) (string, alarm.Grade) {
		if on {
			return yes, g
		}
		return no, alarm.Normal
	}
	ends, endGrade := "clear", alarm.Normal
	var open []string
	for i, names := range [2][2]string{{"counter-clockwise", "clockwise"}, {"lower", "upper"}} {
		a := &loop.Axes[i]
		if a.EndLow {
			open = append(open, names[0])
		}
		if a.EndHigh {
			open = append(open, names[1])
		}
	}
	if len(open) > 0 {
		ends, endGrade = strings.Join(open, ", ")+" open", alarm.Warning
	}
	all := []Switch{{"End switches", ends, endGrade}}
	add := func(name string, bit uint16, yes, no string, g alarm.Grade) {
		words, grade := pick(state(bit), yes, no, g)
		all = append(all, Switch{name, words, grade})
	}
	add("Stop circuit", enclosure.StateStopOpen, "open", "closed", alarm.Alarm)
	if loop.Identity.Fitted.Has(enclosure.FittedHandPanel) {
		add("Hand panel", enclosure.StateHand, "has control", "off", alarm.Notice)
	}
	add("Door", enclosure.StateDoor, "open", "shut", alarm.Notice)
	add("Transmitter", enclosure.StateKeyed, "keyed", "not keyed", alarm.Normal)
	return all
}

// noteReadings takes note of which readings have a value, so that one that loses it isn't taken for one
// that isn't fitted.
func (w *work) noteReadings() {
	s, loop := w.s, w.in.Loop
	if start := loop.Identity.StartCounter; start != s.hadSince {
		s.hadSince, s.had = start, [enclosure.ReadingCount]bool{}
	}
	for i := range s.had {
		s.had[i] = s.had[i] || !math.IsNaN(loop.Readings.Value(i))
	}
}
