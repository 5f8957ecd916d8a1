package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/desk/radio"
	"beamhelm/app/mode"
)

// PeriodWords says whose turn of a timed contact it is and how long it lasts.
func PeriodWords(now Now) Pair {
	p := now.Period
	whose := "they transmit first"
	if p.OursFirst {
		whose = "we transmit first"
	}
	if !p.On {
		return Pair{Phrase{"No periods", Faint}, Phrase{"set periods ▾", Faint}}
	}
	under := Phrase{Number(p.Length.Seconds(), 0) + " s, " + whose + " ▾", Faint}
	if clock := ClockWords(now); clock.Tone == Attention {
		under = Phrase{clock.Words + " ▾", Attention}
	}
	head := Phrase{"Receive period " + Countdown(p.Left), Plain}
	switch {
	case now.TimeScale > 1 && p.Length/time.Duration(now.TimeScale) < minCounted:
		head = Phrase{"Periods: time × " + strconv.Itoa(now.TimeScale), Faint}
	case p.Ours:
		head = Phrase{"Transmit period " + Countdown(p.Left), Wanted}
	}
	return Pair{head, under}
}

// minCounted is how long a period lasts at least, in real time, for its countdown to be read: the window shows all
// that is fast once a second.
const minCounted = 5 * time.Second

// Countdown returns the seconds left, the one that runs counted whole: "1:05", "0:24".
func Countdown(left time.Duration) string {
	s := int(math.Ceil(max(left, 0).Seconds()))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// PeriodLengths are the lengths of a period that are offered, seconds: those of
// which a whole number of pairs fills an hour. Any other can be entered.
func PeriodLengths() []int { return []int{5, 6, 10, 15, 30, 60, 120, 150, 300} }

// ParsePeriod reads the length of a period in whole seconds.
func ParsePeriod(text string) (seconds int, err error) {
	seconds, err = strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(text), " s"))
	if err != nil || seconds < radio.MinPeriodS || seconds > radio.MaxPeriodS {
		return 0, fmt.Errorf("whole seconds from %d to %d", radio.MinPeriodS, radio.MaxPeriodS)
	}
	return seconds, nil
}

// ModeOf is the mode in use.
func ModeOf(now Now) mode.Mode { return mode.All()[now.Period.Mode] }

// ClockWords say how far the computer's clock is off, beside what the mode tolerates with these periods.
func ClockWords(now Now) Phrase {
	p := now.Period
	tolerance := ModeOf(now).ClockTolerance(p.Length)
	limit := "; tolerance " + Number(tolerance.Seconds(), 2) + " s for " + ModeOf(now).Words
	if !p.HasClockOffset {
		return Phrase{"Clock not compared" + limit, Faint}
	}
	way := " s slow"
	if p.ClockOffset < 0 {
		way = " s fast"
	}
	words := Phrase{"Clock " + Number(math.Abs(p.ClockOffset.Seconds()), 2) + way + limit, Plain}
	if p.ClockOffset.Abs() > tolerance {
		words.Tone = Attention
	}
	return words
}

// WeTransmit says whether a moment lies in a transmit period, by the periods that are set now.
func WeTransmit(now Now, at time.Time) bool {
	p := now.Period
	return p.On && radio.PeriodAt(p.Length, p.OursFirst, at).Ours
}
