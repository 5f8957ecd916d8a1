package desk

import (
	"slices"
	"time"

	"beamhelm/app/desk/level"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/mount"
)

// marked is what the strip marks a change of.
type marked struct {
	trim       mount.Offset
	outputs    enclosure.Outputs
	band, feed int
	model      time.Time
}

func (d *Runner) marked() marked {
	s := &d.state
	return marked{s.trim(&d.config), s.Outputs, s.Band, s.Feed, s.Measuring.Survey.At}
}

// markFor remembers what has really changed, for the next noise sample. A jog
// of the trim changes it all the while, and leaves no marks.
func (d *Runner) markFor(orders []Given, before marked) {
	now := d.marked()
	switch {
	case now.band != before.band, now.feed != before.feed:
		d.mark = 4
		d.meter.Mean = level.Mean{}
	case (now.outputs^before.outputs)&enclosure.OutputPreamplifier != 0:
		d.mark = 2
	case (now.outputs^before.outputs)&enclosure.OutputNoiseSource != 0:
		d.mark = 3
	case now.model != before.model:
		d.mark = 5
	case now.trim != before.trim && !slices.ContainsFunc(orders, isJog):
		d.mark = 1
	}
}

func isJog(g Given) bool {
	_, jog := g.Order.(Jog)
	return jog
}
