package echo

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/ephem"
)

// Convention says who takes the Doppler out.
type Convention uint8

// The conventions. The agreed frequency is the one spoken of between the stations.
const (
	// EachOwnLeg: each sends so that the agreed frequency arrives at the Moon's
	// centre, and listens where the Moon's agreed frequency arrives.
	EachOwnLeg Convention = iota
	// WeCorrect: the partner sends and listens on the agreed frequency.
	WeCorrect
	// TheyCorrect: we send and listen on the agreed frequency.
	TheyCorrect
	// NobodyCorrects: both send on the agreed frequency, and search.
	NobodyCorrects
)

// String returns words for a screen.
func (c Convention) String() string {
	return [...]string{"each station corrects its own path", "this station corrects everything",
		"the partner corrects everything", "nobody corrects"}[c]
}

// Tuning is where to set receiver and transmitter, Hz.
type Tuning struct{ ListenHz, SendHz float64 }

// Tune returns the tuning here for an agreed frequency at an instant: to receive now
// what the partner has sent, and to send now what the partner will receive.
func Tune(sky *ephem.Sky, here, there ephem.Site, agreedHz float64, convention Convention, at time.Time) Tuning {
	tuning := Tuning{ListenHz: agreedHz, SendHz: sendHz(PathFrom(sky, here, there, at), agreedHz, convention)}
	in := PathTo(sky, there, here, at)
	switch convention {
	case EachOwnLeg:
		tuning.ListenHz *= in.Down
	case WeCorrect, NobodyCorrects:
		tuning.ListenHz *= in.Up * in.Down
	}
	return tuning
}

// TuneOwn returns the tuning for the own echo: to receive now what was sent by the same
// convention when it left. Where this station corrects everything the echo lands on the agreed frequency;
// where the partner would, or nobody, it lands the whole Doppler away from it.
func TuneOwn(sky *ephem.Sky, here ephem.Site, agreedHz float64, convention Convention, at time.Time) Tuning {
	echo := PathTo(sky, here, here, at)
	return Tuning{
		ListenHz: sendHz(echo, agreedHz, convention) * echo.Up * echo.Down,
		SendHz:   sendHz(PathFrom(sky, here, here, at), agreedHz, convention),
	}
}

// sendHz is where to send what goes along a path.
func sendHz(p Path, agreedHz float64, convention Convention) float64 {
	switch convention {
	case EachOwnLeg:
		return agreedHz / p.Up
	case WeCorrect:
		return agreedHz / (p.Up * p.Down)
	}
	return agreedHz
}

// TuneWithin returns by how much a tuning for the middle of a partner's place is off at most, Hz, where the
// partner may stand anywhere within half a height and half a width of it, as in a square of a locator.
// It is zero where the convention asks nothing of the partner's place.
func TuneWithin(sky *ephem.Sky, here, there ephem.Site, halfLat, halfLon unit.Angle, agreedHz float64,
	convention Convention, at time.Time,
) (within Tuning) {
	middle := Tune(sky, here, there, agreedHz, convention, at)
	for _, north := range [...]float64{-1, 1} {
		for _, east := range [...]float64{-1, 1} {
			corner := there
			corner.Lat = max(-math.Pi/2, min(math.Pi/2, there.Lat+halfLat.Mul(north)))
			corner.Lon += halfLon.Mul(east)
			t := Tune(sky, here, corner, agreedHz, convention, at)
			within.ListenHz = max(within.ListenHz, math.Abs(t.ListenHz-middle.ListenHz))
			within.SendHz = max(within.SendHz, math.Abs(t.SendHz-middle.SendHz))
		}
	}
	return within
}
