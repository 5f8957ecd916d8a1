package passes

import (
	"math"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/crossing"

	"github.com/soniakeys/unit"
)

// markStep in seconds, for searches in what changes over days.
const markStep = 6 * 3600

// Mark is a moment worth marking, with the figure that makes it so.
type Mark struct {
	At time.Time
	// DistanceKm of a perigee, Dec of a highest declination.
	DistanceKm float64
	Dec        unit.Angle
}

// Perigees returns when the Moon is nearest to the Earth's centre, once each 27.55 days.
func Perigees(sky *ephem.Sky, from, to time.Time) []Mark {
	return marks(sky, from, to, func(_ unit.Angle, km float64) float64 { return -km })
}

// HighestDeclinations returns when the Moon stands farthest north, once each 27.32 days.
func HighestDeclinations(sky *ephem.Sky, from, to time.Time) []Mark {
	return marks(sky, from, to, func(dec unit.Angle, _ float64) float64 { return dec.Rad() })
}

func marks(sky *ephem.Sky, from, to time.Time, quantity func(dec unit.Angle, km float64) float64) []Mark {
	var list []Mark
	peaks := crossing.Peaks(func(at float64) float64 {
		_, dec, km := sky.Geocentric(ephem.MoonBody(), after(from, at))
		return quantity(dec, km)
	}, 0, to.Sub(from).Seconds(), markStep)
	for _, peak := range peaks {
		at := after(from, peak)
		_, dec, km := sky.Geocentric(ephem.MoonBody(), at)
		list = append(list, Mark{At: at, DistanceKm: km, Dec: dec})
	}
	return list
}

// SunNear returns when the Sun stands within an angle of a body as seen from a station,
// whether they are up or not. Only beginning and end of each stretch are filled in, and
// whether the span cut them.
func SunNear(sky *ephem.Sky, body ephem.Body, station Station, within unit.Angle, from, to time.Time) []Pass {
	// The two come nearer by 0.9 degrees an hour at the most, with the turn of the station.
	const fastest = 1.0 * math.Pi / 180 / 3600
	search := crossing.Search{Step: 300, Margin: func(at float64) (margin, clear float64) {
		a := sky.Look(station.Site, body, after(from, at))
		b := sky.Look(station.Site, ephem.SunBody(), after(from, at))
		margin = (within - ephem.Separation(a.Az, a.El, b.Az, b.El)).Rad()
		return margin, max(margin, -margin) / fastest
	}}
	length := to.Sub(from).Seconds()
	var list []Pass
	for _, one := range stretches(search, length) {
		list = append(list, Pass{
			Rise: after(from, one.begin), CutRise: one.begin <= 0,
			Set: after(from, one.end), CutSet: one.end >= length,
		})
	}
	return list
}
