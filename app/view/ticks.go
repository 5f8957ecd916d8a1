package view

import (
	"math"
	"time"
)

// Ticks are round figures from low to high, at most so many: multiples of 1, 2 or 5 times a power of ten.
func Ticks(low, high float64, maximum int) (ticks []float64) {
	step := TickStep(low, high, maximum)
	if !(step > 0) {
		return nil
	}
	for i := math.Ceil(low/step - 1e-9); i*step <= high+1e-9*step; i++ {
		ticks = append(ticks, i*step)
	}
	return ticks
}

// TickStep is the distance between such figures; 0 where there is no range.
func TickStep(low, high float64, maximum int) float64 {
	span := high - low
	if !(span > 0) || math.IsInf(span, 0) || maximum < 1 {
		return 0
	}
	count := func(step float64) float64 { return math.Floor(high/step+1e-9) - math.Ceil(low/step-1e-9) + 1 }
	step := roundStep(span / float64(maximum))
	for count(step) > float64(maximum) {
		step = roundStep(1.5 * step)
	}
	return step
}

// TickDecimals are how many decimals tell such figures apart.
func TickDecimals(step float64) int {
	if !(step > 0) {
		return 0
	}
	return max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
}

// timeSteps are the round steps of UTC, to a day.
var timeSteps = [...]time.Duration{
	time.Second, 2 * time.Second, 5 * time.Second, 10 * time.Second, 15 * time.Second, 30 * time.Second,
	time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute,
	time.Hour, 2 * time.Hour, 3 * time.Hour, 6 * time.Hour, 12 * time.Hour,
}

const day = 24 * time.Hour

// TimeTicks are round moments of UTC between two, at most so many, with the words that tell them apart: the time,
// or at midnight and for steps of days the date.
func TimeTicks(from, to time.Time, maximum int) (ticks []time.Time, layout string) {
	span := to.Sub(from)
	if span <= 0 || maximum < 1 {
		return nil, ""
	}
	step := day
	for _, s := range timeSteps {
		if span/s < time.Duration(maximum) {
			step = s
			break
		}
	}
	layout = "15:04"
	switch {
	case step < time.Minute:
		layout = "15:04:05"
	case step >= day:
		layout = "2 Jan"
		for span/step >= time.Duration(maximum) {
			step += day
		}
		if step > maxDays*day {
			return monthTicks(from.UTC(), to.UTC(), maximum), "Jan 2006"
		}
	}
	// Days are counted from a fixed one, so that the same moments are marked while the picture moves on.
	epoch := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	for at := epoch.Add((from.Sub(epoch) + step - 1).Truncate(step)); !at.After(to); at = at.Add(step) {
		if !at.Before(from) {
			ticks = append(ticks, at.UTC())
		}
	}
	return ticks, layout
}

// maxDays is the longest step in days; beyond it months are marked.
const maxDays = 14

// monthTicks are the beginnings of months between two moments, every first, second, third or sixth, or of years.
func monthTicks(from, to time.Time, maximum int) (ticks []time.Time) {
	for _, step := range [...]int{1, 2, 3, 6, 12, 24, 60, 120, 600} {
		ticks = ticks[:0]
		for month := from.Year() * 12 / step * step; ; month += step {
			at := time.Date(0, time.Month(month+1), 1, 0, 0, 0, 0, time.UTC)
			if at.After(to) {
				break
			}
			if !at.Before(from) {
				ticks = append(ticks, at)
			}
		}
		if len(ticks) <= maximum {
			break
		}
	}
	return ticks
}
