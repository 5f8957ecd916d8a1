package mount

// Chain is the way from a place in the sky to axis angles: what the operator
// and the feed add, then the errors of the mount.
type Chain struct {
	// Trim is added by the operator, Squint belongs to the feed: how far the
	// boresight must look away from the target, as cross-elevation and elevation.
	Trim, Squint Offset
	Model        Model
}

// Axes returns the axis angles for a sky direction. Azimuth keeps its turn.
func (c Chain) Axes(sky SkyDirection) AxisAngles {
	return c.Model.Apply(sky.Boresight(c.Trim.Plus(c.Squint)))
}

// Sky returns the sky direction of the beam at axis angles: the inverse of Axes.
func (c Chain) Sky(axes AxisAngles) SkyDirection {
	return c.Model.Remove(axes).Sky(c.Trim.Plus(c.Squint))
}

// Untrimmed returns the sky direction of the beam with the operator's trim
// left out: where the dish really looks, if feed and mount model are right.
func (c Chain) Untrimmed(axes AxisAngles) SkyDirection {
	return c.Model.Remove(axes).Sky(c.Squint)
}

// Uncorrected returns where the beam of a perfect mount would point without trim and squint: for where these and the
// mount's errors don't matter, or aren't known.
func (a AxisAngles) Uncorrected() SkyDirection { return SkyDirection(a) }
