package mount

import (
	"time"

	"github.com/soniakeys/unit"
)

// Observation is one peak: where the beam should have looked, and where the
// axes stood when the target's noise was greatest. Many over the sky tell the
// errors of the mount.
type Observation struct {
	At time.Time
	// Boresight is the target's place as seen (with refraction), moved by the feed's squint; no model, no trim.
	Boresight Boresight `json:"Sky"`
	// Axes are the axis angles of the peak; azimuth on any turn of the cable.
	Axes AxisAngles
	// Sigma are the standard deviations on the sky: cross-elevation and elevation.
	Sigma [2]unit.Angle
	// Target and Band say what was looked at, and how.
	Target, Band string
	// Excluded: not used.
	Excluded bool
}
