package echo

import (
	"fmt"
	"math"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/noise"

	"github.com/soniakeys/unit"
)

// Worth is how good an instant is for the radio path, and what it is made of.
//
// The rule: begin with 6 dB to spend. Spend the path loss beyond the mean perigee (both legs, so 1.9 dB
// at apogee) and the rise of the system noise over that under a cold sky at 40 degrees
// elevation: sky behind the Moon, the Moon itself left out, air and ground at this elevation. What is
// left, as a part of 6 dB and within 0 to 1, is the merit. It is 0 while the Moon is below the least
// elevation at either end, or the Sun within the set angle of it.
type Worth struct {
	Merit                float64
	PathDB, NoiseDB      float64 // spent
	TooLow, SunTooNear   bool
	SystemK, ColdSystemK float64
}

const (
	// meritDB is what there is to spend.
	meritDB = 6
	// coldestK is a cold place of the sky at 408 MHz near the ecliptic.
	coldestK = 14
	coldEl   = 40
)

// Limits are what the operator sets for a Worth.
type Limits struct {
	Least   unit.Angle // least elevation, as seen
	SunLeft unit.Angle // least angle between Moon and Sun
}

// WorthOf judges a report for a receiver.
func WorthOf(r Report, q Question, receiver noise.Receiver, limits Limits) Worth {
	w := Worth{
		PathDB:     r.Own.AbovePerigeeDB,
		TooLow:     r.MoonEl < limits.Least || q.HasPartner && r.PartnerEl < limits.Least,
		SunTooNear: r.SunOff < limits.SunLeft,
	}
	if q.HasPartner {
		w.PathDB = r.Mutual.AbovePerigeeDB
	}
	w.SystemK = noise.SystemNoise(receiver, noise.Scene{El: r.MoonEl, SkyK: r.MoonSkyK}).TotalK()
	w.ColdSystemK = noise.SystemNoise(receiver, noise.Scene{
		El: unit.AngleFromDeg(coldEl), SkyK: noise.Scaled(coldestK, q.Hz),
	}).TotalK()
	w.NoiseDB = 10 * math.Log10(w.SystemK/w.ColdSystemK)
	if !w.TooLow && !w.SunTooNear {
		w.Merit = max(0, min(1, 1-(w.PathDB+w.NoiseDB)/meritDB))
	}
	return w
}

// Summary is one line about a report. It begins with a word for the merit: excellent
// from 0.85, good from 0.65, fair from 0.4, poor above 0, otherwise why not now; then
// what was spent on path and noise, how wide the signal is, and with a partner and linear
// feeds the turn of the polarisation and its loss.
func Summary(r Report, q Question, w Worth, bothLinear bool) string {
	word := "poor"
	switch {
	case w.TooLow:
		word = "the Moon is too low"
	case w.SunTooNear:
		word = fmt.Sprintf("the Sun is %.0f° from the Moon", r.SunOff.Deg())
	case w.Merit >= 0.85:
		word = "excellent"
	case w.Merit >= 0.65:
		word = "good"
	case w.Merit >= 0.4:
		word = "fair"
	}
	spread := r.Own.SpreadHz
	if q.HasPartner {
		spread = r.Mutual.SpreadHz
	}
	line := fmt.Sprintf("%s: path %+.1f dB, noise %+.1f dB, spread %.0f Hz", word, w.PathDB, w.NoiseDB, spread)
	if q.HasPartner && bothLinear {
		line += fmt.Sprintf(", polarisation %+.0f° costs %.1f dB", r.Polarisation.Deg(), PolarisationLossDB(r.Polarisation))
	}
	return line
}

// MeritAt is the merit alone, for charts over days: without Doppler, drift and spread, which
// don't count, it costs a few microseconds.
func MeritAt(sky *ephem.Sky, galaxy *noise.Sky, q Question, receiver noise.Receiver, limits Limits, at time.Time) float64 {
	look := sky.Look(q.Here, ephem.MoonBody(), at)
	r := Report{MoonEl: q.Air.Refracted(look.El), Look: look}
	r.Own.AbovePerigeeDB = AbovePerigeeDB(look.DistanceKm, look.DistanceKm)
	if q.HasPartner {
		there := sky.Look(q.There, ephem.MoonBody(), at)
		r.PartnerEl = q.Air.Refracted(there.El)
		r.Mutual.AbovePerigeeDB = AbovePerigeeDB(there.DistanceKm, look.DistanceKm)
	}
	if r.MoonEl < limits.Least || q.HasPartner && r.PartnerEl < limits.Least {
		return 0
	}
	r.behind(sky, galaxy, q, at)
	return WorthOf(r, q, receiver, limits).Merit
}

// behind fills in what stands behind and beside the Moon.
func (r *Report) behind(sky *ephem.Sky, galaxy *noise.Sky, q Question, at time.Time) {
	sun := sky.Look(q.Here, ephem.SunBody(), at)
	r.SunOff = ephem.Separation(r.Look.Az, r.Look.El, sun.Az, sun.El)
	moon, _ := sky.MoonAt(at)
	here, _ := sky.SiteAt(q.Here, at)
	longitude, latitude := noise.Ecliptic(moon.Minus(here))
	r.MoonSkyK = noise.Scaled(galaxy.Through(longitude, latitude, q.HalfPower), q.Hz)
}
