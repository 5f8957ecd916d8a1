package mount

// Chain is the way from a place in the sky to axis angles: what the operator
// and the feed add, then the errors of the mount.
type Chain struct {
	// Trim is added by the operator, Squint belongs to the feed: how far the
	// boresight must look away from the target, as cross-elevation and elevation.
	Trim, Squint Offset
	Model        Model
}

// Axes returns the axis angles for a sky direction (with refraction). Azimuth keeps its turn.
func (c Chain) Axes(sky Direction) Direction {
	return c.Model.Apply(sky.Shift(c.Trim.Plus(c.Squint)))
}

// Sky returns the sky direction of the beam at axis angles: the inverse of Axes.
func (c Chain) Sky(axes Direction) Direction {
	return c.Model.Remove(axes).Unshift(c.Trim.Plus(c.Squint))
}

// Untrimmed returns the sky direction of the beam with the operator's trim
// left out: where the dish really looks, if feed and mount model are right.
func (c Chain) Untrimmed(axes Direction) Direction {
	return c.Model.Remove(axes).Unshift(c.Squint)
}
