package mount

import "github.com/soniakeys/unit"

// Direction is a place as azimuth and elevation.
type Direction struct{ Az, El unit.Angle }
