package radio

import (
	"math"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/space"
)

// Antenna is what the antenna is on a band and feed: what is worked out once for it.
type Antenna struct {
	band, feed int
	// Listener has the Sun's flux of the moment.
	Listener budget.Listener
	coldK    float64 // its ColdK
	// Doubt says why the pattern isn't that of the settings; empty where it is.
	Doubt message.Message
}

// dish is the antenna on a band and feed.
func dishOf(c *station.Config, band, feed int) noise.Dish {
	b := c.Settings.Bands[band]
	return noise.Dish{
		Hz: b.MHz * 1e6, DiameterM: c.Settings.Dish.DiameterM, Efficiency: c.Settings.Dish.Efficiency,
		HalfPower: station.HalfPower(c.Settings.Dish, b.MHz, b.Feeds[feed]),
		SurfaceM:  c.Settings.Dish.SurfaceErrorMM / 1000,
	}
}

// patternOf is the pattern of a dish, with the efficiency made to agree with the beamwidth where
// the two contradict each other, and without its surface's errors where they leave no main lobe.
func patternOf(d noise.Dish) (p *noise.Pattern, doubt message.Message) {
	p, err := noise.NewPattern(d)
	if err == nil {
		return p, message.Message{}
	}
	doubt = message.OfError(err)
	for d.Efficiency > 0.01 {
		d.Efficiency *= 0.97
		if p, err = noise.NewPattern(d); err == nil {
			return p, doubt
		}
		d.SurfaceM *= 0.9
	}
	return nil, doubt
}

// AntennaOf is the antenna on a band and feed, with the Sun's flux there (W m⁻² Hz⁻¹; 0 where it isn't known);
// nil where
// it is no dish at all on this band.
func (s *State) AntennaOf(c *station.Config, band, feed int, sunFlux float64) *Antenna {
	if s.antenna == nil || s.antenna.band != band || s.antenna.feed != feed {
		pattern, doubt := patternOf(dishOf(c, band, feed))
		if pattern == nil {
			return nil
		}
		b := &c.Settings.Bands[band]
		next := &Antenna{band: band, feed: feed, Doubt: doubt}
		next.Listener = budget.Listener{
			Pattern:  pattern,
			Receiver: noise.Receiver{NoiseK: b.ReceiverTemperature, LossDB: b.ReceiverLossDB},
			Place:    budget.Place{Site: c.Site(), Air: c.Air(), Horizon: c.Profile()},
		}
		next.coldK = next.Listener.ColdK()
		s.antenna = next
	}
	out := *s.antenna
	out.Listener.Place.SolarFlux = sunFlux
	return &out
}

// hears is what the antenna hears with on the band and feed in use.
func (w *work) hears() *Antenna { return w.s.AntennaOf(w.c, w.in.Band, w.in.Feed, w.in.SunFlux) }

// HearAt is what the antenna hears with its axis somewhere, with everything in the sky where it is.
func (a *Antenna) HearAt(c *station.Config, d mount.SkyDirection, at time.Time, fineness noise.Fineness) noise.Parts {
	scene, _, _ := budget.Around(c.Sky, c.Galaxy, a.Listener.Place, a.Listener.Pattern.Hz, at)
	return a.Listener.Pattern.Hear(space.Direction(d.Az, d.El), scene, fineness)
}

// SystemK is the system noise with the axis somewhere, the target in it left out where it is a disc: what a
// measurement compares with. It is 0 where it isn't known, and for no antenna.
func (a *Antenna) SystemK(c *station.Config, d mount.SkyDirection, at time.Time) float64 {
	if a == nil {
		return 0
	}
	parts := a.HearAt(c, d, at, noise.Fine)
	if math.IsNaN(parts.TotalK()) {
		return 0
	}
	return parts.TotalK() + a.Listener.Receiver.K()
}

// worthAt is what an instant is worth, for charts over days.
func (w *work) worthAt(q echo.Question, at time.Time) budget.Worth {
	h := w.hears()
	if h == nil {
		return budget.Worth{Merit: math.NaN(), PathDB: math.NaN(), NoiseDB: math.NaN()}
	}
	return budget.WorthAt(w.c.Sky, w.c.Galaxy, q, h.Listener, h.coldK, worthLimits(w.c), at)
}

// heard is the system noise with the beam on the Moon, with and without the Moon's own, and that under a cold
// sky. It is
// worked out again every so often: the sky turns by an eighth of a degree meanwhile.
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
func (w *work) onMoon(q echo.Question, r echo.Report, at time.Time) heard {
	h := &w.s.heard
	key, up, flux := passKey{w.in.Band, w.in.Feed, ""}, r.MoonEl >= w.c.Min(), w.in.SunFlux
	if age := at.Sub(h.at); h.at.IsZero() || age < 0 || age >= heardEvery || h.key != key || h.up != up ||
		h.sunFlux != flux {
		*h = w.hearMoon(r, at, noise.Fine)
		h.at, h.key, h.up, h.sunFlux = at, key, up, flux
	}
	return *h
}

// hearMoon works out what the antenna hears on the Moon.
func (w *work) hearMoon(r echo.Report, at time.Time, fineness noise.Fineness) heard {
	h, nan := w.hears(), math.NaN()
	if h == nil {
		return heard{skyK: nan, coldK: nan, parts: NoiseParts{
			BehindK:   r.MoonSkyK,
			SkyK:      nan,
			MoonK:     nan,
			SunK:      nan,
			AirK:      nan,
			GroundK:   nan,
			ReceiverK: nan,
			SystemK:   nan,
			Doubt:     message.Of("measuring.dish-small"),
		}}
	}
	parts := h.HearAt(w.c, mount.SkyDirection{Az: r.Look.Az, El: r.MoonEl}, at, fineness)
	receiverK := h.Listener.Receiver.K()
	return heard{
		skyK: h.Listener.SkyNoiseK(w.c.Sky, w.c.Galaxy, at), coldK: h.coldK,
		parts: NoiseParts{
			BehindK:   parts.BehindK,
			SkyK:      parts.SkyK,
			MoonK:     parts.MoonK,
			SunK:      parts.SunK,
			AirK:      parts.AirK,
			GroundK:   parts.GroundK,
			ReceiverK: receiverK, SystemK: parts.TotalK() + receiverK, Doubt: h.Doubt,
		},
	}
}
