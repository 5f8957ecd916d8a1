package sked

import (
	"math"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/faraday"
	"beamhelm/ephem/noise"

	"github.com/soniakeys/unit"
)

// Losses are what a moment costs of the best possible between two stations, dB.
type Losses struct {
	// DistanceDB is the path loss beyond that at the mean perigee, by the Moon's own distance; slightly below 0 at a
	// perigee nearer than the mean.
	DistanceDB float64
	// NoiseDB is the rise of the system noise with the beam on the Moon, its own noise left out, over that under a cold
	// sky at 40 degrees: at the station where it is greater.
	NoiseDB float64
	// AirDB is what the air takes at both stations, beyond what it takes at the zenith.
	AirDB float64
	// PolarisationDB is the mismatch of the feeds in the worse direction: the angle between two linear ones, with
	// Faraday rotation below 3 GHz, or 3 dB between linear and circular.
	PolarisationDB float64
	// SpreadDB is what a spread beyond the tolerated one costs, together with what the Doppler shift drifts while the
	// dial stays: of a signal spread over n times the width, the powers are added up instead of the amplitudes, which
	// leaves 5·log10(n) less above the scatter of the noise.
	SpreadDB float64
}

// TotalDB is the sum: what the moment is below the best possible. The figure of merit is the same below 0.
func (l Losses) TotalDB() float64 {
	return l.DistanceDB + l.NoiseDB + l.AirDB + l.PolarisationDB + l.SpreadDB
}

// DegradationDB is that of distance and sky alone, as the trade uses the word.
func (l Losses) DegradationDB() float64 { return l.DistanceDB + l.NoiseDB }

// judge works out moments of a question.
type judge struct {
	sky    *ephem.Sky
	galaxy *noise.Sky
	q      *Question
}

// total is the loss of a moment at the end that loses most.
func (j *judge) total(at time.Time) float64 {
	maximum := math.Inf(-1)
	for _, e := range j.ends(at) {
		maximum = math.Max(maximum, e.TotalDB())
	}
	return maximum
}

// ends are the paths to all stations at a moment, the Doppler shift itself left out.
func (j *judge) ends(at time.Time) []End {
	q := j.q
	_, _, geocentricKm := j.sky.Geocentric(ephem.MoonBody(), at)
	distance, noiseHere := echo.AbovePerigeeDB(geocentricKm), j.noise(&q.Here, at)
	airHere := j.air(&q.Here, at)
	ends := make([]End, len(q.There))
	for i := range q.There {
		there := &q.There[i]
		e := &ends[i]
		e.Name, e.El = there.Name, j.elevation(there, at)
		e.SpreadHz = echo.SpreadHz(j.sky, there.Site, q.Here.Site, q.Hz, at)
		e.DistanceDB = distance
		e.NoiseDB = math.Max(noiseHere, j.noise(there, at))
		e.AirDB = airHere + j.air(there, at)
		e.Spatial, e.PolarisationDB = j.polarisation(there, at)
		e.DriftHzPerS = echo.DriftHzPerS(j.sky, there.Site, q.Here.Site, q.Hz, at)
		smeared := e.SpreadHz + math.Abs(e.DriftHzPerS)*q.Steady.Seconds()
		if n := smeared / q.ToleratedHz; q.ToleratedHz > 0 && n > 1 {
			e.SpreadDB = 5 * math.Log10(n)
		}
	}
	return ends
}

func (j *judge) elevation(s *Station, at time.Time) unit.Angle {
	_, el := j.place(s, at)
	return el
}

// place is where a station sees the Moon.
func (j *judge) place(s *Station, at time.Time) (az, el unit.Angle) {
	look := j.sky.Look(s.Site, ephem.MoonBody(), at)
	return look.Az, s.Air.Refracted(look.El)
}

func (j *judge) sunOff(s *Station, at time.Time) unit.Angle {
	moon, sun := j.sky.Look(s.Site, ephem.MoonBody(), at), j.sky.Look(s.Site, ephem.SunBody(), at)
	return ephem.Separation(moon.Az, moon.El, sun.Az, sun.El)
}

// noise is the rise at a station; 0 where it isn't known.
func (j *judge) noise(s *Station, at time.Time) float64 {
	l, coldK := j.q.Listener, j.q.ColdK
	if s.Listener.Pattern != nil {
		l, coldK = s.Listener, s.ColdK
	}
	if l.Pattern == nil {
		return 0
	}
	if s != &j.q.Here {
		l.Place.Site, l.Place.Air, l.Place.Horizon = s.Site, s.Air, nil
	}
	return known(10 * math.Log10(l.SkyNoiseK(j.sky, j.galaxy, at)/coldK))
}

// air is the loss at a station's elevation beyond that at the zenith; 0 where it isn't known.
func (j *judge) air(s *Station, at time.Time) float64 {
	zenith := unit.AngleFromDeg(90)
	return known(noise.AirLossDB(j.q.Hz, j.elevation(s, at)) - noise.AirLossDB(j.q.Hz, zenith))
}

func known(db float64) float64 {
	if math.IsNaN(db) || math.IsInf(db, 0) {
		return 0
	}
	return db
}

// polarisation is the angle between two linear feeds, and what any two lose in the worse direction.
func (j *judge) polarisation(there *Station, at time.Time) (spatial unit.Angle, lossDB float64) {
	q := j.q
	switch ours, theirs := q.Here.Polarisation, there.Polarisation; {
	case ours.Linear() != theirs.Linear():
		return 0, faraday.LinearToCircularDB
	case !ours.Linear():
		return 0, 0
	default:
		spatial = echo.Between(echo.Polarisation(j.sky, q.Here.Site, there.Site, at), ours != theirs)
	}
	if !faraday.Matters(q.Hz) {
		return spatial, faraday.Misfit{Angle: spatial}.LossDB()
	}
	path := func(s *Station) faraday.Path {
		look := j.sky.Look(s.Site, ephem.MoonBody(), at)
		index, off := noise.ExpectedIndex(at)
		electrons := faraday.Expected(at, s.Site.Lon, index, off)
		return faraday.PathOf(q.Hz, s.Site.Lat, s.Site.Lon, look.Az, look.El, electrons, at)
	}
	heard, hears := faraday.Between(spatial, path(&q.Here), path(there))
	return spatial, math.Max(heard.LossDB(), hears.LossDB())
}
