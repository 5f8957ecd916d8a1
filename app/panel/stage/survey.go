package stage

import (
	"math"
	"slices"
	"time"

	"beamhelm/app/desk"
)

// Surveyed returns an invented survey: peaks on the Sun over the southern half
// of the sky, one of them spoilt, one left out.
func Surveyed() desk.Survey {
	var s desk.Survey
	all := slices.Grow(s.Observations, 21)[:21]
	for i := range all {
		o := &all[i]
		az, el := 90+30*float64(i/3), [3]float64{20, 45, 65}[i%3]
		sin, cos := math.Sincos(az * math.Pi / 180)
		height := el * math.Pi / 180
		wave := 0.012 * math.Sin(float64(5*i))
		o.At, o.Target, o.Band = Evening().Add(time.Duration(i-21)*20*time.Minute), "Sun", "1296 MHz"
		o.Boresight.Az, o.Boresight.El = degrees(az), degrees(el)
		// Leans of 0.08 degree to the north and -0.05 to the east, zeros of 0.3 and -0.2.
		o.Axes.Az = degrees(az + 0.3 + (0.08*sin+0.05*cos)*math.Tan(height) + wave)
		o.Axes.El = degrees(el - 0.2 + 0.08*cos - 0.05*sin - wave/2)
		o.Sigma[0], o.Sigma[1] = degrees(0.01), degrees(0.01)
	}
	all[7].Axes.El += degrees(0.4)
	all[12].Excluded = true
	s = desk.SurveyOf(all)
	s.Change.Cross, s.Change.El = degrees(0.31), degrees(-0.20)
	return s
}
