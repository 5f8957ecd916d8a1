// Package echo follows radio signals by way of the Moon: delay, Doppler, loss,
// spread and polarisation, and where to tune.
//
// Formulas hold for frequencies and distances of free space. Left out: the
// atmosphere and the ionosphere, and Faraday rotation below about 2 GHz.
package echo

import (
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/space"
)

const (
	lightMps = 299_792_458.0
	lightKmS = lightMps / 1000
)

// Path is the way of a signal from a sender to the Moon's centre and on to a receiver.
type Path struct {
	Sent, Bounced, Received time.Time
	// UpKm and DownKm are the lengths of the two legs, along which the signal travels.
	UpKm, DownKm float64
	// Up is the frequency at the Moon over that sent, Down the frequency received
	// over that at the Moon.
	Up, Down float64
}

// PathTo returns the path of a signal that is received at an instant.
//
// Each leg is taken between where its ends are when the signal leaves and
// arrives: the receiver at reception, the Moon at the bounce, the sender at
// sending. The Doppler effect is exact to the first order of each leg; what remains,
// the difference of the two clocks, is under 1e-12 (0.03 Hz at 24 GHz), since
// clocks at rest on the Earth keep the same time.
func PathTo(sky *ephem.Sky, sender, receiver ephem.Site, received time.Time) Path {
	p := Path{Received: received}
	here, hereRate := sky.SiteAt(receiver, received)
	var moon, moonRate, there, thereRate space.Vector
	p.DownKm = settle(func(lateS float64) space.Vector {
		p.Bounced = earlier(received, lateS)
		moon, moonRate = sky.MoonAt(p.Bounced)
		return moon.Minus(here)
	})
	p.UpKm = settle(func(lateS float64) space.Vector {
		p.Sent = earlier(p.Bounced, lateS)
		there, thereRate = sky.SiteAt(sender, p.Sent)
		return moon.Minus(there)
	})
	up, down := moon.Minus(there).Unit(), moon.Minus(here).Unit()
	p.Up = (1 - up.Dot(moonRate)/lightKmS) / (1 - up.Dot(thereRate)/lightKmS)
	p.Down = (1 + down.Dot(hereRate)/lightKmS) / (1 + down.Dot(moonRate)/lightKmS)
	return p
}

// PathFrom returns the path of a signal that is sent at an instant.
func PathFrom(sky *ephem.Sky, sender, receiver ephem.Site, sent time.Time) Path {
	// The path to the instant of reception, which is found from the delay.
	received := sent
	p := Path{}
	for range 3 {
		p = PathTo(sky, sender, receiver, received)
		received = received.Add(sent.Sub(p.Sent))
	}
	return p
}

// settle returns the length in km of a leg, one end of which moves while the
// signal travels: leg is given the seconds under way.
func settle(leg func(lateS float64) space.Vector) (lengthKm float64) {
	for range 4 { // each round gains five digits
		lengthKm = leg(lengthKm / lightKmS).Length()
	}
	return lengthKm
}

func earlier(at time.Time, seconds float64) time.Time {
	return at.Add(-time.Duration(seconds * 1e9))
}

// DelayS is the time under way, seconds.
func (p Path) DelayS() float64 { return (p.UpKm + p.DownKm) / lightKmS }

// DopplerHz is the frequency received minus that sent.
func (p Path) DopplerHz(sentHz float64) float64 { return sentHz * (p.Up*p.Down - 1) }

// DriftHzPerS is how fast the Doppler of an own or mutual signal changes at an
// instant of reception.
func DriftHzPerS(sky *ephem.Sky, sender, receiver ephem.Site, sentHz float64, received time.Time) float64 {
	const half = 5 * time.Second
	before := PathTo(sky, sender, receiver, received.Add(-half)).DopplerHz(sentHz)
	later := PathTo(sky, sender, receiver, received.Add(half)).DopplerHz(sentHz)
	return (later - before) / (2 * half.Seconds())
}

// FirstS is the time under way of the echo's first arrival, from the Moon's near face, seconds: by twice the Moon's
// radius sooner than from its centre.
func (p Path) FirstS() float64 { return p.DelayS() - 2*moonRadiusM/lightMps }
