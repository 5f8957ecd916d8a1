package desk

import "beamhelm/app/settings"

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
