package desk

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// judge grades the readings and brings the list of alarms up to date.
func (t *turn) judge() {
	s := t.s
	var standing []alarm.Condition
	for _, f := range t.in.Loop.Findings[:t.in.Loop.FindingCount] {
		if !ofPermit(guard.RowOf(f.Code)) {
			standing = append(standing, finding(f))
		}
	}
	standing = append(standing, t.permitTroubles()...)
	if lock := t.in.Loop.Lock; lock.Locked && lock.Cause.Code != guard.None {
		standing = append(standing, finding(lock.Cause))
	}
	standing = append(standing, t.motorCurrents()...)
	keys := station.ReadingKeys()
	for i := range s.Readings {
		limits := readingLimits(t.c.Settings.Readings[keys[i]])
		value := t.in.Loop.Readings.Value(i)
		if i == enclosure.PreamplifierSupply && t.switching() {
			value = math.NaN() // off, or just switched: the reading means nothing yet
		}
		s.Readings[i] = s.Readings[i].Next(limits, value, t.in.At)
		if g := s.Readings[i].Grade; g >= alarm.Warning && !math.IsNaN(value) {
			_, least, _ := limits.Crossed(value, g)
			standing = append(standing, alarm.Condition{
				Key: "reading " + strconv.Itoa(i), Grade: g,
				Words: fmt.Sprintf("%s %s", name(i), crossedWords(i, limits, value, g, true)),
				Next:  readingNext(i, least),
			})
		}
	}
	standing = append(standing, t.transmitting()...)
	standing = append(standing, t.troubles()...)
	standing = append(standing, t.sunTroubles()...)
	standing = append(standing, t.slowTroubles()...)
	if t.in.Line.Split {
		standing = append(standing, alarm.Condition{
			Key: "split", Grade: alarm.Notice, Words: "The enclosure does not know function 23: it is driven by 16 and 03, five times a second",
			Next: "No action needed. With function 23 tracking would be closer.",
		})
	}
	list, fresh := s.Alarms.Update(t.in.At, unlike(standing))
	s.Alarms = list
	for _, e := range fresh {
		if strings.HasPrefix(e.Key, "reading ") || strings.HasSuffix(e.Key, "_current_a") || e.Key == "sequencer" || e.Key == "keyed relay" || strings.HasPrefix(e.Key, "slow ") {
			t.say(e.Grade, "%s", e.Words)
		}
	}
}

// troubles are those of what runs beside the dish.
func (t *turn) troubles() (standing []alarm.Condition) {
	if t.in.RecordsTrouble != "" {
		standing = append(standing, alarm.Condition{
			Key: "records", Grade: alarm.Warning, Words: "Nothing is recorded: " + t.in.RecordsTrouble,
			Next: "The dish goes on. Look at the disk; records resume by themselves.",
		})
	}
	if t.in.TimeTrouble != "" {
		standing = append(standing, alarm.Condition{
			Key: "time source", Grade: alarm.Notice, Words: capital(t.in.TimeTrouble),
			Next: "The clock can't be compared until it answers; it is asked again by itself. Look at the network and at clock.time_source in the settings.",
		})
	}
	if t.in.MeterTrouble != "" {
		standing = append(standing, alarm.Condition{
			Key: "meter", Grade: alarm.Notice, Words: capital(t.in.MeterTrouble),
			Next: "No noise is measured until it answers; it is tried again by itself. Look at the meter and at [meter] in the settings.",
		})
	}
	return append(standing, t.in.Beside...)
}

// settlesAfter is how long the readings of the preamplifier are not judged after it was switched.
const settlesAfter = 3 * time.Second

// switching reports that the preamplifier is off, or the sequencer takes its supply
// away to transmit, or either was so within the last seconds, for which its readings are older.
func (t *turn) switching() bool {
	value := t.in.Loop.Readings.Value(enclosure.Sequencer)
	if t.in.Loop.Permit.Keyed || !math.IsNaN(value) && value != enclosure.SequencerReceive {
		t.s.KeyedAt = t.in.Now
	}
	if t.s.KeyedAt != 0 && t.in.Now-t.s.KeyedAt < settlesAfter {
		return true
	}
	return t.s.Outputs&enclosure.OutputPreamplifier == 0 || t.in.Now-t.s.OutputsAt < settlesAfter || !t.s.SentSlow
}

// unlike keeps the first of several conditions with the same key.
func unlike(all []alarm.Condition) []alarm.Condition {
	var out []alarm.Condition
next:
	for _, c := range all {
		for _, o := range out {
			if o.Key == c.Key {
				continue next
			}
		}
		out = append(out, c)
	}
	return out
}

// finding is a guard's finding as a condition.
func finding(f guard.Finding) alarm.Condition {
	row := guard.RowOf(f.Code)
	words := row.Words
	if f.Axis != guard.NoAxis {
		words = capital(mount.AxisName(int(f.Axis))) + ": " + row.Words
	}
	grade := alarm.Warning
	switch {
	case row.Response >= guard.Trip:
		grade = alarm.Alarm
	case row.Response == guard.Notice, ofPermit(row), row.Response == guard.Block,
		row.Code == guard.HandPanel, row.Code == guard.WorkingAtDish, row.Code == guard.DoorOpen,
		row.Code == guard.SoftLimit, row.Code == guard.Structure, row.Code == guard.CourseRunOut:
		grade = alarm.Notice
	}
	return alarm.Condition{Key: fmt.Sprintf("guard %d %d", f.Code, f.Axis), Grade: grade, Words: words, Next: row.Next}
}

func readingLimits(l settings.Limits) alarm.Limits {
	nan := math.NaN()
	return alarm.Limits{
		AlarmLow: l.AlarmLow.Or(nan), WarningLow: l.WarningLow.Or(nan), WarningHigh: l.WarningHigh.Or(nan), AlarmHigh: l.AlarmHigh.Or(nan),
		Hysteresis: l.Hysteresis, Hold: station.Seconds(l.HoldS),
	}
}

// name of a reading, with its group where the name alone is not enough.
func name(i int) string {
	d := enclosure.Describe(i)
	if d.Unit == "°C" && (i == enclosure.AzimuthMotorTemperature || i == enclosure.ElevationMotorTemperature) {
		return d.Name + " temperature"
	}
	return d.Name
}

// crossedWords names the limit that is crossed: "least 22.0", or with the value "21.8 V, least 22.0 V".
func crossedWords(i int, l alarm.Limits, value float64, g alarm.Grade, whole bool) string {
	limit, least, ok := l.Crossed(value, g)
	if !ok {
		return ""
	}
	d := enclosure.Describe(i)
	word := "high limit"
	if least {
		word = "low limit"
	}
	figure := func(v float64) string { return strconv.FormatFloat(v, 'f', d.Decimals, 64) }
	if !whole {
		return "limit " + figure(limit)
	}
	return fmt.Sprintf("%s %s, %s %s %s", figure(value), d.Unit, word, figure(limit), d.Unit)
}

// readings are the readings of the link as the screen shows them.
func (t *turn) readings() (out [ReadingCount]Reading) {
	keys := station.ReadingKeys()
	for i := range out {
		d := enclosure.Describe(i)
		if d.Name == "" {
			continue
		}
		limits := readingLimits(t.c.Settings.Readings[keys[i]])
		value := t.in.Loop.Readings.Value(i)
		grade := t.s.Readings[i].Grade
		r := Reading{
			Name: name(i), Unit: d.Unit, Group: d.Group, Decimals: d.Decimals,
			Fitted: !math.IsNaN(value), Value: value, Grade: grade,
			AlarmLow: limits.AlarmLow, WarnLow: limits.WarningLow, WarnHigh: limits.WarningHigh, AlarmHigh: limits.AlarmHigh,
			Crossed: crossedWords(i, limits, value, grade, false), At: t.in.At.Add(-t.in.Loop.Link.Age),
		}
		r.Low, r.High = scale(i, limits)
		if i == enclosure.Sequencer {
			r.Words = sequencerWords(value)
			if value == enclosure.SequencerFault {
				r.Grade = AlarmGrade
			}
		}
		out[i] = r
	}
	return out
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

func sequencerWords(value float64) string {
	words := [...]string{"receive", "going to transmit", "transmit", "going to receive", "fault"}
	if value >= 0 && int(value) < len(words) {
		return words[int(value)]
	}
	return ""
}

// switches are the two-state things at the enclosure.
func (t *turn) switches() []Switch {
	loop := t.in.Loop
	if !loop.HasMotion {
		return nil
	}
	state := func(bit uint16) bool { return loop.Motion.State&bit != 0 }
	pick := func(on bool, yes, no string, g Grade) (string, Grade) {
		if on {
			return yes, g
		}
		return no, Normal
	}
	ends, endGrade := "clear", Normal
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
		ends, endGrade = strings.Join(open, ", ")+" open", Warning
	}
	all := []Switch{{"End switches", ends, endGrade}}
	add := func(name string, bit uint16, yes, no string, g Grade) {
		words, grade := pick(state(bit), yes, no, g)
		all = append(all, Switch{name, words, grade})
	}
	add("Stop circuit", enclosure.StateStopOpen, "open", "closed", AlarmGrade)
	if loop.Identity.Fitted.Has(enclosure.FittedHandPanel) {
		add("Hand panel", enclosure.StateHand, "has control", "off", Notice)
	}
	add("Door", enclosure.StateDoor, "open", "shut", Notice)
	add("Transmitter", enclosure.StateKeyed, "keyed", "not keyed", Normal)
	return all
}

// eventGrade is how grave an event of the loop is.
func eventGrade(e step.Event) Grade {
	switch e.Kind {
	case step.Tripped, step.IllegalChange:
		return AlarmGrade
	case step.Found:
		return finding(guard.Finding{Code: e.Code, Axis: guard.NoAxis}).Grade
	case step.TripsNotCleared, step.Distrusted, step.StowAnnounced, step.RefusedStands:
		return Warning
	}
	if e.Kind >= step.RefusedBy && e.Kind <= step.RefusedMoving || e.Kind == step.NoSuchNumber {
		return Warning
	}
	return Normal
}

// capital is the words with a capital at their beginning.
func capital(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}

// ago is a moment of the loop as time of the sky.
func (t *turn) ago(at step.Nanos) time.Time { return t.in.At.Add(-(t.in.Now - at)) }
