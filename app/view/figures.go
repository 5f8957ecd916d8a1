package view

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/soniakeys/unit"
)

// Decimals is how many decimals every angle of the axes and of the target is
// shown with, so that any two can be compared at a glance.
const Decimals = 2

// Missing stands where there is no figure.
const Missing = "–"

// minus is the true minus sign; it is as wide as the plus.
const minus = "−"

// Number returns v with fixed decimals and a true minus sign; nothing that
// rounds to zero has a sign. NaN and infinities give Missing.
func Number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Missing
	}
	text := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	if v < 0 && strings.Trim(text, "0.") != "" {
		return minus + text
	}
	return text
}

// Signed returns v as Number does, with a plus sign where it is positive.
func Signed(v float64, decimals int) string {
	text := Number(v, decimals)
	if text != Missing && v > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// Degrees returns an angle in degrees, such as "116.53", without the degree sign.
func Degrees(angle unit.Angle) string { return Number(angle.Deg(), Decimals) }

// SignedDegrees returns an angle in degrees with its sign, such as "+0.10°".
func SignedDegrees(angle unit.Angle) string {
	return Signed(angle.Deg(), Decimals) + "°"
}

// Clock returns the time of day in UTC, such as "16:04:12".
func Clock(t time.Time) string { return t.UTC().Format("15:04:05") }

// HourMinute returns the time of day in UTC to the minute, such as "16:04".
func HourMinute(t time.Time) string { return t.UTC().Format("15:04") }

// Day returns the date in UTC, such as "14 Apr 2027".
func Day(t time.Time) string { return t.UTC().Format("2 Jan 2006") }

// Moment returns the time of day to the minute, and the day where it is not
// that of now, such as "02:51 tomorrow" or "02:51 on 16 Apr".
func Moment(t, now time.Time) string {
	t, now = t.UTC(), now.UTC()
	midnight := now.Truncate(24 * time.Hour)
	switch days := int(math.Floor(t.Sub(midnight).Hours() / 24)); days {
	case 0:
		return HourMinute(t)
	case 1:
		return HourMinute(t) + " tomorrow"
	case -1:
		return HourMinute(t) + " yesterday"
	}
	return HourMinute(t) + " on " + t.Format("2 Jan")
}

// Span returns a length of time in its two largest parts, such as "11 h 12 min",
// "3 min" or "24 s". Minutes are cut, not rounded, so that nothing is promised
// longer than it lasts. A negative span counts as none.
func Span(d time.Duration) string {
	d = max(d, 0)
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", int(d.Seconds()))
	case d < time.Hour:
		return fmt.Sprintf("%d min", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
	}
	return fmt.Sprintf("%d days", int(d.Hours()/24))
}

// Count returns a number of things with its noun, such as "1 warning" or "3 warnings".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

var hyphens = regexp.MustCompile(`(^|[ (±])-(\d)`)

// Minus is words in which the numbers have their true minus signs.
func Minus(words string) string { return hyphens.ReplaceAllString(words, "$1−$2") }
