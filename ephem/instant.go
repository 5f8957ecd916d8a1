package ephem

import (
	"math"
	"time"
)

const (
	daySeconds = 86400
	// j2000 is 2000-01-01T12:00:00 as Unix seconds, the zero of all day counts here.
	j2000 = 946728000
	// ttMinusTAI in seconds, exact by definition.
	ttMinusTAI = 32.184
)

// leapSeconds are the instants (Unix seconds) from which TAI-UTC is 10 s, 11 s,
// and so on up to 37 s. Source: IERS Bulletin C, as collected in the IERS file
// leap-seconds.list.
var leapSeconds = [...]int64{
	63072000, 78796800, 94694400, 126230400, 157766400, 189302400, 220924800,
	252460800, 283996800, 315532800, 362793600, 394329600, 425865600, 489024000,
	567993600, 631152000, 662688000, 709948800, 741484800, 773020800, 820454400,
	867715200, 915148800, 1136073600, 1230768000, 1341100800, 1435708800, 1483228800,
}

// LeapSecondsKnownUntil returns the instant until which the table of leap
// seconds is complete: the expiry of the IERS file leap-seconds.list (as updated 2026-07) it was
// taken from.
func LeapSecondsKnownUntil() time.Time { return time.Date(2027, 6, 28, 0, 0, 0, 0, time.UTC) }

// taiMinusUTC in seconds at a Unix second. Before 1972, when UTC was not made
// of whole seconds, it stays at the 10 s of 1972.
func taiMinusUTC(unix int64) float64 {
	for i := len(leapSeconds) - 1; i >= 0; i-- {
		if unix >= leapSeconds[i] {
			return float64(10 + i)
		}
	}
	return 10
}

// moment is an instant in the two scales that the sky needs, both in days from
// 2000-01-01T12:00:00 of that scale.
type moment struct{ tt, ut1 float64 }

func (s *Sky) moment(at time.Time) moment {
	unix := at.Unix()
	seconds := float64(unix-j2000) + float64(at.Nanosecond())*1e-9
	return moment{
		tt:  (seconds + taiMinusUTC(unix) + ttMinusTAI) / daySeconds,
		ut1: (seconds + s.ut1S) / daySeconds,
	}
}

// dubious says that UTC isn't known at that instant.
func (s *Sky) dubious(at time.Time) bool {
	return at.After(s.knownUntil) || at.Unix() < leapSeconds[0]
}

// utcOfTT returns the instant of a TT count of days from J2000, to the microsecond.
func utcOfTT(days float64) time.Time {
	seconds := days*daySeconds - ttMinusTAI + j2000
	seconds -= taiMinusUTC(int64(seconds) - 37)
	whole := math.Floor(seconds)
	return time.Unix(int64(whole), int64(math.Round((seconds-whole)*1e6))*1000).UTC()
}

// tdb returns the TDB count of days for a TT count: at most 1.7 ms apart.
// Source: Explanatory Supplement to the Astronomical Almanac (1992), 2.222-1, its
// largest term; the rest is under 0.05 ms.
func tdb(tt float64) float64 {
	return tt + 0.001658/daySeconds*math.Sin((357.53+0.98560028*tt)*degree)
}
