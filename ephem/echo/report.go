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
	// There is the partner, with HasPartner.
	There      ephem.Site
	HasPartner bool
}

// Signal is what one path does to a signal.
type Signal struct {
	// DopplerHz is received minus sent frequency, DriftHzPerS its change.
	DopplerHz, DriftHzPerS float64
	DelayS                 float64
	// LossDB is the two-way path loss, AbovePerigeeDB that beyond the mean perigee.
	LossDB, AbovePerigeeDB float64
	// SpreadHz is the width limb to limb.
	SpreadHz float64
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
	r.behind(sky, galaxy, q, at)
	if q.HasPartner {
		r.PartnerEl = q.Air.Refracted(sky.Look(q.There, ephem.MoonBody(), at).El)
		r.Mutual = signalOn(sky, q.There, q.Here, q.Hz, at)
		r.Polarisation = Polarisation(sky, q.Here, q.There, at)
	}
	return r
}

func signalOn(sky *ephem.Sky, sender, receiver ephem.Site, hz float64, at time.Time) Signal {
	p := PathTo(sky, sender, receiver, at)
	return Signal{
		DopplerHz:   p.DopplerHz(hz),
		DriftHzPerS: DriftHzPerS(sky, sender, receiver, hz, at),
		DelayS:      p.DelayS(),
		LossDB:      LossDB(hz, p.UpKm, p.DownKm), AbovePerigeeDB: AbovePerigeeDB(p.UpKm, p.DownKm),
		SpreadHz: SpreadHz(sky, sender, receiver, hz, p.Bounced),
	}
}
