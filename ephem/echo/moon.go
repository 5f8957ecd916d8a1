package echo

import (
	"math"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/space"
)

// orientation returns the rotation from ICRF to axes fixed in the Moon: x towards
// the mean Earth, z to the north pole. Source: Archinal et al., Report of the
// IAU Working Group on Cartographic Coordinates and Rotational Elements 2009
// (coefficients from memory, checked against Meeus's example 53.a and JPL's librations).
func orientation(at time.Time) space.Matrix {
	// The report counts in TDB; the 69 s to UTC turn the Moon by 0.01 degree, its rate by nothing.
	d := float64(at.Unix()-946728000)/86400 + float64(at.Nanosecond())/86400e9 + 69.184/86400
	ra := 269.9949 + 0.0031*d/36525
	dec := 66.5392 + 0.0130*d/36525
	w := 38.3213 + math.Mod(13.17635815*d, 360) - 1.4e-12*d*d
	for _, term := range orientationTerms {
		sin, cos := math.Sincos((term.at0 + term.perDay*d) * math.Pi / 180)
		ra += term.ra * sin
		dec += term.dec * cos
		w += term.w * sin
	}
	return poleMatrix(ra*math.Pi/180, dec*math.Pi/180, w*math.Pi/180)
}

// poleMatrix turns to axes whose pole has a right ascension and declination, and whose
// prime meridian stands w east of the node of the two equators.
func poleMatrix(ra, dec, w float64) space.Matrix {
	sr, cr := math.Sincos(ra)
	sd, cd := math.Sincos(dec)
	sw, cw := math.Sincos(w)
	node := space.Vector{X: -sr, Y: cr}
	pole := space.Vector{X: cd * cr, Y: cd * sr, Z: sd}
	ahead := pole.Cross(node)
	return space.Matrix{
		X: node.Times(cw).Plus(ahead.Times(sw)),
		Y: ahead.Times(cw).Minus(node.Times(sw)),
		Z: pole,
	}
}

// orientationTerms are E1 to E13 in degrees, and what each adds to pole and meridian.
var orientationTerms = [...]struct{ at0, perDay, ra, dec, w float64 }{
	{125.045, -0.0529921, -3.8787, 1.5419, 3.5610},
	{250.089, -0.1059842, -0.1204, 0.0239, 0.1208},
	{260.008, 13.0120009, 0.0700, -0.0278, -0.0642},
	{176.625, 13.3407154, -0.0172, 0.0068, 0.0158},
	{357.529, 0.9856003, 0, 0, 0.0252},
	{311.589, 26.4057084, 0.0072, -0.0029, -0.0066},
	{134.963, 13.0649930, 0, 0.0009, -0.0047},
	{276.617, 0.3287146, 0, 0, -0.0046},
	{34.226, 1.7484877, 0, 0, 0.0028},
	{15.134, -0.1589763, -0.0052, 0.0008, 0.0052},
	{119.743, 0.0036096, 0, 0, 0.0040},
	{239.961, 0.1643573, 0, 0, 0.0019},
	{25.053, 12.9590088, 0.0043, -0.0009, -0.0044},
}

// seenFrom returns the direction from the Moon's centre to a site, in the Moon's axes.
func seenFrom(sky *ephem.Sky, site ephem.Site, at time.Time) space.Vector {
	moon, _ := sky.MoonAt(at)
	place, _ := sky.SiteAt(site, at)
	axes := orientation(at)
	return axes.Of(place.Minus(moon)).Unit()
}

// turning is how fast that direction changes, radians per second, across it.
func turning(sky *ephem.Sky, site ephem.Site, at time.Time) space.Vector {
	const half = 150 * time.Second
	return seenFrom(sky, site, at.Add(half)).Minus(seenFrom(sky, site, at.Add(-half))).Times(1 / (2 * half.Seconds()))
}

// SpreadHz is the width in frequency, limb to limb, of an echo: the Moon turns a
// little as sender and receiver see it, one edge coming, the other going. For the
// own echo both sites are the same. The power is gathered in the middle: its half-power width is
// about 0.1 to 0.3 of this at UHF, up to 0.5 at 10 GHz and above (from memory).
func SpreadHz(sky *ephem.Sky, sender, receiver ephem.Site, sentHz float64, bounced time.Time) float64 {
	both := turning(sky, sender, bounced)
	if sender == receiver {
		both = both.Times(2)
	} else {
		both = both.Plus(turning(sky, receiver, bounced))
	}
	return 2 * moonRadiusM * sentHz / lightMps * both.Length()
}
