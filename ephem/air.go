package ephem

import (
	"errors"
	"math"

	"github.com/soniakeys/unit"
)

// Air is the air at the site, which bends what is seen upwards. The zero Air
// is none: airless.
type Air struct {
	// PressureHPa is the pressure at the site itself, not reduced to sea level. 0: airless.
	PressureHPa     float64
	TemperatureC    float64
	HumidityPercent float64
}

// DefaultAir is 1010 hPa, 10 C, 50 %: what is assumed where nothing is measured.
func DefaultAir() Air { return Air{PressureHPa: 1010, TemperatureC: 10, HumidityPercent: 50} }

// StandardAir is the air at a height in metres where nothing is measured: the pressure and
// temperature of the standard atmosphere (ISO 2533), 50 % humidity. Good to 11 km.
func StandardAir(heightM float64) Air {
	h := max(-500, min(heightM, 11000))
	return Air{
		PressureHPa:     1013.25 * math.Pow(1-2.25577e-5*h, 5.25588),
		TemperatureC:    15 - 0.0065*h,
		HumidityPercent: 50,
	}
}

// Validate says what is wrong with an Air.
func (a Air) Validate() error {
	switch {
	case !(a.PressureHPa >= 0 && a.PressureHPa <= 1200):
		return errors.New("pressure is not within 0 to 1200 hPa")
	case !(a.TemperatureC >= -90 && a.TemperatureC <= 60):
		return errors.New("temperature is not within -90 to 60 C")
	case !(a.HumidityPercent >= 0 && a.HumidityPercent <= 100):
		return errors.New("humidity is not within 0 to 100 %")
	}
	return nil
}

// Refractivity is (n-1) times a million at radio frequencies. Source: ITU-R
// P.453, vapour pressure after Buck with its enhancement factor.
func (a Air) Refractivity() float64 {
	if a.PressureHPa <= 0 {
		return 0
	}
	t, kelvin := a.TemperatureC, a.TemperatureC+273.15
	enhancement := 1 + 1e-4*(7.2+a.PressureHPa*(0.0032+5.9e-7*t*t))
	vapour := a.HumidityPercent / 100 * enhancement * 6.1121 * math.Exp((18.678-t/234.5)*t/(257.14+t))
	vapour = min(vapour, a.PressureHPa)
	return (77.6*(a.PressureHPa-vapour) + 72*vapour + 3.75e5*vapour/kelvin) / kelvin
}

// Refracted returns the elevation at which an airless elevation is seen.
// It rises with the airless elevation everywhere; see bending.
func (a Air) Refracted(airless unit.Angle) unit.Angle {
	return airless + a.bending(airless)
}

// Airless is the inverse of Refracted, to a millionth of a degree.
func (a Air) Airless(refracted unit.Angle) unit.Angle {
	if a.PressureHPa <= 0 {
		return refracted
	}
	low, high := refracted-2*degree, refracted+0.1*degree
	airless := refracted
	for range 60 {
		wrong := a.Refracted(airless) - refracted
		if math.Abs(wrong.Rad()) < 1e-11 {
			break
		}
		if wrong > 0 {
			high = airless
		} else {
			low = airless
		}
		// The slope is near 1 and never far from it: a plain correction
		// converges, and the halving is there for what it doesn't serve.
		airless -= wrong
		if airless <= low || airless >= high {
			airless = (low + high) / 2
		}
	}
	return airless
}

const (
	// lowestBending is the airless elevation, degrees, below which nothing is seen.
	lowestBending = -1
	// The numbers of bending, degrees.
	bendingA = 6.655
	bendingB = 3.078
	bendingC = 3.885
	bendingD = 5.582
)

// bending is how much the air raises an airless elevation: the refractivity
// times the cotangent of an elevation that is kept off the horizon. The numbers
// are fitted to a ray traced through an exponential atmosphere of 315 units and a scale height
// of 7.35 km (ITU-R P.453), to 0.004 degree from -0.75 to 90 degrees; the
// weather of the day makes a larger difference below 3 degrees. Below -1 degree it
// fades in proportion to the angle from the nadir, which keeps it monotonic.
func (a Air) bending(airless unit.Angle) unit.Angle {
	el := min(airless.Deg(), 90)
	fade := 1.0
	if el < lowestBending {
		fade = max(0, (el+90)/(lowestBending+90))
		el = lowestBending
	}
	lifted := el + bendingA/(el+bendingB+bendingC/(el+bendingD))
	bent := a.Refractivity() * 1e-6 / math.Tan(lifted*degree)
	return unit.Angle(max(0, bent) * fade)
}
