package desk

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/receiver"
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
	// Why says why there can't be one; empty where it can.
	Why string
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
	Warm bool   `json:"warm"`
	Why  string `json:"why,omitempty"`
}

// DipPoint is the level at an elevation, relative to the highest.
type DipPoint struct {
	El      unit.Angle `json:"elevation_rad"`
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
	mostDips    = 200
	warmHolds   = 12 * time.Hour // of a Y factor of the ground
	dipOverhead = 4 * time.Second
)

// dip tells what a sky dip would do at an azimuth, NaN for the best one; on begins it.
func (t *turn) dip(az unit.Angle, on bool) {
	s := t.s
	plan := t.dipPlan(az)
	s.Receiver.DipPlan = &plan
	if !on {
		return
	}
	s.NudgeAt = t.in.Now
	why := t.busy()
	switch {
	case why != "":
	case s.Rounds.Running:
		why = "an automatic survey is running"
	case s.Armed.Has && !s.Armed.Question:
		why = "a pass is armed"
	case !t.trusted():
		why = "the axes are not referenced; set the reference first"
	case !t.heard():
		why = "there is no usable level now"
	default:
		if why = t.mayNotMove(); why == "" {
			why = plan.Why
		}
	}
	if why != "" {
		t.say(Warning, "No sky dip: %s", why)
		return
	}
	run := &series{Kind: dipSeries, Band: s.Band, Feed: s.Feed, At: t.in.Now, Was: s.Outputs}
	for _, el := range plan.Els {
		run.Places = append(run.Places, mount.Direction{Az: plan.Az, El: el})
	}
	for i := len(plan.Els) - 2; i >= 0; i-- {
		run.Places = append(run.Places, run.Places[i])
	}
	s.Receiver.Series = run
	t.say(Normal, "Sky dip at azimuth %.0f°: the dish goes down to %.0f° and back up", plan.Az.Mod1().Deg(),
		plan.Els[len(plan.Els)-1].Deg())
	t.start(slewAim, run.Places[0])
}

// dipPlan works out what a sky dip would do.
func (t *turn) dipPlan(az unit.Angle) DipPlan {
	plan := DipPlan{At: t.in.At, Az: az, Chosen: !math.IsNaN(az.Rad())}
	if t.antenna() == nil {
		plan.Why = "the dish is too small on this band"
		return plan
	}
	if plan.Chosen {
		plan.Why = t.dipAt(&plan, az)
		return plan
	}
	best := DipPlan{Why: "no azimuth has a free horizon, away from Sun and Moon"}
	for deg := 0; deg < 360; deg += dipEvery {
		try := plan
		if t.dipAt(&try, degrees(float64(deg))) != "" {
			continue
		}
		if best.Why != "" || try.GalaxyK < best.GalaxyK {
			best = try
		}
	}
	best.At = plan.At
	return best
}

// dipAt fills in a plan for an azimuth in the sky; why says why there is none.
func (t *turn) dipAt(plan *DipPlan, az unit.Angle) (why string) {
	c, here := t.c, axesOf(t.in.Loop)
	wrapped, ok := pointing.OnWrap(az, here.Az, c.Drive.Axes[mount.Azimuth].Limits)
	if !ok {
		return "the azimuth is outside the limits"
	}
	plan.Az = wrapped
	beam := c.Beamwidth(t.s.Band, t.s.Feed)
	ground := -c.OverHorizon(mount.Direction{Az: wrapped})
	for _, side := range [...]float64{-dipClear, dipClear} {
		ground = max(ground, -c.OverHorizon(mount.Direction{Az: wrapped + beam.Mul(side)}))
	}
	low := max(degrees(dipLowest), c.Least(), c.Over(wrapped), ground+beam.Mul(dipClear))
	high := min(degrees(dipHighest), c.Drive.Axes[mount.Elevation].Limits.SoftHigh-degrees(1))
	if skydip.Airmass(low.Deg()) < dipAirmass {
		return fmt.Sprintf("it could not go lower than %.0f° there", low.Deg())
	}
	plan.Els = dipElevations(high, low)
	for _, el := range plan.Els {
		place := mount.Direction{Az: wrapped, El: el}
		switch {
		case !c.Allowed(place):
			return fmt.Sprintf("elevation %.0f° is outside the limits there", el.Deg())
		case c.NearSunOrMoon(t.directionOf(place), degrees(dipSunMoon), t.in.At):
			return "the Sun or the Moon is too near"
		}
		if why := t.beam().Refused(place); why != "" {
			return why
		}
	}
	plan.Stops = 2*len(plan.Els) - 1
	way := mount.Direction{Az: here.Az, El: here.El + high - low}
	plan.Lasts = t.beam().Lasts(mount.Direction{Az: wrapped, El: high}) + 2*t.beam().Lasts(way) +
		time.Duration(plan.Stops)*(compareLasts+receiverSettles+dipOverhead)
	plan.GalaxyK = t.unevenSky(plan)
	return ""
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
func (t *turn) unevenSky(plan *DipPlan) float64 {
	least, most := math.Inf(1), 0.0
	for _, el := range plan.Els {
		parts := t.antenna().HearAt(t.c, mount.Direction{Az: plan.Az.Mod1(), El: el}, t.in.At, noise.Coarse)
		of := parts.BehindK + parts.MoonK + parts.SunK
		least, most = min(least, of), max(most, of)
	}
	return most - least
}

// finishDip fits what was measured, and keeps it.
func (t *turn) finishDip(r *series) {
	s := t.s
	band, feed := t.c.Names(s.Band, s.Feed)
	res := &DipResult{At: t.in.At, Band: band, Feed: feed, Az: r.Places[0].Az.Mod1()}
	means, err := receiver.ThereAndBack(r.Stops, r.Middles)
	if err == nil {
		err = t.judgeDip(res, r, means)
	}
	s.Receiver.Series = nil
	s.Receiver.DipLast = res
	if err != nil {
		res.Why = err.Error()
		t.say(Warning, "The sky dip is unusable: %s", res.Why)
		return
	}
	s.Receiver.Dips = append(slices.Clone(s.Receiver.Dips), *res)
	if over := len(s.Receiver.Dips) - mostDips; over > 0 {
		s.Receiver.Dips = s.Receiver.Dips[over:]
	}
	t.say(Normal, "Sky dip at azimuth %.0f°: opacity %.3f ±%.3f dB, receiver %.0f ±%.0f K, spillover %.0f ±%.0f K", res.Az.Deg(),
		res.OpacityDB.Value, res.OpacityDB.Error, res.ReceiverK.Value, res.ReceiverK.Error, res.SpillK.Value, res.SpillK.Error)
}

// What is believed beforehand, and how well (common practice, no source): the air of the day, the receiver of the
// settings, how much of the pattern falls on the ground, and how much more of it lower down.
const (
	dipOpacityShare  = 0.4
	dipReceiverShare = 0.15
	dipSpillShare    = 0.5
	dipGroundDoubt   = 0.5 // of the share of the model's ground that is really there, which is about half
	dipMostGround    = 1.5
	dipGroundStep    = 0.05
	neperDB          = 10 / math.Ln10 // dB of a neper of power
)

// judgeDip works the figures out. The pattern beside the beam sees more ground the lower the beam is, and how much more
// the model of the antenna knows badly: every share of it is tried, and counts as far as the points bear it out.
func (t *turn) judgeDip(res *DipResult, r *series, means []receiver.Mean) error {
	a := t.antenna()
	if a == nil {
		return errors.New("the dish is too small on this band")
	}
	heard := make([]noise.Parts, len(means))
	for i := range means {
		heard[i] = a.HearAt(t.c, t.directionOf(r.Places[i]), t.in.At, noise.Fine)
	}
	var tried []dipTrial
	for share := 0.0; share <= dipMostGround; share += dipGroundStep {
		q := t.dipQuestion(r, means, heard, share)
		answer, err := skydip.Fit(q)
		if err != nil {
			return err
		}
		off := (share - 0.5) / dipGroundDoubt
		tried = append(tried, dipTrial{q, answer, answer.Misfit + off*off})
	}
	best := slices.MinFunc(tried, func(a, b dipTrial) int { return cmp.Compare(a.misfit, b.misfit) })
	res.Points = dipPoints(r, means, best.q, best.answer)
	res.Warm, res.ChiSquare = best.q.Warm.Error > 0, best.answer.ChiSquare
	res.ExpectedOpacityDB = neperDB * best.q.Opacity.Value
	res.ExpectedReceiverK, res.ExpectedSpillK = best.q.ReceiverK.Value, best.q.SpillK.Value
	mean := func(of func(skydip.Answer) skydip.Value) skydip.Value { return meanOfTrials(tried, best.misfit, of) }
	opacity := mean(func(a skydip.Answer) skydip.Value { return a.Opacity })
	res.OpacityDB = skydip.Value{Value: neperDB * opacity.Value, Error: neperDB * opacity.Error}
	res.ReceiverK = mean(func(a skydip.Answer) skydip.Value { return a.ReceiverK })
	res.SpillK = mean(func(a skydip.Answer) skydip.Value { return a.SpillK })
	return nil
}

// dipTrial is a fit with one share of the model's ground; misfit is chi-square with what is believed of the share.
type dipTrial struct {
	q      skydip.Question
	answer skydip.Answer
	misfit float64
}

// meanOfTrials is the mean of a figure over all trials, each as likely as its misfit makes it; its error has what they
// differ by.
func meanOfTrials(tried []dipTrial, least float64, of func(skydip.Answer) skydip.Value) skydip.Value {
	var weights, mean, square float64
	for _, one := range tried {
		weight, v := math.Exp((least-one.misfit)/2), of(one.answer)
		weights += weight
		mean += weight * v.Value
		square += weight * (v.Value*v.Value + v.Error*v.Error)
	}
	mean /= weights
	return skydip.Value{Value: mean, Error: math.Sqrt(math.Max(0, square/weights-mean*mean))}
}

// dipQuestion is what the fit is asked, with a share of the model's ground beside the beam taken out.
func (t *turn) dipQuestion(r *series, means []receiver.Mean, heard []noise.Parts, share float64) skydip.Question {
	band := t.c.Settings.Bands[t.s.Band]
	k, highest := t.antenna().Listener.Receiver.K(), heard[0]
	hz := band.MHz * 1e6
	air := noise.AirLossDB(hz, degrees(90)) / neperDB
	beside := 1 - highest.GroundK/noise.GroundK // the share of the pattern that sees air
	q := skydip.Question{
		SkyK: beside * highest.BehindK, AirK: beside * noise.AirMeanK(hz), Opacity: skydip.Value{Value: air, Error: dipOpacityShare * air},
		ReceiverK: skydip.Value{Value: k, Error: dipReceiverShare * k},
		SpillK:    skydip.Value{Value: highest.GroundK, Error: dipSpillShare * highest.GroundK},
	}
	apart := func(p noise.Parts) float64 { // of the sky beside air: galaxy, Sun, Moon
		return beside*(p.BehindK-highest.BehindK) + p.SunK + p.MoonK - highest.SunK - highest.MoonK
	}
	for i, m := range means {
		total := heard[i].TotalK() + k
		uneven := apart(heard[i]) + share*(heard[i].GroundK-highest.GroundK)
		q.Points = append(q.Points, skydip.Point{
			Airmass: skydip.Airmass(r.Places[i].El.Deg()), Level: m.Power * (1 - uneven/total),
			Error: m.Power * math.Hypot(m.Error, 0.5*apart(heard[i])/total),
		})
	}
	q.Warm, q.WarmK = t.warmLevel(r, means)
	return q
}

// warmLevel is the level that the ground would have, by the newest Y factor of it on this band and feed, and the noise
// that the antenna gets from it; without an error: not measured.
func (t *turn) warmLevel(r *series, means []receiver.Mean) (level skydip.Value, warmK float64) {
	band, feed := t.c.Names(t.s.Band, t.s.Feed)
	for _, y := range slices.Backward(t.s.Receiver.Results) {
		switch {
		case y.Target != theGround || y.Band != band || y.Feed != feed || !(y.WarmK > 0):
			continue
		case t.in.At.Sub(y.At).Abs() > warmHolds:
			return skydip.Value{}, 0
		}
		cold := levelAt(r, means, y.ColdEl)
		f := &y.Figures
		value := cold * math.Pow(10, f.YDB/10)
		total := y.WarmK + t.antenna().Listener.Receiver.K()
		share := math.Hypot(f.YErrorDB/neperDB, math.Hypot(groundErrorK, groundShare*y.WarmK)/total)
		return skydip.Value{Value: value, Error: share * value}, y.WarmK
	}
	return skydip.Value{}, 0
}

// levelAt is the level measured about an elevation: that of the nearest airmass.
func levelAt(r *series, means []receiver.Mean, el unit.Angle) float64 {
	nearest, level := math.Inf(1), 0.0
	for i, m := range means {
		if off := math.Abs(skydip.Airmass(r.Places[i].El.Deg()) - skydip.Airmass(el.Deg())); off < nearest {
			nearest, level = off, m.Power
		}
	}
	return level
}

// dipPoints are the levels as measured, relative to the highest, with what the fit makes of them.
func dipPoints(r *series, means []receiver.Mean, q skydip.Question, a skydip.Answer) (points []DipPoint) {
	for i, m := range means {
		fit := a.Level(q, q.Points[i].Airmass) * m.Power / q.Points[i].Level // with what was taken out of the level
		points = append(points, DipPoint{
			El: r.Places[i].El, LevelDB: neperDB * math.Log(m.Power/means[0].Power),
			ErrorDB: neperDB * q.Points[i].Error / q.Points[i].Level, FitDB: neperDB * math.Log(fit/means[0].Power),
		})
	}
	return points
}

// keepable says whether a kept sky dip can be used.
func (d *DipResult) keepable() bool {
	return !d.At.IsZero() && len(d.Points) > 1 && !math.IsNaN(d.OpacityDB.Value+d.ReceiverK.Value+d.SpillK.Value)
}
