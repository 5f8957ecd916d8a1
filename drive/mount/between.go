package mount

import (
	"math"

	"github.com/soniakeys/unit"
)

// Between is the true angle on the sky between two directions, 0 to half a
// turn, to full precision for small angles (the haversine form).
func Between(az1, el1, az2, el2 unit.Angle) unit.Angle {
	sinEl := ((el2 - el1) / 2).Sin()
	sinAz := ((az2 - az1) / 2).Sin()
	h := sinEl*sinEl + el1.Cos()*el2.Cos()*sinAz*sinAz
	return unit.Angle(2 * math.Asin(math.Sqrt(min(1, h))))
}
