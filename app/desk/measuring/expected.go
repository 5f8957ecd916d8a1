package measuring

import (
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/noise"
)

// receivable is what should be measured on a target.
type receivable struct {
	at         time.Time
	choice     station.Target
	band, feed int
	reports    int
	confirmed  time.Time
	figures    receiver.Figures
	why        message.Message
}

// expectEvery is how often it is worked out again.
const expectEvery = 30 * time.Second

// fluxFrom says where a flux is from.
type fluxFrom struct{ name, doubt message.Message }

// receiverQuestion is what a Y factor on the target would be judged by; why says why it can't be.
func (w *work) receiverQuestion() (q receiver.Question, of fluxFrom, why message.Message) {
	c, at := w.c, w.in.At
	d, look, ok := c.Place(w.in.Target, at)
	q = receiver.Question{
		Hz:        c.Settings.Bands[w.in.Band].MHz * 1e6,
		HalfPower: c.Beamwidth(w.in.Band, w.in.Feed),
		Disc:      look.Diameter,
		El:        d.El,
	}
	h := w.in.Antenna
	switch {
	case !ok || w.in.Target.Kind == station.Fixed || w.in.Target.Kind == station.Radec:
		return q, of, message.Of("expected.no-flux")
	case h == nil:
		return q, of, message.Of("measuring.dish-small")
	}
	q.GainDB = h.Listener.Pattern.GainDBI()
	beside := d
	if side, blocked := w.in.Beam.Colder(q.HalfPower.Mul(max(minAside,
		c.Settings.Tracking.OffSourceBeamwidths))); blocked.Code == "" {
		beside = d.Shift(pointing.Sideways(d, side))
	}
	if q.SystemK = h.SystemK(c, beside, at); q.SystemK == 0 {
		return q, of, message.Of("expected.no-air")
	}
	var err error
	switch w.in.Target.Kind {
	case station.Sun:
		var sun receiver.SunFlux
		sun, err = w.s.sunFlux(q.Hz, at)
		q.Flux, q.FluxShare, of = sun.Flux, sun.Share, fluxFrom{sun.From, sun.Doubt}
	case station.Moon:
		of.name = message.Of("flux.moon")
		q.Flux, q.FluxShare = noise.DiscFlux(
			q.Hz,
			noise.MoonK(q.Hz, budget.Phase(c.Sky, at))-c.SkyK(d, at, q.HalfPower, q.Hz),
			look.Diameter,
		), moonShare
	case station.Source:
		of.name = message.Of("flux.catalogue")
		var jansky float64
		jansky, q.FluxShare, err = noise.SourceFlux(w.in.Target.Name, q.Hz, at)
		q.Flux = jansky * noise.Jansky
	}
	if err != nil {
		return q, of, message.OfError(err)
	}
	if q.Flux <= 0 {
		return q, of, message.Of("expected.no-brighter")
	}
	return q, of, message.Message{}
}

// moonShare is the share of error of the Moon's temperature (from memory).
const moonShare = 0.05

// receivable is what should be measured on the target now.
func (w *work) receivable() receivable {
	s, at := w.s, w.in.At
	e, reports, confirmed := &s.Receiver.expected, len(s.Receiver.Reports), s.Receiver.Confirmed
	if age := at.Sub(e.at); age >= 0 && age < expectEvery && e.choice == w.in.Target && e.band == w.in.Band &&
		e.feed == w.in.Feed &&
		e.reports == reports &&
		e.confirmed == confirmed {
		return *e
	}
	*e = receivable{
		at: at, choice: w.in.Target, band: w.in.Band, feed: w.in.Feed, reports: reports, confirmed: confirmed,
	}
	q, _, why := w.receiverQuestion()
	switch {
	case why.Code != "":
		e.why = why
	case q.El < w.c.Min():
		e.why = message.Of("expected.down")
	default:
		e.figures = receiver.Expected(q)
	}
	return *e
}
