package watching

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Alarm is a warning or alarm that stands or has not been seen.
type Alarm struct {
	Number       int
	Grade        alarm.Grade
	Words        message.Message
	Next         message.Message
	Since        time.Time
	Acknowledged bool
	Stands       bool // false: cleared, unacknowledged
	// ShelvedUntil is zero when it isn't shelved.
	ShelvedUntil time.Time
}

// judge grades the readings and brings the list of alarms up to date.
func (w *work) judge() {
	s := w.s
	var standing []alarm.Condition
	for _, f := range w.in.Loop.Findings[:w.in.Loop.FindingCount] {
		if !ofPermit(guard.RowOf(f.Code)) {
			standing = append(standing, Finding(f))
		}
	}
	standing = append(standing, w.permitTroubles()...)
	if lock := w.in.Loop.Lock; lock.Locked && lock.Cause.Code != guard.None {
		standing = append(standing, Finding(lock.Cause))
	}
	standing = append(standing, w.motorCurrents()...)
	keys := station.ReadingKeys()
	for i := range s.Readings {
		limits := ReadingLimits(w.c.Settings.Readings[keys[i]])
		value := w.in.Loop.Readings.Value(i)
		if i == enclosure.PreamplifierSupply && w.switching() {
			value = math.NaN() // off, or just switched: the reading means nothing yet
		}
		if w.in.Loop.Link.State != step.LinkLost { // of a reading of before, nothing new can be told
			s.Readings[i] = s.Readings[i].Next(limits, value, w.in.At)
		}
		if g := s.Readings[i].Grade; g >= alarm.Warning && !math.IsNaN(value) {
			_, minimum, _ := limits.Crossed(value, g)
			standing = append(standing, alarm.Condition{
				Key: "reading " + strconv.Itoa(i), Grade: g, Event: true,
				Words: message.Of("reading.crossed", ReadingName(i), Crossed(i, limits, value, g, true)),
				Next:  NextStep(i, minimum),
			})
		}
	}
	standing = append(standing, w.transmitting()...)
	standing = append(standing, w.unpermitted()...)
	standing = append(standing, w.implausible()...)
	standing = append(standing, w.refusing()...)
	standing = append(standing, w.troubles()...)
	standing = append(standing, w.sunTroubles()...)
	standing = append(standing, w.slowTroubles()...)
	if w.in.Around.Line.Split {
		standing = append(standing, alarm.Condition{
			Key: "split", Grade: alarm.Notice, Event: true,
			Words: message.Of("link.split"), Next: message.Of("link.split.next"),
		})
	}
	list, fresh := s.Alarms.Update(w.in.At, dedupeByKey(standing))
	s.Alarms = list
	for _, e := range fresh {
		if e.Event {
			w.log.Tell(e.Grade, e.Words)
		}
	}
}

// troubles are those of what runs beside the dish.
func (w *work) troubles() (standing []alarm.Condition) {
	if w.in.Around.RecordsTrouble != "" {
		standing = append(standing, alarm.Condition{
			Key: "records", Grade: alarm.Warning, Words: trouble(w.in.Around.RecordsTrouble),
			Next: message.Of("records.next"),
		})
	}
	if w.in.Around.TimeTrouble != "" {
		standing = append(standing, alarm.Condition{
			Key: "time source", Grade: alarm.Notice, Words: trouble(w.in.Around.TimeTrouble),
			Next: message.Of("time-source.next"),
		})
	}
	if w.in.Around.MeterTrouble != "" {
		standing = append(standing, alarm.Condition{
			Key: "meter", Grade: alarm.Notice, Words: trouble(w.in.Around.MeterTrouble),
			Next: message.Of("noise-meter.next"),
		})
	}
	return append(standing, w.in.Around.Beside...)
}

// trouble is a trouble in the words of what is in it.
func trouble(words string) message.Message { return message.Of("beside.trouble", message.Text(words)) }

// SettlesAfter is how long the readings of the preamplifier are not judged after it was switched.
const SettlesAfter = 3 * time.Second

// switching reports that the preamplifier is off, or the sequencer takes its supply
// away to transmit, or either was so within the last seconds, for which its readings are older.
func (w *work) switching() bool {
	value := w.in.Loop.Readings.Value(enclosure.Sequencer)
	if w.in.Loop.Permit.Keyed || !math.IsNaN(value) && value != enclosure.SequencerReceive {
		w.s.keyedAt = w.in.Now
	}
	if w.s.keyedAt != 0 && w.in.Now-w.s.keyedAt < SettlesAfter {
		return true
	}
	return !w.in.PreamplifierOn
}

// dedupeByKey keeps the first of several conditions with the same key.
func dedupeByKey(all []alarm.Condition) []alarm.Condition {
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

// Finding is a guard's finding as a condition.
func Finding(f guard.Finding) alarm.Condition {
	row := guard.RowOf(f.Code)
	words := message.Of("guard.found", f.Code)
	if f.Axis != guard.NoAxis {
		words = message.Of("guard.found-axis", mount.AxisName(int(f.Axis)), f.Code)
	}
	grade := alarm.Warning
	switch {
	case row.Response >= guard.Trip:
		grade = alarm.Alarm
	case row.Response == guard.Notice, ofPermit(row), row.Response == guard.Block,
		row.Code == guard.HandPanel, row.Code == guard.WorkingAtDish, row.Code == guard.SoftLimit,
		row.Code == guard.Structure, row.Code == guard.CourseRunOut:
		grade = alarm.Notice
	}
	return alarm.Condition{Key: fmt.Sprintf("guard %d %d", f.Code, f.Axis), Grade: grade, Words: words,
		Next: message.Of("guard.next", f.Code)}
}

// EventGrade is how grave an event of the loop is.
func EventGrade(e step.Event) alarm.Grade {
	switch e.Kind {
	case step.Tripped, step.IllegalChange:
		return alarm.Alarm
	case step.Found:
		return Finding(guard.Finding{Code: e.Code, Axis: guard.NoAxis}).Grade
	case step.TripsNotCleared, step.Distrusted, step.StowAnnounced, step.RefusedStands, step.StandingUnseen:
		return alarm.Warning
	}
	if e.Kind >= step.RefusedBy && e.Kind <= step.RefusedMoving || e.Kind == step.NoSuchNumber ||
		e.Kind == step.RefusedBeyond {
		return alarm.Warning
	}
	return alarm.Normal
}

// ofPermit reports that a row watches a condition of the permit alone: the permit
// names it itself, with its figures. Old readings concern all that is watched.
func ofPermit(row guard.Row) bool {
	return row.Response == guard.Withdraw && row.Code != guard.ReadingsStale
}
