package ephem

import (
	"math"

	"beamhelm/ephem/space"
)

const (
	degree    = math.Pi / 180
	arcsecond = degree / 3600
	turn      = 2 * math.Pi
	// century in days.
	century = 36525
	// earthSpin is the Earth's rate of rotation in the inertial frame, rad/s:
	// the rate of the Earth rotation angle, IAU 2000.
	earthSpin = turn * 1.00273781191135448 / daySeconds
)

// nutation is the wobble of the Earth's axis, in radians.
type nutation struct{ longitude, obliquity float64 }

// frame is the true equator and equinox of an instant.
type frame struct {
	// fromICRF turns ICRF vectors to the true equator and equinox of date.
	fromICRF space.Matrix
	// sinSidereal and cosSidereal of Greenwich apparent sidereal time.
	sinSidereal, cosSidereal float64
}

// precessionAngles returns the four Fukushima-Williams angles of bias and
// precession, radians. Source: IAU 2006 (Capitaine et al. 2003, A&A 412, 567;
// IERS Conventions 2010, 5.40).
func precessionAngles(t float64) (gamma, phi, psi, obliquity float64) {
	gamma = (-0.052928 + (10.556378+(0.4932044+(-0.00031238+(-0.000002788+0.0000000260*t)*t)*t)*t)*t) * arcsecond
	phi = (84381.412819 + (-46.811016+(0.0511268+(0.00053289+(-0.000000440-0.0000000176*t)*t)*t)*t)*t) * arcsecond
	psi = (-0.041775 + (5038.481484+(1.5584175+(-0.00018522+(-0.000026452-0.0000000148*t)*t)*t)*t)*t) * arcsecond
	obliquity = (84381.406 + (-46.836769+(-0.0001831+(0.00200340+(-0.000000576-0.0000000434*t)*t)*t)*t)*t) * arcsecond
	return gamma, phi, psi, obliquity
}

// equatorOf returns the rotation from ICRF to the equator and equinox of the
// Fukushima-Williams angles: R1(-obliquity) R3(-psi) R1(phi) R3(gamma).
func equatorOf(gamma, phi, psi, obliquity float64) space.Matrix {
	se, ce := math.Sincos(obliquity)
	return tilted(gamma, phi, psi, se, ce)
}

// tilted is equatorOf with the sine and cosine of the obliquity.
func tilted(gamma, phi, psi, se, ce float64) space.Matrix {
	// Gamma grows by 10.6″ a century: three terms hold for all dates in use.
	sg, cg := gamma*(1-gamma*gamma/6), 1-gamma*gamma/2
	sf, cf := math.Sincos(phi)
	sp, cp := math.Sincos(psi)
	// R1(phi) R3(gamma) first, row by row.
	a := space.Vector{X: cg, Y: sg, Z: 0}
	b := space.Vector{X: -sg * cf, Y: cg * cf, Z: sf}
	c := space.Vector{X: sg * sf, Y: -cg * sf, Z: cf}
	x := a.Times(cp).Minus(b.Times(sp))
	y := a.Times(sp).Plus(b.Times(cp))
	return space.Matrix{X: x, Y: y.Times(ce).Minus(c.Times(se)), Z: y.Times(se).Plus(c.Times(ce))}
}

// frameAt returns the frame of an instant with a given nutation.
func frameAt(at moment, n nutation) frame {
	t := at.tt / century
	gamma, phi, psi, obliquity := precessionAngles(t)
	se, ce := math.Sincos(obliquity + n.obliquity)
	f := frame{fromICRF: tilted(gamma, phi, psi+n.longitude, se, ce)}
	// The nutation in right ascension wants the mean obliquity's cosine.
	f.sinSidereal, f.cosSidereal = math.Sincos(sidereal(at, n.longitude*(ce+se*n.obliquity)))
	return f
}

// sidereal returns Greenwich apparent sidereal time in radians, not folded, given the
// nutation in right ascension: IAU 2006/2000A (IERS Conventions 2010, 5.32), with
// the two largest of the complementary terms (the rest is under 0.00003″).
func sidereal(at moment, nutationInRA float64) float64 {
	t := at.tt / century
	day := at.ut1 - math.Floor(at.ut1)
	rotation := turn * (0.7790572732640 + 0.00273781191135448*at.ut1 + day)
	mean := 0.014506 + (4612.156534+(1.3915817+(-0.00000044+(-0.000029956-0.0000000368*t)*t)*t)*t)*t
	sn, cn := math.Sincos((125.04455501 - 1934.1362619*t) * degree)
	mean += 0.00264096*sn + 0.00006352*2*sn*cn
	return rotation + mean*arcsecond + nutationInRA
}
