// Package faraday works out how the ionosphere turns linear polarisation on the way to the Moon and back. Pure.
//
// The ionosphere is a thin shell, the Earth's field a dipole through its centre. What isn't known
// of the electron content outweighs what both leave out; from about 3 GHz up the turn is under a
// degree or two.
package faraday

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// Electrons is the vertical electron content of the ionosphere, in units of 10¹⁶ electrons a square metre (TECU), and
// its standard uncertainty.
type Electrons struct{ TECU, Within float64 }

// Expected is the content at middle latitudes where none is entered, by the hour at a longitude and the index of solar
// activity (10.7 cm, solar flux units) with its error: a floor by night, and by day a half cosine about 14 h of local
// time. Source of the shape: the single-layer model of the GPS interface (IS-GPS-200, after Klobuchar 1987), which is
// said to take half of the error away; its size, 5 by night and 15 by day at sunspot minimum, 60 by day at a strong
// maximum, is common practice, no source.
func Expected(at time.Time, lon unit.Angle, index, indexError float64) Electrons {
	hours := at.Sub(at.Truncate(24*time.Hour)).Hours() + lon.Deg()/15
	above := math.Max(0, index-quietIndex)
	day := math.Max(0, math.Cos(2*math.Pi*(hours-dayPeak)/24))
	content := nightTECU + dayTECU*day + above*(nightPerIndex+dayPerIndex*day)
	byIndex := indexError * (nightPerIndex + dayPerIndex*day)
	return Electrons{content, math.Hypot(math.Max(minError, expectedShare*content), byIndex)}
}

const (
	quietIndex    = 67.0 // of the sunspot minimum
	dayPeak       = 14.0 // hours of local time
	nightTECU     = 5.0
	dayTECU       = 10.0
	nightPerIndex = 0.04
	dayPerIndex   = 0.22
	expectedShare = 0.5
	minError      = 4.0
)

// Elsewhere is what is taken at another place where a content was entered for here: it is carried over by what is
// expected at both, and is worth more than that expectation only as far as both err alike.
func Elsewhere(entered, expectedHere, expectedThere Electrons) Electrons {
	content := entered.TECU * expectedThere.TECU / expectedHere.TECU
	return Electrons{content, math.Max(minError, elsewhereShare*content)}
}

const elsewhereShare = 0.35

// Entered is a content by a published map, good to 4 TECU or a tenth (common practice, no source).
func Entered(tecu float64) Electrons { return Electrons{tecu, math.Max(minError, tecu/10)} }

const (
	earthKm = 6371.2 // of the field's model
	shellKm = 400.0  // height of the shell
	// turnPer is e³/(8π²ε₀m²c): radians times Hz² for a tesla and an electron a square metre.
	// Source: Recommendation ITU-R P.531, Faraday rotation: 2.36·10⁻¹⁴ with GHz.
	turnPer = 2.3648e4
	// fieldShare is by how much the dipole misses the field along the path at 400 km, beside fieldT: compared with
	// the full model it is 10 to 20 % at middle latitudes (from memory).
	fieldShare, fieldT = 0.15, 2e-6
)

// vector has x to the Greenwich meridian on the equator and z to the north pole.
type vector [3]float64

func (v vector) dot(w vector) float64   { return v[0]*w[0] + v[1]*w[1] + v[2]*w[2] }
func (v vector) times(f float64) vector { return vector{v[0] * f, v[1] * f, v[2] * f} }
func (v vector) plus(w vector) vector   { return vector{v[0] + w[0], v[1] + w[1], v[2] + w[2]} }
func (v vector) length() float64        { return math.Sqrt(v.dot(v)) }

// dipole are the Gauss coefficients g11, h11 and g10 in nT at an instant. Source: IGRF-14, epoch
// 2025.0 with its secular variation (International Association of Geomagnetism and Aeronomy; the
// figures from memory).
func dipole(at time.Time) vector {
	years := at.Sub(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)).Hours() / 24 / 365.25
	years = math.Max(-20, math.Min(years, 20))
	return vector{-1410.3 + 10.0*years, 4545.5 - 21.5*years, -29350.0 + 12.6*years}
}

// field is the Earth's field in tesla at a place in km from the centre.
func field(place vector, at time.Time) vector {
	r := place.length()
	up, m := place.times(1/r), dipole(at)
	scale := math.Pow(earthKm/r, 3) * 1e-9
	return up.times(3 * m.dot(up)).plus(m.times(-1)).times(scale)
}

// Path is what the ionosphere does to a linear polarisation on the way between a station and the Moon.
type Path struct {
	// Turn is the one-way turn of the plane as seen from the station looking at the Moon, north
	// through east; it is the same, not the opposite, on the way up and down. Within is its standard
	// uncertainty.
	Turn, Within unit.Angle
	// Slant is how many times the vertical content lies along the path.
	Slant float64
	// FieldT is the field along the way from the Moon to the station, tesla.
	FieldT float64
}

// PathOf returns what happens to a frequency on the way from a place, geographic, to an azimuth and
// elevation above the horizon.
func PathOf(hz float64, lat, lon, az, el unit.Angle, e Electrons, at time.Time) Path {
	sinLat, cosLat := lat.Sincos()
	sinLon, cosLon := lon.Sincos()
	up := vector{cosLat * cosLon, cosLat * sinLon, sinLat}
	east, north := vector{-sinLon, cosLon, 0}, vector{-sinLat * cosLon, -sinLat * sinLon, cosLat}
	sinEl, cosEl := el.Sincos()
	sinAz, cosAz := az.Sincos()
	towards := up.times(sinEl).plus(east.times(cosEl * sinAz)).plus(north.times(cosEl * cosAz))
	// Where the ray meets the shell.
	shell := earthKm + shellKm
	far := -earthKm*sinEl + math.Sqrt(shell*shell-earthKm*earthKm*cosEl*cosEl)
	pierce := up.times(earthKm).plus(towards.times(far))
	p := Path{Slant: shell / pierce.dot(towards), FieldT: -field(pierce, at).dot(towards)}
	turn := turnPer * p.FieldT * p.Slant * e.TECU * 1e16 / (hz * hz)
	byField := turnPer * math.Hypot(fieldShare*p.FieldT, fieldT) * p.Slant * e.TECU * 1e16 / (hz * hz)
	byContent := turnPer * p.FieldT * p.Slant * e.Within * 1e16 / (hz * hz)
	p.Turn, p.Within = unit.Angle(turn), unit.Angle(math.Hypot(byField, byContent))
	return p
}

// Misfit is by how much a linear polarisation arrives turned against the feed that receives it.
type Misfit struct {
	// Angle is the whole of it, not folded; Within its standard uncertainty.
	Angle, Within unit.Angle
}

// Own is the misfit of the own echo: one-way turns add up to twice, and the station's own horizon
// is the same both times.
func Own(p Path) Misfit { return Misfit{p.Turn.Mul(2), p.Within.Mul(2)} }

// Between returns the misfits between two stations with feeds alike against their own horizons:
// theirs as heard here, ours as heard there. spatial is the difference of the two verticals, here
// minus there. The turns of both paths add with the same sign in the two directions; the spatial
// difference changes its sign, so that the directions differ by twice that.
func Between(spatial unit.Angle, here, there Path) (heard, hears Misfit) {
	turn, within := here.Turn+there.Turn, here.Within+there.Within // the content errs alike
	return Misfit{turn - spatial, within}, Misfit{turn + spatial, within}
}

// LossDB is the loss between linear polarisations that stand so; it is the mean over the
// uncertainty of the angle, so that it comes to 3 dB where nothing is known, and never to more than
// 30.
func (m Misfit) LossDB() float64 {
	// The mean of cos² over a normal distribution.
	share := 0.5 * (1 + math.Exp(-2*m.Within.Rad()*m.Within.Rad())*math.Cos(2*m.Angle.Rad()))
	return -10 * math.Log10(math.Max(share, 1e-3))
}

// Predictable says whether the angle is known well enough to set a feed by it.
func (m Misfit) Predictable() bool { return math.Abs(m.Within.Deg()) <= 30 }

// LinearToCircularDB is what is lost between a linear and a circular feed, whatever the turn.
const LinearToCircularDB = 3.0103

// Matters says whether a frequency is low enough for a turn to be told of.
func Matters(hz float64) bool { return hz < 3e9 }
