package commission

import (
	"fmt"
	"math"
	"strings"

	"beamhelm/app/message"
	"beamhelm/app/settings"
)

// Caution is what must be confirmed before anything moves.
type Caution struct{ What, Words message.Code }

// The usual cautions of the trade (common practice, no source).
var cautions = [...]Caution{
	{"commission.caution.people", "commission.caution.people.do"},
	{"commission.caution.isolation", "commission.caution.isolation.do"},
	{"commission.caution.stop", "commission.caution.stop.do"},
	{"commission.caution.radio-frequency", "commission.caution.radio-frequency.do"},
	{"commission.caution.sunlight", "commission.caution.sunlight.do"},
	{"commission.caution.heights", "commission.caution.heights.do"},
	{"commission.caution.lightning", "commission.caution.lightning.do"},
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

var guides = [StepCount]message.Code{
	"commission.guide.cautions",
	"commission.guide.link",
	"commission.guide.stopping",
	"commission.guide.motors",
	"commission.guide.end-switches",
	"commission.guide.counts",
	"commission.guide.speeds",
	"commission.guide.reference",
	"commission.guide.limits",
	"commission.guide.first-peak",
	"commission.guide.report",
}

// Guide says what is to be done in a step.
func (s Step) Guide() message.Message {
	if s >= StepCount {
		return message.Message{}
	}
	return message.Of(guides[s])
}
