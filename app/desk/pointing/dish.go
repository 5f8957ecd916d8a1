package pointing

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// Acknowledge is how long the loop may take to show what it was asked.
const Acknowledge = time.Second

// PressCounts is how long the operator's press stands behind a start.
const PressCounts = 10 * time.Second

// AxesOf is where the axes are.
func AxesOf(loop *step.Status) mount.AxisAngles {
	return mount.AxisAngles{Az: loop.Axes[mount.Azimuth].Position, El: loop.Axes[mount.Elevation].Position}
}

// Commanded is where the axes are asked to be, or else where they are.
func Commanded(loop *step.Status) mount.AxisAngles {
	at := func(a *step.AxisStatus) unit.Angle {
		if a.HasSetpoint {
			return a.Setpoint
		}
		return a.Position
	}
	return mount.AxisAngles{Az: at(&loop.Axes[mount.Azimuth]), El: at(&loop.Axes[mount.Elevation])}
}

// Referenced reports that the angles of all axes mean a place in the sky.
func Referenced(loop *step.Status) bool {
	for i := range loop.Axes {
		if a := &loop.Axes[i]; a.Fitted && !a.Trusted {
			return false
		}
	}
	return true
}

// Near reports that the dish stands within half a degree of a place; NaN leaves an axis out.
func Near(loop *step.Status, place mount.AxisAngles) bool {
	for i, a := range [...]float64{place.Az.Rad(), place.El.Rad()} {
		x := &loop.Axes[i]
		if x.Fitted && !math.IsNaN(a) && math.Abs(x.Position.Rad()-a) > degrees(0.5).Rad() {
			return false
		}
	}
	return true
}

// Follows reports that a dish in a mode follows a course, or is about to.
func Follows(m step.Mode) bool { return m == step.Following || m == step.Warning }
