package measuring

import (
	"cmp"
	"math"
	"slices"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/receiver"
	"beamhelm/app/message"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/skydip"
)

// How much more of the pattern falls on the ground lower down, beside what skydip.Believed says (common practice, no
// source).
const (
	dipGroundDoubt = 0.5 // of the share of the model's ground that is really there, which is about half
	dipMostGround  = 1.5
	dipGroundStep  = 0.05
	neperDB        = 10 / math.Ln10 // dB of a neper of power
)

// judgeDip works the figures out. The pattern beside the beam sees more ground the lower the beam is, and how much more
// the model of the antenna knows badly: every share of it is tried, and counts as far as the points bear it out.
func (w *work) judgeDip(res *DipResult, r *series, means []receiver.Mean) error {
	a := w.in.Antenna
	if a == nil {
		return message.Of("measuring.dish-small")
	}
	heard := make([]noise.Parts, len(means))
	for i := range means {
		heard[i] = a.HearAt(w.c, directionOf(r.Places[i]), w.in.At, noise.Fine)
	}
	var tried []dipTrial
	var why error
	for share := 0.0; share <= dipMostGround; share += dipGroundStep {
		q := w.dipQuestion(r, means, heard, share)
		answer, err := skydip.Fit(q)
		if err != nil {
			why = err // so much of the ground is not what the points show
			continue
		}
		off := (share - 0.5) / dipGroundDoubt
		tried = append(tried, dipTrial{q, answer, answer.Misfit + off*off})
	}
	if len(tried) == 0 {
		return why
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
func meanOfTrials(tried []dipTrial, minimum float64, of func(skydip.Answer) skydip.Value) skydip.Value {
	var weights, mean, square float64
	for _, one := range tried {
		weight, v := math.Exp((minimum-one.misfit)/2), of(one.answer)
		weights += weight
		mean += weight * v.Value
		square += weight * (v.Value*v.Value + v.Error*v.Error)
	}
	mean /= weights
	return skydip.Value{Value: mean, Error: math.Sqrt(math.Max(0, square/weights-mean*mean))}
}

// dipQuestion is what the fit is asked, with a share of the model's ground beside the beam taken out.
func (w *work) dipQuestion(r *series, means []receiver.Mean, heard []noise.Parts, share float64) skydip.Question {
	band := w.c.Settings.Bands[w.in.Band]
	k, highest := w.in.Antenna.Listener.Receiver.K(), heard[0]
	hz := band.MHz * 1e6
	air := noise.AirLossDB(hz, degrees(90)) / neperDB
	beside := 1 - highest.GroundK/noise.GroundK // the share of the pattern that sees air
	q := skydip.Believed(air, k, highest.GroundK)
	q.SkyK, q.AirK = beside*highest.BehindK, beside*noise.AirMeanK(hz)
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
	q.Warm, q.WarmK = w.warmLevel(r, means)
	return q
}

// warmLevel is the level that the ground would have, by the newest Y factor of it on this band and feed, and the noise
// that the antenna gets from it; without an error: not measured.
func (w *work) warmLevel(r *series, means []receiver.Mean) (level skydip.Value, warmK float64) {
	band, feed := w.c.Names(w.in.Band, w.in.Feed)
	for _, y := range slices.Backward(w.s.Receiver.Results) {
		switch {
		case y.Target != theGround || y.Band != band || y.Feed != feed || !(y.WarmK > 0):
			continue
		case w.in.At.Sub(y.At).Abs() > warmHolds:
			return skydip.Value{}, 0
		}
		cold := levelAt(r, means, y.ColdEl)
		f := &y.Figures
		value := cold * math.Pow(10, f.YDB/10)
		total := y.WarmK + w.in.Antenna.Listener.Receiver.K()
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
			El: r.Places[i].El, Airmass: q.Points[i].Airmass, LevelDB: neperDB * math.Log(m.Power/means[0].Power),
			ErrorDB: neperDB * q.Points[i].Error / q.Points[i].Level, FitDB: neperDB * math.Log(fit/means[0].Power),
		})
	}
	return points
}

// keepable says whether a kept sky dip can be used.
func (d *DipResult) keepable() bool {
	return !d.At.IsZero() && len(d.Points) > 1 && !math.IsNaN(d.OpacityDB.Value+d.ReceiverK.Value+d.SpillK.Value)
}
