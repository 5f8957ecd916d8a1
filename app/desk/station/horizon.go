package station

import (
	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/drive/mount"
)

// Horizon is the surveyed horizon at each whole degree of azimuth, nil where there is none.
func (c *Config) Horizon() []unit.Angle {
	points := c.Settings.Horizon.Points
	if len(points) == 0 {
		return nil
	}
	out := make([]unit.Angle, 360)
	for az := range out {
		out[az] = degrees(horizonAt(points, float64(az)))
	}
	return out
}

// Profile is the surveyed horizon by azimuth; nil where it is flat.
func (c *Config) Profile() func(unit.Angle) unit.Angle {
	degreeByDegree := c.Horizon()
	if degreeByDegree == nil {
		return nil
	}
	return func(az unit.Angle) unit.Angle { return degreeByDegree[int(az.Mod1().Deg())%360] }
}

// OverHorizon is how far axis angles look above the surveyed horizon, corrections left out.
func (c *Config) OverHorizon(axes mount.AxisAngles) unit.Angle {
	minimum := unit.Angle(0)
	if points := c.Settings.Horizon.Points; len(points) > 0 {
		minimum = degrees(horizonAt(points, axes.Az.Mod1().Deg()))
	}
	return axes.El - minimum
}

// LowestFree is the surveyed horizon at an azimuth; the lowest possible where there is none.
func LowestFree(horizon []unit.Angle, az unit.Angle) unit.Angle {
	if len(horizon) == 0 {
		return degrees(-90)
	}
	return horizon[int(az.Mod1().Deg())%len(horizon)]
}

// horizonAt is the elevation of a surveyed horizon at an azimuth in degrees,
// straight between its points and around the circle. The points are in order.
func horizonAt(points []settings.Point, az float64) float64 {
	last := points[len(points)-1]
	last.AzDeg -= 360
	for _, p := range points {
		if az <= p.AzDeg {
			return between(last, p, az)
		}
		last = p
	}
	first := points[0]
	first.AzDeg += 360
	return between(last, first, az)
}

func between(a, b settings.Point, az float64) float64 {
	if b.AzDeg == a.AzDeg {
		return b.ElDeg
	}
	return a.ElDeg + (b.ElDeg-a.ElDeg)*(az-a.AzDeg)/(b.AzDeg-a.AzDeg)
}
