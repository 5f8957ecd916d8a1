package journal

import "math"

// Average is a weighted mean of values; of directions, degrees, it is that of their unit vectors, 0 to below 360.
type Average struct {
	Circle   bool
	sum      float64
	sin, cos float64
	Weight   float64
}

// Add takes a value in, with the weight that it has.
func (a *Average) Add(value, weight float64) {
	sin, cos := math.Sincos(value * math.Pi / 180)
	a.sum, a.sin, a.cos = a.sum+value*weight, a.sin+sin*weight, a.cos+cos*weight
	a.Weight += weight
}

// Mean is the mean of what was taken in; NaN for nothing.
func (a *Average) Mean() float64 {
	if a.Weight == 0 {
		return math.NaN()
	}
	if !a.Circle {
		return a.sum / a.Weight
	}
	return math.Mod(math.Atan2(a.sin, a.cos)*180/math.Pi+360, 360)
}
