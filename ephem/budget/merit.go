package budget

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/space"
)

// Worth is how good an instant is for the radio path, and what it is made of.
//
// The rule: begin with 6 dB to spend. Spend the path loss beyond the mean perigee (both legs, so 1.9 dB
// at apogee) and the rise of the system noise over that under a cold sky at 40 degrees
// elevation: sky behind the Moon, the Moon itself left out, the Sun where it is, air and ground at this elevation.
// What is left, as a part of 6 dB and within 0 to 1, is the merit. It is 0 while the Moon is below the least elevation
// at either end, or the Sun within the set angle of it.
type Worth struct {
	Merit                float64
	PathDB, NoiseDB      float64 // spent
	TooLow, SunTooNear   bool
	SystemK, ColdSystemK float64
}

const (
	// meritDB is what there is to spend.
	meritDB = 6
	coldEl  = 40
)

// Limits are what the operator sets for a Worth.
type Limits struct {
	Min     unit.Angle // least elevation, as seen
	SunLeft unit.Angle // least angle between Moon and Sun
}

// Listener is a station's receiving side on one band: what it hears from where it stands.
type Listener struct {
	Pattern  *noise.Pattern
	Receiver noise.Receiver
	Place    Place
}

// ColdK is the system noise under an even cold sky at 40 degrees elevation, over level ground.
func (l Listener) ColdK() float64 {
	axis := space.Direction(0, unit.AngleFromDeg(coldEl))
	return l.Pattern.Hear(axis, &noise.Scene{}, noise.Coarse).TotalK() + l.Receiver.K()
}

// SkyNoiseK is the system noise with the axis on the Moon's place, the Moon itself left out.
func (l Listener) SkyNoiseK(sky *ephem.Sky, galaxy *noise.Sky, at time.Time) float64 {
	scene, _, _ := Around(sky, galaxy, l.Place, l.Pattern.Hz, at)
	axis := scene.Moon.Towards
	scene.Moon = noise.Disc{}
	return l.Pattern.Hear(axis, scene, noise.Coarse).TotalK() + l.Receiver.K()
}

// CounterpartListener is what a station hears with of which the dish, its aperture efficiency and the system noise with
// the beam on the Moon are known; a system noise of 0 isn't, and leaves the receiver as given. Its place is left out.
func CounterpartListener(dish noise.Dish, receiver noise.Receiver, systemK float64) (Listener, error) {
	pattern, err := noise.NewPattern(dish)
	if err != nil {
		return Listener{}, err
	}
	if systemK > 0 {
		axis := space.Direction(0, unit.AngleFromDeg(coldEl))
		moon := noise.Scene{Moon: noise.Disc{Towards: axis, Radius: unit.AngleFromDeg(meanMoonDeg / 2)},
			MoonK: meanMoonK}
		antenna := pattern.Hear(axis, &moon, noise.Coarse).TotalK()
		receiver = noise.Receiver{NoiseK: max(minReceiverK, systemK-antenna)}
	}
	return Listener{Pattern: pattern, Receiver: receiver}, nil
}

// The Moon as it is at most times, and the least that a receiver adds.
const (
	meanMoonDeg, meanMoonK = 0.518, 215.0
	minReceiverK           = 5.0
)

// WorthOf judges a report, by the system noise with the Moon left out and that under the cold sky.
func WorthOf(r echo.Report, q echo.Question, systemK, coldK float64, limits Limits) Worth {
	w := Worth{
		PathDB:     r.Own.AbovePerigeeDB,
		TooLow:     r.MoonEl < limits.Min || q.HasPartner && r.PartnerEl < limits.Min,
		SunTooNear: r.SunOff < limits.SunLeft,
		SystemK:    systemK, ColdSystemK: coldK,
	}
	if q.HasPartner {
		w.PathDB = r.Mutual.AbovePerigeeDB
	}
	if w.NoiseDB = 10 * math.Log10(w.SystemK/w.ColdSystemK); math.IsNaN(w.NoiseDB) {
		w.NoiseDB = 0 // the air isn't known: the path alone counts
	}
	if !w.TooLow && !w.SunTooNear {
		w.Merit = max(0, min(1, 1-(w.PathDB+w.NoiseDB)/meritDB))
	}
	return w
}

// WorthAt is the same for charts over days: without Doppler, drift and spread, which don't
// count. coldK is the listener's ColdK. Where the Moon is too low or the Sun too near, nothing
// else is worked out.
func WorthAt(sky *ephem.Sky, galaxy *noise.Sky, q echo.Question, l Listener, coldK float64, limits Limits,
	at time.Time) Worth {
	look := sky.Look(q.Here, ephem.MoonBody(), at)
	r := echo.Report{MoonEl: q.Air.Refracted(look.El), Look: look}
	_, _, geocentricKm := sky.Geocentric(ephem.MoonBody(), at)
	r.Own.AbovePerigeeDB = echo.AbovePerigeeDB(geocentricKm)
	if q.HasPartner {
		there := sky.Look(q.There, ephem.MoonBody(), at)
		r.PartnerEl = q.Air.Refracted(there.El)
		r.Mutual.AbovePerigeeDB = r.Own.AbovePerigeeDB
	}
	if r.MoonEl < limits.Min || q.HasPartner && r.PartnerEl < limits.Min {
		return Worth{TooLow: true}
	}
	sun := sky.Look(q.Here, ephem.SunBody(), at)
	r.SunOff = ephem.Separation(r.Look.Az, r.Look.El, sun.Az, sun.El)
	if r.SunOff < limits.SunLeft {
		return Worth{SunTooNear: true}
	}
	return WorthOf(r, q, l.SkyNoiseK(sky, galaxy, at), coldK, limits)
}
