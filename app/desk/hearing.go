package desk

import (
	"math"
	"time"

	"beamhelm/app/desk/receiver"
	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/space"
)

// hearing is what the antenna is on a band and feed: what is worked out once for it.
type hearing struct {
	band, feed int
	listener   budget.Listener
	coldK      float64 // its ColdK
	// doubt says why the pattern isn't that of the settings; empty where it is.
	doubt string
}

// dish is the antenna on a band and feed.
func dishOf(c *Config, band, feed int) noise.Dish {
	b := c.Settings.Bands[band]
	return noise.Dish{
		Hz: b.MHz * 1e6, DiameterM: c.Settings.Dish.DiameterM, Efficiency: c.Settings.Dish.Efficiency,
		HalfPower: station.HalfPower(c.Settings.Dish, b.MHz, b.Feeds[feed]), SurfaceM: c.Settings.Dish.SurfaceErrorMM / 1000,
	}
}

// patternOf is the pattern of a dish, with the efficiency made to agree with the beamwidth where
// the two contradict each other, and without its surface's errors where they leave no main lobe.
func patternOf(d noise.Dish) (p *noise.Pattern, doubt string) {
	p, err := noise.NewPattern(d)
	if err == nil {
		return p, ""
	}
	doubt = err.Error()
	for d.Efficiency > 0.01 {
		d.Efficiency *= 0.97
		if p, err = noise.NewPattern(d); err == nil {
			return p, doubt
		}
		d.SurfaceM *= 0.9
	}
	return nil, doubt
}

// hears is what the antenna hears with on the band and feed in use; nil where it is no dish at all on this band.
func (t *turn) hears() *hearing {
	s, c := t.s, t.c
	h := &s.Hearing
	if *h == nil || (*h).band != s.Band || (*h).feed != s.Feed {
		pattern, doubt := patternOf(dishOf(c, s.Band, s.Feed))
		if pattern == nil {
			return nil
		}
		band := c.Settings.Bands[s.Band]
		next := &hearing{band: s.Band, feed: s.Feed, doubt: doubt}
		next.listener = budget.Listener{
			Pattern:  pattern,
			Receiver: noise.Receiver{NoiseK: band.ReceiverTemperature, LossDB: band.ReceiverLossDB},
			Place:    budget.Place{Site: c.Site(), Air: c.Air(), Horizon: c.Profile()},
		}
		next.coldK = next.listener.ColdK()
		*h = next
	}
	out := **h
	out.listener.Place.SolarFlux = t.solarFlux(out.listener.Pattern.Hz)
	return &out
}

// solarFlux is the Sun's flux for what is to be expected, W m⁻² Hz⁻¹: as a measurement takes it, or else by the solar
// cycle; 0 where neither is known.
func (t *turn) solarFlux(hz float64) float64 {
	sun, err := t.sunFlux(hz)
	if err != nil {
		sun, _ = receiver.ExpectedSun(hz, t.in.At) // 0 where none is known
	}
	return sun.Flux
}

// hearAt is what the antenna hears with its axis somewhere, with everything in the sky where it is.
func (t *turn) hearAt(d mount.Direction, at time.Time, fineness noise.Fineness) (noise.Parts, bool) {
	h := t.hears()
	if h == nil {
		return noise.Parts{}, false
	}
	scene, _, _ := budget.Around(t.c.Sky, t.c.Galaxy, h.listener.Place, h.listener.Pattern.Hz, at)
	return h.listener.Pattern.Hear(space.Direction(d.Az, d.El), scene, fineness), true
}

// systemAt is the system noise with the axis somewhere, the target in it left out where it is a disc: what a
// measurement compares with. It is 0 where it isn't known.
func (t *turn) systemAt(d mount.Direction, at time.Time) float64 {
	parts, ok := t.hearAt(d, at, noise.Fine)
	if !ok || math.IsNaN(parts.TotalK()) {
		return 0
	}
	return parts.TotalK() + t.hears().listener.Receiver.K()
}

// meritAt is the merit of an instant, for charts over days.
func (t *turn) meritAt(q echo.Question, at time.Time) float64 {
	h := t.hears()
	if h == nil {
		return math.NaN()
	}
	return budget.MeritAt(t.c.Sky, t.c.Galaxy, q, h.listener, h.coldK, worthLimits(t.c), at)
}

// heard is the system noise with the beam on the Moon, with and without the Moon's own, and that under a cold sky. It is
// worked out anew every so often: the sky turns by an eighth of a degree meanwhile.
type heard struct {
	at          time.Time
	key         passKey
	up          bool
	sunFlux     float64
	parts       NoiseParts
	skyK, coldK float64
}

const heardEvery = 30 * time.Second

// onMoon is what the antenna hears on the Moon now, or at a moment that is looked at.
func (t *turn) onMoon(q echo.Question, r echo.Report, at time.Time) heard {
	h := &t.s.Radio.Heard
	key, up, flux := passKey{t.s.Band, t.s.Feed, ""}, r.MoonEl >= t.c.Least(), t.solarFlux(q.Hz)
	if age := at.Sub(h.at); h.at.IsZero() || age < 0 || age >= heardEvery || h.key != key || h.up != up || h.sunFlux != flux {
		*h = t.hearMoon(r, at, noise.Fine)
		h.at, h.key, h.up, h.sunFlux = at, key, up, flux
	}
	return *h
}

// hearMoon works out what the antenna hears on the Moon.
func (t *turn) hearMoon(r echo.Report, at time.Time, fineness noise.Fineness) heard {
	h, nan := t.hears(), math.NaN()
	if h == nil {
		return heard{skyK: nan, coldK: nan, parts: NoiseParts{
			BehindK: r.MoonSkyK, SkyK: nan, MoonK: nan, SunK: nan, AirK: nan, GroundK: nan, ReceiverK: nan, SystemK: nan, Doubt: "the dish is too small on this band",
		}}
	}
	parts, _ := t.hearAt(mount.Direction{Az: r.Look.Az, El: r.MoonEl}, at, fineness)
	receiverK := h.listener.Receiver.K()
	return heard{
		skyK: h.listener.SkyNoiseK(t.c.Sky, t.c.Galaxy, at), coldK: h.coldK,
		parts: NoiseParts{
			BehindK: parts.BehindK, SkyK: parts.SkyK, MoonK: parts.MoonK, SunK: parts.SunK, AirK: parts.AirK, GroundK: parts.GroundK,
			ReceiverK: receiverK, SystemK: parts.TotalK() + receiverK, Doubt: h.doubt,
		},
	}
}
