package mount

import (
	"fmt"
	"math"

	"github.com/soniakeys/unit"
)

// Limits are the ends of one axis. The end switches stand at EndLow and
// EndHigh; the panel never asks for an angle beyond SoftLow or SoftHigh.
// Azimuth runs over the cable wrap, for example from -45 to 405 degrees.
type Limits struct {
	EndLow, SoftLow, SoftHigh, EndHigh unit.Angle
}

// hair is an angle that only rounding makes.
const hair = 1e-9

// Validate checks the order of the limits and that between soft limit and end
// switch there is room for margin: what the axis can travel before it stands
// if the line is cut at full speed.
func (l Limits) Validate(margin unit.Angle) error {
	for _, a := range [...]unit.Angle{l.EndLow, l.SoftLow, l.SoftHigh, l.EndHigh} {
		if !(math.Abs(a.Rad()) <= 20*math.Pi) {
			return fmt.Errorf("limit %v degrees: must be within -3600 to 3600", a.Deg())
		}
	}
	if !(l.SoftLow < l.SoftHigh) {
		return fmt.Errorf("soft limits %.2f and %.2f degrees: the lower must be below the upper", l.SoftLow.Deg(),
			l.SoftHigh.Deg())
	}
	if low := l.SoftLow - l.EndLow; low < margin-hair {
		return fmt.Errorf(
			"lower soft limit %.2f is %.2f degrees from the end switch at %.2f: at least %.2f degrees (watchdog time "+
				"at top speed and the stopping distance)",
			l.SoftLow.Deg(), low.Deg(), l.EndLow.Deg(), margin.Deg())
	}
	if high := l.EndHigh - l.SoftHigh; high < margin-hair {
		return fmt.Errorf(
			"upper soft limit %.2f is %.2f degrees from the end switch at %.2f: at least %.2f degrees (watchdog time "+
				"at top speed and the stopping distance)",
			l.SoftHigh.Deg(), high.Deg(), l.EndHigh.Deg(), margin.Deg())
	}
	return nil
}

// Inside reports whether a lies within the soft limits.
func (l Limits) Inside(a unit.Angle) bool { return a >= l.SoftLow && a <= l.SoftHigh }

// Clamp returns the angle within the soft limits nearest to a. NaN gives the lower one.
func (l Limits) Clamp(a unit.Angle) unit.Angle {
	if a > l.SoftHigh {
		return l.SoftHigh
	}
	if a >= l.SoftLow {
		return a
	}
	return l.SoftLow
}
