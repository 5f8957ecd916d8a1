// Package budget says what an antenna hears and what an echo by way of the Moon should be, as a stack of
// terms: one set of formulas for the panes, the measurements and the command line.
//
// Judged good to about 10 % of the system noise and 1 dB of the echo, 2 dB for beams under 0.3 degree.
package budget

import (
	"errors"
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/space"
)

// Station is an antenna and what stands behind it, on one band.
type Station struct {
	Dish     noise.Dish
	Receiver noise.Receiver
	// TransmitW at the amplifier, TransmitLossDB between it and the feed.
	TransmitW, TransmitLossDB float64
}

// Place is where the antenna stands and what it looks at.
type Place struct {
	Site ephem.Site
	Air  ephem.Air // the zero Air: airless
	// Horizon is the elevation below which there is ground, by azimuth; nil: level.
	Horizon func(az unit.Angle) (el unit.Angle)
	// SolarFlux in W m⁻² Hz⁻¹; NaN: the quiet Sun's.
	SolarFlux float64
}

// Around returns what surrounds an antenna at an instant, as seen through the air; and the Moon's and
// the Sun's looks, airless.
func Around(sky *ephem.Sky, galaxy *noise.Sky, p Place, hz float64, at time.Time) (scene *noise.Scene, moon,
	sun ephem.Look) {
	moon, sun = sky.Look(p.Site, ephem.MoonBody(), at), sky.Look(p.Site, ephem.SunBody(), at)
	scene = &noise.Scene{
		Sky: galaxy, Axes: sky.Axes(p.Site, at), Horizon: p.Horizon,
		Moon:    noise.Disc{Towards: p.seen(moon), Radius: moon.Diameter / 2},
		MoonK:   noise.MoonK(hz, Phase(sky, at)),
		Sun:     noise.Disc{Towards: p.seen(sun), Radius: unit.AngleFromDeg(sunDeg / 2)},
		SunFlux: p.SolarFlux,
	}
	if math.IsNaN(p.SolarFlux) {
		scene.SunFlux = noise.QuietFlux(hz/1e6) * noise.SolarFluxUnit
	}
	for _, s := range noise.StrongSources() {
		if jansky, _, err := s.Flux(hz, at); err == nil {
			towards := scene.Axes.Of(space.Direction(unit.AngleFromDeg(s.RADeg), unit.AngleFromDeg(s.DecDeg)))
			scene.Sources = append(scene.Sources, noise.Source{Towards: p.lifted(towards), Flux: jansky * noise.Jansky})
		}
	}
	return scene, moon, sun
}

// sunDeg is the diameter of the Sun's disc at radio waves, taken as even.
const sunDeg = 0.533

func (p Place) seen(look ephem.Look) space.Vector {
	return space.Direction(look.Az, p.Air.Refracted(look.El))
}

func (p Place) lifted(airless space.Vector) space.Vector {
	if p.Air.PressureHPa <= 0 {
		return airless
	}
	az, el := airless.Spherical()
	return space.Direction(az, p.Air.Refracted(el))
}

// Phase is the Moon's: 0 at full Moon, to a full turn, waning first.
func Phase(sky *ephem.Sky, at time.Time) unit.Angle {
	longitude := func(body ephem.Body) unit.Angle {
		ra, dec, _ := sky.Geocentric(body, at)
		along, _ := noise.Ecliptic(space.Direction(ra, dec))
		return along
	}
	return (longitude(ephem.MoonBody()) - longitude(ephem.SunBody()) - math.Pi).Mod1()
}

// Row is the own echo of a station at an instant, with everything that it is made of.
type Row struct {
	MoonAz, MoonEl, SunOff unit.Angle // the Sun's centre from the axis
	HalfPower              unit.Angle
	MainBeam               float64 // share of all power that the main beam holds
	Antenna                noise.Parts
	Terms
}

// Question is what a Row answers.
type Question struct {
	Station
	Place
	At time.Time // of reception
	// Offset is where the axis looks, from the Moon's centre: cross-elevation and elevation, true angles.
	OffsetCross, OffsetEl unit.Angle
	PolarisationDB        float64
	Law                   echo.Scattering
}

// Why there is no answer.
var (
	errDown   = errors.New("the Moon's centre is not above the horizon")
	errHidden = errors.New("the Moon stands before a part of the Sun")
	errZenith = errors.New("the beam's axis stands at the zenith or beyond")
)

// Answer works a row out. The time is of reception.
func Answer(sky *ephem.Sky, galaxy *noise.Sky, q Question) (Row, error) {
	pattern, err := noise.NewPattern(q.Dish)
	if err != nil {
		return Row{}, err
	}
	scene, moon, _ := Around(sky, galaxy, q.Place, q.Dish.Hz, q.At)
	el := q.Air.Refracted(moon.El)
	axisEl := el + q.OffsetEl
	switch {
	case !(el > q.horizonAt(moon.Az)):
		return Row{}, errDown
	case space.Angle(scene.Moon.Towards, scene.Sun.Towards) < scene.Moon.Radius+scene.Sun.Radius:
		return Row{}, errHidden
	case !(math.Abs(axisEl.Deg()) < 90):
		return Row{}, errZenith
	}
	axis := space.Direction(moon.Az+q.OffsetCross.Div(axisEl.Cos()), axisEl)
	row := Row{
		MoonAz: moon.Az, MoonEl: el, SunOff: space.Angle(axis, scene.Sun.Towards),
		HalfPower: pattern.HalfPower, MainBeam: pattern.MainBeamEfficiency(),
		Antenna: pattern.Hear(axis, scene, noise.Fine),
	}
	path := echo.PathTo(sky, q.Site, q.Site, q.At)
	gain := pattern.GainDBI()
	row.Terms = Terms{
		PowerW: q.TransmitW, TransmitLossDB: q.TransmitLossDB, TransmitDBI: gain, ReceiveDBI: gain,
		TransmitBeam: pattern.HalfPower, ReceiveBeam: pattern.HalfPower, MoonRadius: scene.Moon.Radius,
		PathDB: echo.LossDB(q.Dish.Hz, path.UpKm, path.DownKm), AirDB: 2 * noise.AirLossDB(q.Dish.Hz,
			el), PolarisationDB: q.PolarisationDB,
		SystemK:  row.Antenna.TotalK() + q.Receiver.K(),
		SpreadHz: echo.SpreadHz(sky, q.Site, q.Site, q.Dish.Hz, path.Bounced),
	}
	row.Add(q.Dish.Hz, q.Law, space.Angle(axis, scene.Moon.Towards))
	return row, nil
}

// What the model is judged good to.
const (
	noiseShare         = 0.1
	withinDB, narrowDB = 1.0, 2.0
	narrowDeg          = 0.3
)

// SystemWithinK is the standard uncertainty of the system noise by this model.
func (r Row) SystemWithinK() float64 { return noiseShare * r.SystemK }

// WithinDB is that of the echo over the noise, beside that of the Moon's reflectivity: more for
// beams narrower than the Moon.
func (r Row) WithinDB() float64 {
	if r.HalfPower.Deg() < narrowDeg {
		return narrowDB
	}
	return withinDB
}

func (p Place) horizonAt(az unit.Angle) unit.Angle {
	if p.Horizon == nil {
		return 0
	}
	return p.Horizon(az)
}
