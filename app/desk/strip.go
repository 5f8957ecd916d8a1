package desk

import (
	"time"

	"beamhelm/app/desk/level"
	"beamhelm/drive/meter"
	"beamhelm/drive/step"
)

// NoiseSample is a point of the noise strip.
type NoiseSample struct {
	Number  uint64
	At      time.Time
	LevelDB float64
	Clean   bool
	Keyed   bool
	// Mark tells of a change at this sample: 0 none, 1 trim, 2 preamplifier, 3 noise source, 4 band, 5 mount model.
	Mark uint8
	// Since is the time of the sky from the reading before to this one; 0 where that is too long ago for one trace.
	Since time.Duration
}

// OtherMeter is a noise meter that isn't the enclosure's.
type OtherMeter interface {
	// Take hands over what came since it was last asked, oldest first.
	Take() []meter.Sample
	// Trouble says why nothing comes; empty where something does.
	Trouble() string
}

// maxMeasured is how many levels may wait for the next step of the desk: seconds.
const maxMeasured = 100

// sameTrace is how long after each other two readings may come to make one trace: more than two of the slowest loop's.
const sameTrace = 500 * time.Millisecond

// sample takes what the noise meter shows into the strip, and keeps it for the next step.
func (d *Runner) sample(loop *step.Status, sky time.Time, now step.Nanos) {
	s := &d.state
	in := level.Inputs{
		At: sky, Now: now, Loop: loop, TimeScale: d.timeScale(),
		Feed:     &d.config.Settings.Bands[s.Band].Feeds[s.Feed],
		AverageS: s.Measuring.AverageS(&d.config),
	}
	if d.other != nil {
		in.Other, in.HasOther = d.other.Take(), true
	}
	for _, one := range level.Step(&d.config.Settings.Meter, &d.meter, &in) {
		d.show(one, loop.Permit.Keyed)
		if len(d.measured) < maxMeasured {
			d.measured = append(d.measured, one)
		}
	}
}

// show puts a level into the strip.
func (d *Runner) show(one Measured, keyed bool) {
	d.sampled++
	sample := NoiseSample{
		Number:  d.sampled,
		At:      one.At,
		LevelDB: one.LevelDB,
		Clean:   one.Flaw == level.Sound,
		Keyed:   keyed,
		Mark:    d.mark,
	}
	scale := max(1, d.timeScale())
	if since := one.Now - d.sampledAt; since > 0 && since <= sameTrace {
		sample.Since = since * time.Duration(max(scale, d.sampledScale))
	}
	d.mark, d.sampledAt, d.sampledScale = 0, one.Now, scale
	d.mu.Lock()
	d.noise = append(d.noise, sample)
	if n := len(d.noise); n > 2*keptNoise {
		d.noise = append([]NoiseSample(nil), d.noise[n-keptNoise:]...)
	}
	d.mu.Unlock()
}
