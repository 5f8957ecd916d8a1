package commission

import (
	"fmt"
	"math"
	"strings"

	"beamhelm/app/settings"
)

// Caution is what must be confirmed before anything moves.
type Caution struct{ What, Words string }

// The usual cautions of the trade (common practice, no source).
var cautions = [...]Caution{
	{"People", "Everyone is clear of the dish and of what it can reach, and knows that it will move; nobody " +
		"works at it."},
	{"Isolation", "The drives can be cut off at the dish itself, and whoever goes there cuts them off and takes the " +
		"key along."},
	{"Hard-wired stop",
		"A stop that needs neither computer nor microcontroller is within reach. This panel doesn't take its place."},
	{"Radio frequency", "The transmitter is off and stays off. Later: nobody in the beam or near the feed. Local " +
		"rules and licence conditions decide."},
	{"Sunlight", "A bare or shiny reflector near the Sun burns feed, cables and eyes: it is covered, or looks away."},
	{"Heights", "Work at height is done by two, secured, with the drives cut off."},
	{"Lightning", "No thunderstorm is near: work ends, and the cables are earthed, before one comes."},
}

// CautionList are all of them, in their order.
func CautionList() []Caution { return cautions[:] }

// density is the estimate of power density on the axis of a circular aperture.
type density struct {
	// SurfaceWM2 at the reflector, NearWM2 the most in the near field, watts a square metre.
	SurfaceWM2, NearWM2 float64
	// NearM is where the near field ends, FarM where the far field begins, metres.
	NearM, FarM float64
	// FCC and ICNIRP are the general public's limits.
	FCC, ICNIRP limit
}

// limit is a power density and how far along the axis it is exceeded, metres; 0: nowhere beyond the dish itself.
type limit struct{ WM2, DistanceM float64 }

// exposure follows FCC OET Bulletin 65 (1997), equations 11 to 18, for average
// power at the feed in watts, a diameter in metres, a frequency in MHz and an
// aperture efficiency. Limits: 47 CFR 1.1310, table 1(B), general population, a mean over 30 minutes; and the
// whole-body reference levels of the ICNIRP guidelines of 2020 for the general public, from 30 MHz (from memory, but
// for the local ones), 30 minutes too.
func exposure(powerW, diameterM, mhz, efficiency float64) (e density) {
	wave := 299.792458 / mhz
	area := math.Pi * diameterM * diameterM / 4
	e.SurfaceWM2 = 4 * powerW / area
	e.NearM, e.FarM = diameterM*diameterM/(4*wave), 0.6*diameterM*diameterM/wave
	e.NearWM2 = 16 * efficiency * powerW / (math.Pi * diameterM * diameterM)
	gain := efficiency * math.Pow(math.Pi*diameterM/wave, 2)
	fcc, icnirp := 10.0, 10.0
	if mhz < 1500 {
		fcc = max(300, mhz) / 150
	}
	if mhz < 2000 {
		icnirp = max(400, mhz) / 200
	}
	e.FCC, e.ICNIRP = e.reach(fcc, powerW*gain), e.reach(icnirp, powerW*gain)
	return e
}

// reach is how far a limit is exceeded, by the power radiated along the axis over isotropic.
func (e *density) reach(limitWM2, radiatedW float64) limit {
	far := math.Sqrt(radiatedW / (4 * math.Pi * limitWM2))
	between := e.NearWM2 * e.NearM / limitWM2
	switch {
	case e.NearWM2 <= limitWM2:
		return limit{limitWM2, 0}
	case between <= e.FarM:
		return limit{limitWM2, between}
	}
	return limit{limitWM2, max(far, e.FarM)}
}

// words say how far a limit is exceeded.
func (l limit) words() string {
	if l.DistanceM == 0 {
		return "not reached beyond the dish by these formulas"
	}
	return fmt.Sprintf("%.0f m", math.Ceil(l.DistanceM))
}

// exposureWords tells the estimate for every band on which is transmitted.
func exposureWords(s *settings.Settings) string {
	var all []string
	for _, b := range s.Bands {
		if b.TransmitPowerW <= 0 {
			continue
		}
		e := exposure(b.TransmitPowerW, s.Dish.DiameterM, b.MHz, s.Dish.Efficiency)
		all = append(all,
			fmt.Sprintf(
				"%s, %.0f W: FCC %s, ICNIRP %s; %.3g W/m² at the reflector, up to %.3g W/m² on the axis for %.0f m",
				b.Name, b.TransmitPowerW, e.FCC.words(), e.ICNIRP.words(), e.SurfaceWM2, e.NearWM2, math.Ceil(e.NearM)))
	}
	if len(all) == 0 {
		return "no band transmits by the settings"
	}
	return "on the beam's axis the limits for the public reach about: " + strings.Join(all, ". ") +
		" (FCC OET Bulletin 65 and ICNIRP 2020, estimates, no assessment; the feed, where the density is highest, is " +
		"not in them). Your local rules and licence conditions decide"
}

var guides = [StepCount]string{
	"Go to the dish first, and look at it with these in mind. Nothing is pushed from here before each is confirmed.",
	"The line must be good before anything else is tried: half a minute without a break, and the enclosure known.",
	"With drive power on, press the hard-wired stop at the dish: power must go. Then let the hand panel take control " +
		"and give it back.",
	"One who watches the dish, one at the panel. Push each axis for a few seconds at little drive, and say which way " +
		"it really went.",
	"Drive power off, and the drives cut off at the dish. Press each end switch by hand until it is shown here, then " +
		"let it go.",
	"Push the axis through a known rotation: from mark to mark, one full turn, or by an inclinometer. For the " +
		"backlash, push twice each way at the same drive.",
	"Push from slow to full, both ways, well clear of the ends: begin at 2 %. Each push is a point in the chart.",
	"The counts become angles. Put the shadow of the feed into the middle of the dish, or peak on the Sun's noise, " +
		"and say so; or enter a surveyed mark.",
	"Push towards each soft limit until the panel stops the axis. Whoever watches is ready at the hard-wired stop.",
	"Track the Sun or a strong source and peak on it. The result becomes the first trim and the first observation of " +
		"the survey.",
	"What was done, what was skipped and why. File it with the station's papers.",
}

// Guide says what is to be done in a step.
func (s Step) Guide() string {
	if s >= StepCount {
		return ""
	}
	return guides[s]
}
