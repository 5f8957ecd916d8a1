package sound

import (
	"time"

	"beamhelm/app/desk"
)

// Sound is what may be heard.
type Sound uint8

const (
	Silence Sound = iota
	Once          // a warning is new
	Again         // an alarm has not been seen
)

// String is the sound's name.
func (s Sound) String() string { return [...]string{"silence", "warning", "alarm"}[s] }

// againEvery is how often an alarm sounds until it has been seen.
const againEvery = 4 * time.Second

// due decides what is to be heard. Its zero has heard of nothing.
type due struct {
	warned  int // the newest warning that has sounded
	sounded time.Time
}

// next is what is to be heard now: an alarm that hasn't been seen again and
// again, also when it is over; a new warning once.
func (d *due) next(alarms []desk.Alarm, now time.Time) Sound {
	tone, newest := Silence, d.warned
	for _, a := range alarms {
		switch {
		case a.Acknowledged:
		case a.Grade >= desk.AlarmGrade:
			tone = Again
		case a.Grade == desk.Warning && a.Number > d.warned:
			newest = max(newest, a.Number)
			if tone == Silence {
				tone = Once
			}
		}
	}
	if tone == Silence || tone == Again && now.Sub(d.sounded) < againEvery && !now.Before(d.sounded) {
		return Silence
	}
	d.warned, d.sounded = newest, now
	return tone
}
