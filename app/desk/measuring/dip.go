package measuring

import (
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/skydip"
)

// Dip is the sky dip: what one would do, and what came of earlier ones.
type Dip struct {
	// Plan is what a dip would do, worked out when it was asked for; nil before that.
	Plan *DipPlan
	// Last is the newest result, nil for none; Before those kept, newest last. They are not changed once published.
	Last   *DipResult
	Before []DipResult
}

// DipPlan says beforehand what a sky dip will do.
type DipPlan struct {
	At time.Time
	// Az is the azimuth, over the cable wrap; Chosen by the operator.
	Az     unit.Angle
	Chosen bool
	// Els are the elevations from the highest to the lowest; each but the lowest is visited once more on the way back.
	Els   []unit.Angle
	Stops int
	Lasts time.Duration
	// GalaxyK is by how much the sky itself differs between them, as far as is known.
	GalaxyK float64
	// Why says why there can't be one; nothing where it can.
	Why message.Message
}

// DipResult is what a sky dip came to: a noise horizon at an azimuth, and what follows from it.
type DipResult struct {
	At     time.Time  `json:"at"`
	Band   string     `json:"band"`
	Feed   string     `json:"feed"`
	Az     unit.Angle `json:"azimuth_rad"` // in the sky
	Points []DipPoint `json:"points"`      // from the highest down
	// OpacityDB is the air's loss at the zenith. ReceiverK has the loss before the receiver in it, SpillK is what the
	// pattern beside the beam gets from the ground at the highest elevation.
	OpacityDB skydip.Value `json:"opacity_db"`
	ReceiverK skydip.Value `json:"receiver_k"`
	SpillK    skydip.Value `json:"spill_k"`
	// What was believed before.
	ExpectedOpacityDB float64 `json:"expected_opacity_db"`
	ExpectedReceiverK float64 `json:"expected_receiver_k"`
	ExpectedSpillK    float64 `json:"expected_spill_k"`
	// ChiSquare by degree of freedom.
	ChiSquare float64 `json:"chi_square"`
	// Warm says that a Y factor of the ground sets the scale.
	Warm bool            `json:"warm"`
	Why  message.Message `json:"why,omitzero"`
}

// DipPoint is the level at an elevation, relative to the highest.
type DipPoint struct {
	El      unit.Angle `json:"elevation_rad"`
	Airmass float64    `json:"airmass"`
	LevelDB float64    `json:"level_db"`
	ErrorDB float64    `json:"error_db"`
	FitDB   float64    `json:"fit_db"` // what the fit makes of it
}

// The shape of a sky dip.
const (
	dipStops    = 8
	dipHighest  = 80 // degrees of elevation
	dipLowest   = 10 // below it the air is no plane any more
	dipAirmass  = 3  // at the lowest elevation, at least
	dipClear    = 2  // beamwidths over the horizon
	dipSunMoon  = 20 // degrees that the beam keeps from Sun and Moon
	dipEvery    = 10 // degrees between the azimuths that are tried
	maxDips     = 200
	warmHolds   = 12 * time.Hour // of a Y factor of the ground
	dipOverhead = 4 * time.Second
)

// dip tells what a sky dip would do at an azimuth, NaN for the best one; on begins it.
func (w *work) dip(az unit.Angle, on bool) {
	s := w.s
	plan := w.dipPlan(az)
	s.Receiver.DipPlan = &plan
	if !on {
		return
	}
	w.pressed()
	why := w.busy()
	switch {
	case why.Code != "":
	case s.Rounds.Running:
		why = message.Of("measuring.survey-runs")
	case w.in.Armed:
		why = message.Of("measuring.armed")
	case !pointing.Referenced(w.in.Loop):
		why = message.Of("desk.not-referenced")
	case !w.heard():
		why = message.Of("measuring.no-level-now")
	default:
		if why = w.mayNotMove(); why.Code == "" {
			why = plan.Why
		}
	}
	if why.Code != "" {
		w.say(alarm.Warning, "dip.none", why)
		return
	}
	run := &series{Kind: dipSeries, Band: w.in.Band, Feed: w.in.Feed, Begun: w.in.Now, At: w.in.Now, Was: w.in.Outputs}
	for _, el := range plan.Els {
		run.Places = append(run.Places, mount.AxisAngles{Az: plan.Az, El: el})
	}
	for i := len(plan.Els) - 2; i >= 0; i-- {
		run.Places = append(run.Places, run.Places[i])
	}
	s.Receiver.Series = run
	w.say(alarm.Normal, "dip.begun", plan.Az.Mod1(), plan.Els[len(plan.Els)-1])
	w.ask(Slew{To: run.Places[0], First: true})
}

// dipPlan works out what a sky dip would do.
func (w *work) dipPlan(az unit.Angle) DipPlan {
	plan := DipPlan{At: w.in.At, Az: az, Chosen: !math.IsNaN(az.Rad())}
	if w.in.Antenna == nil {
		plan.Why = message.Of("measuring.dish-small")
		return plan
	}
	if plan.Chosen {
		plan.Why = w.dipAt(&plan, az)
		return plan
	}
	best := DipPlan{Why: message.Of("dip.no-azimuth")}
	for deg := 0; deg < 360; deg += dipEvery {
		try := plan
		if w.dipAt(&try, degrees(float64(deg))).Code != "" {
			continue
		}
		if best.Why.Code != "" || try.GalaxyK < best.GalaxyK {
			best = try
		}
	}
	best.At = plan.At
	return best
}

// dipAt fills in a plan for an azimuth in the sky; why says why there is none.
func (w *work) dipAt(plan *DipPlan, az unit.Angle) (why message.Message) {
	c, here := w.c, pointing.AxesOf(w.in.Loop)
	wrapped, ok := pointing.OnWrap(az, here.Az, c.Drive.Axes[mount.Azimuth].Limits)
	if !ok {
		return message.Of("dip.azimuth-outside")
	}
	plan.Az = wrapped
	beam := c.Beamwidth(w.in.Band, w.in.Feed)
	ground := -c.OverHorizon(mount.AxisAngles{Az: wrapped})
	for _, side := range [...]float64{-dipClear, dipClear} {
		ground = max(ground, -c.OverHorizon(mount.AxisAngles{Az: wrapped + beam.Mul(side)}))
	}
	low := max(degrees(dipLowest), c.Min(), c.Over(wrapped), ground+beam.Mul(dipClear))
	high := min(degrees(dipHighest), c.Drive.Axes[mount.Elevation].Limits.SoftHigh-degrees(1))
	if skydip.Airmass(low.Deg()) < dipAirmass {
		return message.Of("dip.not-lower", low)
	}
	plan.Els = dipElevations(high, low)
	for _, el := range plan.Els {
		place := mount.AxisAngles{Az: wrapped, El: el}
		switch {
		case !c.Allowed(place):
			return message.Of("dip.elevation-outside", el)
		case c.NearSunOrMoon(directionOf(place), degrees(dipSunMoon), w.in.At):
			return message.Of("dip.sun-or-moon")
		}
		if why := w.in.Beam.Refused(place); why.Code != "" {
			return why
		}
	}
	plan.Stops = 2*len(plan.Els) - 1
	way := mount.AxisAngles{Az: here.Az, El: here.El + high - low}
	plan.Lasts = w.in.Beam.Lasts(mount.AxisAngles{Az: wrapped, El: high}) + 2*w.in.Beam.Lasts(way) +
		time.Duration(plan.Stops)*(compareLasts+receiverSettles+dipOverhead)
	plan.GalaxyK = w.unevenSky(plan)
	return message.Message{}
}

// dipElevations are evenly spaced in airmass, from the highest down.
func dipElevations(high, low unit.Angle) (els []unit.Angle) {
	from, to := skydip.Airmass(high.Deg()), skydip.Airmass(low.Deg())
	for i := range dipStops {
		airmass := from + (to-from)*float64(i)/(dipStops-1)
		els = append(els, unit.Angle(math.Asin(1/airmass)))
	}
	return els
}

// unevenSky is by how much the sky's part of the noise differs between the elevations of a plan.
func (w *work) unevenSky(plan *DipPlan) float64 {
	minimum, maximum := math.Inf(1), 0.0
	for _, el := range plan.Els {
		parts := w.in.Antenna.HearAt(w.c, directionOf(mount.AxisAngles{Az: plan.Az, El: el}), w.in.At, noise.Coarse)
		of := parts.BehindK + parts.MoonK + parts.SunK
		minimum, maximum = min(minimum, of), max(maximum, of)
	}
	return maximum - minimum
}

// finishDip fits what was measured, and keeps it.
func (w *work) finishDip(r *series) {
	s := w.s
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	res := &DipResult{At: w.in.At, Band: band, Feed: feed, Az: r.Places[0].Az.Mod1()}
	means, err := receiver.ThereAndBack(r.Stops, r.Middles)
	if err == nil {
		err = w.judgeDip(res, r, means)
	}
	s.Receiver.Series = nil
	s.Receiver.DipLast = res
	if err != nil {
		res.Why = message.OfError(err)
		w.say(alarm.Warning, "dip.unusable", res.Why)
		return
	}
	s.Receiver.Dips = append(slices.Clone(s.Receiver.Dips), *res)
	if over := len(s.Receiver.Dips) - maxDips; over > 0 {
		s.Receiver.Dips = s.Receiver.Dips[over:]
	}
	w.say(
		alarm.Normal,
		"dip.done",
		res.Az,
		res.OpacityDB.Value,
		res.OpacityDB.Error,
		res.ReceiverK.Value,
		res.ReceiverK.Error,
		res.SpillK.Value,
		res.SpillK.Error,
	)
}
