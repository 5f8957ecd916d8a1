package desk

import (
	"math"
	"time"

	"beamhelm/app/desk/pointing"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// tolerate tells the loop how closely to follow: an angle of each axis from
// the beamwidth, wider in azimuth the higher the beam looks.
func (t *work) tolerate() {
	s, c := t.s, t.c
	if s.Tolerated != 0 && t.in.Now-s.Tolerated < 10*time.Second {
		return
	}
	s.Tolerated = t.in.Now
	half := c.Beamwidth(s.Band, s.Feed)
	angle := half.Mul(c.Settings.Tracking.ToleranceBeamwidths)
	el := t.in.Loop.Axes[mount.Elevation].Position.Rad()
	wide := angle.Div(max(0.1, math.Cos(el)))
	t.ask(step.ToleranceTo{
		Axes:     mount.AxisAngles{Az: min(wide, degrees(9)), El: min(angle, degrees(9))},
		OffLimit: half.Mul(c.Settings.Permit.OffTargetBeamwidths),
	})
}

// slow sends band, feed turn and outputs once the enclosure answers.
func (t *work) slow() {
	s := t.s
	if s.SentSlow || t.in.Loop.Link.State != step.LinkGood {
		return
	}
	s.SentSlow, s.OutputsAt = true, t.in.Now
	band := t.c.Settings.Bands[s.Band]
	t.ask(step.BandTo{Band: band.LinkBand})
	t.ask(step.FeedTo{Angle: degrees(band.Feeds[s.Feed].TurnDeg)})
	t.ask(step.OutputsTo{Outputs: s.Outputs})
}

// holdEvery is how often the larger tolerance is sent again: it widens with the elevation.
const holdEvery = 10 * time.Second

// holdWhileReceiving keeps the motors still in the receive periods, where that is set: then the beam may drift as
// far as
// the second limit. A peak or the like needs them at all times.
func (t *work) holdWhileReceiving() {
	s, c := t.s, t.c
	p := s.Radio.Period(t.in.At)
	on := c.Settings.Tracking.OnlyInOurPeriods && p.On && !p.Ours &&
		s.Aim == trackAim && t.busy().Code == "" && s.Excursion == (pointing.Excursion{})
	if on == s.HeldWhileReceiving && (!on || t.in.Now-s.HeldWhileReceivingAt < holdEvery) {
		return
	}
	s.HeldWhileReceiving, s.HeldWhileReceivingAt = on, t.in.Now
	angle := c.Beamwidth(s.Band, s.Feed).Mul(c.Settings.Tracking.SecondLimitBeamwidths)
	wide := angle.Div(max(0.1, math.Cos(t.in.Loop.Axes[mount.Elevation].Position.Rad())))
	t.ask(step.Quiet{On: on, Axes: mount.AxisAngles{Az: min(wide, degrees(9)), El: min(angle, degrees(9))}})
}
