package plant

import (
	"math"

	"github.com/soniakeys/unit"
)

// Wind over the ground.
type Wind struct {
	// MeanMPS over minutes, from Direction (an azimuth).
	MeanMPS   float64
	Direction unit.Angle
	// Turbulence is the standard deviation of gusts over the mean: 0.15 to 0.25.
	Turbulence float64
}

// airDensity, kg/m3.
const airDensity = 1.225

// Gusts are two first-order noises, of eddies that take seconds and of those
// below one; their corners, 0.12 and 1.25 rad/s, bound the range published for
// dish aerials (Bell System Technical Journal 1965, abstract: 0.12 to 3 rad/s).
const (
	slowGustS, fastGustS    = 8.0, 0.8
	slowShare               = 0.7 // of the variance
	longMeanS, longMeanPart = 600.0, 0.1
	veerS, veerDegrees      = 90.0, 10.0
	swingS, swingDegrees    = 4.0, 8.0
	// A dish is as wide as small eddies, which smooths the torque on it.
	gustS = 0.25
)

// weather is wind as it blows.
type weather struct {
	chance           random
	long, slow, fast wander
	veer, swing      wander
	speedMPS         float64
	from             float64 // rad
	torque           [2]float64
	meanMPS          float64 // of 1 s, as the sensor gives
	gusts            [10]float64
	gust             float64
	inSecond, sum    float64
	second           int
	highest          float64
}

// blow takes the wind h seconds on.
func (w *weather) blow(c *Wind, h float64) {
	mean := c.MeanMPS * (1 + longMeanPart*w.long.move(&w.chance, h, longMeanS))
	gust := math.Sqrt(slowShare)*w.slow.move(&w.chance, h, slowGustS) +
		math.Sqrt(1-slowShare)*w.fast.move(&w.chance, h, fastGustS)
	w.speedMPS = max(0, mean*(1+c.Turbulence*gust))
	veer := veerDegrees*w.veer.move(&w.chance, h, veerS) + swingDegrees*w.swing.move(&w.chance, h, swingS)
	w.from = c.Direction.Rad() + veer*math.Pi/180
	w.sense(h)
}

// sense is the sensor: the mean of the last second, and the greatest of the
// last ten seconds.
func (w *weather) sense(h float64) {
	w.sum += w.speedMPS * h
	w.inSecond += h
	w.highest = max(w.highest, w.speedMPS)
	if w.inSecond < 1-h/2 {
		return
	}
	w.meanMPS = w.sum / w.inSecond
	w.gusts[w.second%len(w.gusts)] = w.highest
	w.second++
	w.gust = 0
	for _, g := range w.gusts {
		w.gust = max(w.gust, g)
	}
	w.sum, w.inSecond, w.highest = 0, 0, 0
}

// press is the torque on the dish at rest at azimuth and elevation, smoothed:
// half density times speed squared, area, diameter and a coefficient. The dish
// is turned away from the wind.
func (w *weather) press(c *Config, azimuth, elevation, h float64) {
	pressure := airDensity / 2 * w.speedMPS * w.speedMPS
	d := c.Dish.DiameterM
	whole := pressure * math.Pi / 4 * d * d * d * c.Dish.Solidity
	yaw := w.from - azimuth
	sinYaw, cosYaw := math.Sincos(yaw)
	sinEl, cosEl := math.Sincos(elevation)
	aboutAzimuth := -whole * c.Axes[0].WindMoment * moment(sinYaw, cosYaw) * max(0, cosEl)
	// In the plane of elevation the wind comes from below the beam, or from behind.
	aboutElevation := whole * c.Axes[1].WindMoment * cosYaw * moment(sinEl, cosYaw*cosEl)
	follow := h / (h + gustS)
	w.torque[0] += (aboutAzimuth - w.torque[0]) * follow
	w.torque[1] += (aboutElevation - w.torque[1]) * follow
}

// moment is the torque of the wind over its greatest, by the angle at which it
// meets the beam: none from the front or from behind, greatest near 117
// degrees, as wind tunnels show for paraboloids (110 to 130 degrees; value
// from memory, shape ours).
func moment(sin, cos float64) float64 { return sin * (0.6 - 0.4*cos) / 0.6967 }
