package echo

import (
	"time"

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
	return [...]string{"each corrects the own leg", "we correct all", "the partner corrects all", "nobody corrects"}[c]
}

// Tuning is where to set receiver and transmitter, Hz.
type Tuning struct{ ListenHz, SendHz float64 }

// Tune returns the tuning here for an agreed frequency at an instant: to receive now
// what the partner has sent, and to send now what the partner will receive. With the
// partner's site the own one, it is for the own echo.
func Tune(sky *ephem.Sky, here, there ephem.Site, agreedHz float64, convention Convention, at time.Time) Tuning {
	tuning := Tuning{ListenHz: agreedHz, SendHz: agreedHz}
	switch convention {
	case EachOwnLeg:
		tuning.ListenHz *= PathTo(sky, there, here, at).Down
		tuning.SendHz /= PathFrom(sky, here, there, at).Up
	case WeCorrect:
		in, out := PathTo(sky, there, here, at), PathFrom(sky, here, there, at)
		tuning.ListenHz *= in.Up * in.Down
		tuning.SendHz /= out.Up * out.Down
	case NobodyCorrects:
		in := PathTo(sky, there, here, at)
		tuning.ListenHz *= in.Up * in.Down
	}
	return tuning
}
