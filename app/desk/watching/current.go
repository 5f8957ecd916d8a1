package watching

import (
	"math"
	"time"

	"beamhelm/app/alarm"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// ShelveTime is for how long an alarm is shelved.
const ShelveTime = time.Hour

// startTime is how long a motor may take more current at its start than it
// does when it runs; a second is common practice, no source.
const startTime = time.Second

// driven is an axis' motor current as it was judged, and since when the axis is driven.
type driven struct {
	Driven bool
	Since  step.Nanos
	Judged alarm.Judged
}

// motorCurrents judges the motor currents against their limits in the
// settings. They mean something only when the axis has been driven for longer
// than its start; at rest nothing of what was found before remains.
func (w *work) motorCurrents() (standing []alarm.Condition) {
	for i, key := range [...]string{"azimuth_current_a", "elevation_current_a"} {
		d, a := &w.s.driven[i], &w.in.Loop.Axes[i]
		if !a.Fitted || a.Applied == 0 || math.IsNaN(a.CurrentA) {
			*d = driven{}
			continue
		}
		if !d.Driven {
			*d = driven{Driven: true, Since: w.in.Now}
		}
		if w.in.Now-d.Since <= startTime {
			continue
		}
		limits := ReadingLimits(w.c.Settings.Readings[key])
		current := math.Abs(a.CurrentA)
		d.Judged = d.Judged.Next(limits, current, w.in.At)
		if limit, _, crossed := limits.Crossed(current, d.Judged.Grade); crossed {
			standing = append(standing, alarm.Condition{
				Key: key, Grade: d.Judged.Grade, Event: true,
				Words: message.Of("reading.motor", mount.AxisName(i), current, limit),
				Next:  message.Of("reading.motor.next"),
			})
		}
	}
	return standing
}
