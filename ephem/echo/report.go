package echo

import (
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/noise"

	"github.com/soniakeys/unit"
)

// Question is what a Report is about.
type Question struct {
	Here ephem.Site
	Air  ephem.Air
	Hz   float64
	// HalfPower is the beam's half-power width, for the sky behind the Moon; 0 for a point.
	HalfPower unit.Angle
	// Fineness is how closely the sky behind the Moon is looked at.
	Fineness noise.Fineness
	// There is the partner, with HasPartner.
	There      ephem.Site
	HasPartner bool
	// ThereKm is the uncertainty of the partner's place; 0 for ephem.SiteKm.
	ThereKm float64
}

// Signal is what one path does to a signal.
type Signal struct {
	// DopplerHz is received minus sent frequency, DriftHzPerS its change.
	DopplerHz, DriftHzPerS float64
	DelayS                 float64
	// LossDB is the two-way path loss; AbovePerigeeDB is by how much the Moon's own distance raises it over the mean
	// perigee.
	LossDB, AbovePerigeeDB float64
	// SpreadHz is the width limb to limb.
	SpreadHz float64
	// Within is how well all this is known.
	Within Accuracy
}

// Report is the radio path by way of the Moon at an instant of reception.
type Report struct {
	// MoonEl and PartnerEl are the Moon's elevations here and there, as seen.
	MoonEl, PartnerEl unit.Angle
	// Own is the own echo, Mutual the partner's signal here when nobody corrects.
	Own, Mutual Signal
	// Polarisation is that of Polarisation, here minus there.
	Polarisation unit.Angle
	// MoonSkyK is the temperature of the sky behind the Moon.
	MoonSkyK float64
	// SunOff is the angle between Moon and Sun from here.
	SunOff unit.Angle
	// Look is the Moon's place here, which says how much it is to be trusted.
	Look ephem.Look
}

// ReportAt works out a report. PartnerEl, Mutual and Polarisation are zero without a partner.
func ReportAt(sky *ephem.Sky, galaxy *noise.Sky, q Question, at time.Time) Report {
	look := sky.Look(q.Here, ephem.MoonBody(), at)
	r := Report{
		MoonEl: q.Air.Refracted(look.El),
		Own:    signalOn(sky, q.Here, q.Here, q.Hz, at),
		Look:   look,
	}
	series := look.Origin == ephem.FromSeries
	r.Own.Within = AccuracyOf(q.Hz, r.Own.SpreadHz, ephem.SiteKm, series)
	r.behind(sky, galaxy, q, at)
	if q.HasPartner {
		r.PartnerEl = q.Air.Refracted(sky.Look(q.There, ephem.MoonBody(), at).El)
		r.Mutual = signalOn(sky, q.There, q.Here, q.Hz, at)
		r.Mutual.Within = AccuracyOf(q.Hz, r.Mutual.SpreadHz, max(q.ThereKm, ephem.SiteKm), series)
		r.Polarisation = Polarisation(sky, q.Here, q.There, at)
	}
	return r
}

func signalOn(sky *ephem.Sky, sender, receiver ephem.Site, hz float64, at time.Time) Signal {
	p := PathTo(sky, sender, receiver, at)
	_, _, geocentricKm := sky.Geocentric(ephem.MoonBody(), p.Bounced)
	return Signal{
		DopplerHz:   p.DopplerHz(hz),
		DriftHzPerS: DriftHzPerS(sky, sender, receiver, hz, at),
		DelayS:      p.DelayS(),
		LossDB:      LossDB(hz, p.UpKm, p.DownKm), AbovePerigeeDB: AbovePerigeeDB(geocentricKm),
		SpreadHz: SpreadHz(sky, sender, receiver, hz, p.Bounced),
	}
}

// behind fills in what stands behind and beside the Moon.
func (r *Report) behind(sky *ephem.Sky, galaxy *noise.Sky, q Question, at time.Time) {
	sun := sky.Look(q.Here, ephem.SunBody(), at)
	r.SunOff = ephem.Separation(r.Look.Az, r.Look.El, sun.Az, sun.El)
	r.MoonSkyK = BehindMoon(sky, galaxy, q, at)
}

// BehindMoon is the temperature of the sky behind the Moon, as a beam sees it, without air.
func BehindMoon(sky *ephem.Sky, galaxy *noise.Sky, q Question, at time.Time) float64 {
	moon, _ := sky.MoonAt(at)
	here, _ := sky.SiteAt(q.Here, at)
	return noise.Scaled(galaxy.Through(moon.Minus(here), q.HalfPower, q.Fineness), q.Hz)
}
