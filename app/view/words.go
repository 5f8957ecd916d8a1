package view

import (
	"fmt"
	"math"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// Phrase is words with their tone.
type Phrase struct {
	Words string
	Tone  Tone
}

// Pair is a headline and the smaller line under it.
type Pair struct{ Head, Under Phrase }

// plainPair returns a pair in the tones of the normal state.
func plainPair(head, under string) Pair {
	return Pair{Phrase{head, Plain}, Phrase{under, Faint}}
}

// Activity says what the dish is doing, and what follows.
func Activity(now Now) Pair {
	if Unheard(now) {
		if now.Status.Link.State == desk.LinkOpening {
			return plainPair("Connecting", "nothing known yet")
		}
		return Pair{Phrase{"Not known", Alarming}, Phrase{"nothing heard yet", Faint}}
	}
	if !now.Live {
		return Pair{Phrase{"No contact", Alarming}, Phrase{"last state: " + lower(activityHead(now)), Faint}}
	}
	pair := plainPair(activityHead(now), activityUnder(now))
	if line := OwnEchoLine(now); line != "" {
		pair.Under.Words = line
	}
	switch {
	case now.Activity == desk.LockedOut:
		pair.Head.Tone = Attention
	case now.Working:
		pair.Under = Phrase{"working at the dish", Attention}
	}
	return pair
}

// Unheard says that no reply came yet: nothing is known, not even of before.
func Unheard(now Now) bool { return !now.Status.Link.Heard }

// activityHead says what the dish is doing, in one line.
func activityHead(now Now) string {
	switch now.Activity {
	case desk.Idle:
		return "Idle"
	case desk.Holding:
		if now.Halting && now.Moving {
			return "Coming to rest"
		}
		return "Holding"
	case desk.Jogging:
		return "Moved by hand"
	case desk.Slewing:
		return with("Slewing", "Slewing to", now.Destination.String())
	case desk.Tracking:
		if now.OffSource != 0 {
			return with("Off source", "Off source:", now.Destination.String())
		}
		if now.Acquiring {
			return with("Acquiring", "Acquiring", now.Destination.String())
		}
		return with("Tracking", "Tracking", now.Destination.String())
	case desk.Waiting:
		return with("Waiting", "Waiting for", now.Destination.String())
	case desk.Parking:
		return "Slewing to park"
	case desk.Parked:
		return "Parked"
	case desk.Stowing:
		return "Slewing to " + now.Destination.String()
	case desk.Stowed:
		if now.Destination.Code == "" {
			return "Stowed"
		}
		return "In " + now.Destination.String()
	case desk.LockedOut:
		return "Locked out"
	}
	return "Not known"
}

// activityUnder says what follows.
func activityUnder(now Now) string {
	if short := ArmedShort(now); short != "" && now.Activity != desk.LockedOut {
		return short
	}
	if words := sequenceUnder(now); words != "" && now.Activity != desk.LockedOut {
		return words
	}
	if now.StowCancelled && now.Activity != desk.LockedOut && now.Activity != desk.Stowing &&
		now.Activity != desk.Stowed {
		return "wind stow cancelled"
	}
	switch now.Activity {
	case desk.Idle, desk.Parked, desk.Stowed:
		if now.Power == desk.PowerOff {
			return "drive power off"
		}
		return "drives powered"
	case desk.LockedOut:
		if now.Live && now.Stop == desk.StopDefied {
			return "the dish is moving after a stop"
		}
		return now.Lock.Cause.String()
	case desk.Slewing, desk.Parking, desk.Stowing:
		return wayLeft(now)
	case desk.Tracking:
		behind, hidden := behindStructure(now)
		switch {
		case hidden:
			off := now.Off.Deg()
			return fmt.Sprintf("kept above %s, %s° off", behind.Name, Number(off, decimalsOff(off)))
		case now.Acquiring:
			return fmt.Sprintf("%s° off, on it in %s", Number(now.Off.Deg(), decimalsOff(now.Off.Deg())),
				Span(now.ArrivesIn))
		case now.OffSource != 0:
			return "by " + sideWords(now.OffSource.Deg())
		}
		return TargetTime(now)
	case desk.Waiting:
		return TargetTime(now)
	}
	return targetTimeNamed(now)
}

// wayLeft says how far the axis still turns that takes longest: on the sky, what remains of a
// turn round the zenith or on the other wrap can look short.
func wayLeft(now Now) string {
	if now.Legs > 0 {
		return "avoiding the Sun, " + Count(now.Legs, "leg", "legs") + " to go"
	}
	last := -1
	left := func(i int) float64 { return math.Abs((now.Axes[i].Setpoint - now.Axes[i].Position).Deg()) }
	for i, axis := range now.Axes {
		if !axis.HasSetpoint || math.IsNaN(left(i)) {
			continue
		}
		if last < 0 || axis.ArrivesIn > now.Axes[last].ArrivesIn ||
			axis.ArrivesIn == now.Axes[last].ArrivesIn && left(i) > left(last) {
			last = i
		}
	}
	if last < 0 {
		return ""
	}
	words := [...]string{"azimuth", "elevation"}[last] + " " + Number(left(last), decimalsOff(left(last))) + "° to go"
	if in := now.Axes[last].ArrivesIn; in > 0 {
		words += ", " + Countdown(in)
	}
	return words
}

// targetTimeNamed is TargetTime with the target's name, for where the dish is after something else.
func targetTimeNamed(now Now) string {
	words := TargetTime(now)
	if strings.HasPrefix(words, "sets ") || strings.HasPrefix(words, "rises ") {
		return now.Target.Name + " " + words
	}
	return words
}

// sequenceUnder says how far a sequence of several steps is that moves the dish; empty where none runs.
func sequenceUnder(now Now) string {
	if r := now.Survey.Rounds; r.Running {
		words := fmt.Sprintf("survey, %s, %s left", Count(r.Taken, "peak", "peaks"), Span(max(0, r.Until.Sub(now.At))))
		if p := now.Peak; p.Running && p.Steps > 0 {
			words += fmt.Sprintf(": %s %d of %d", peakStep(p), p.Step, p.Steps)
		}
		return words
	}
	switch {
	case now.Peak.Running:
		return "peak: " + stepWords(peakStep(now.Peak), now.Peak.Progress)
	case now.Receiving.Running && now.Check.Running:
		return "station check, Sun noise: " + stepWords("stop", now.Receiving.Progress)
	case now.Receiving.Running:
		return "receiver: " + stepWords("stop", now.Receiving.Progress)
	case now.Check.Running && now.Check.Steps > 0:
		return "station check: " + stepWords("move", now.Check.Progress)
	case now.Check.Running:
		return "station check: " + now.Check.Doing.String()
	}
	return ""
}

// peakStep is what a peak's steps are.
func peakStep(p desk.Peak) string {
	if p.Quick {
		return "stop"
	}
	return "sweep"
}

// stepWords say which of its steps a measurement is at, and about how long the rest takes.
func stepWords(what string, p desk.Progress) string {
	words := fmt.Sprintf("%s %d of %d", what, p.Step, p.Steps)
	if p.Left > 0 {
		words += ", " + Countdown(p.Left) + " left"
	}
	return words
}

// decimalsOff are those of a distance still to go: more as it becomes small.
func decimalsOff(deg float64) int {
	switch deg = math.Abs(deg); {
	case deg < 1:
		return 2
	case deg < 10:
		return 1
	}
	return 0
}

// TargetTime says when the target sets or rises.
func TargetTime(now Now) string {
	target := now.Target
	switch {
	case target.Choice.Kind == desk.NoBody || target.Choice.Kind == desk.Fixed:
		return ""
	case target.Up && target.Set.IsZero():
		return named(target) + " does not set"
	case target.Up:
		return "sets in " + Span(target.Set.Sub(now.At))
	case target.Rise.IsZero():
		return named(target) + " does not rise"
	}
	if wait := target.Rise.Sub(now.At); wait < 24*time.Hour {
		return fmt.Sprintf("rises %s, in %s", HourMinute(target.Rise), Span(wait))
	}
	return "rises " + Moment(target.Rise, now.At)
}

// TargetHeight says how far below its highest the target is, and when it is there.
func TargetHeight(now Now) string {
	target := now.Target
	if target.Highest.IsZero() || !target.Up {
		return TargetTime(now)
	}
	when := Moment(target.Highest, now.At)
	if target.Highest.Before(now.At) {
		return fmt.Sprintf("%s°, was highest at %s", Number(target.El.Deg(), 0), when)
	}
	return fmt.Sprintf("highest, %s°, at %s", Number(target.HighestEl.Deg(), 0), when)
}

// named returns the target's name as a sentence uses it.
func named(target desk.Target) string {
	switch target.Choice.Kind {
	case desk.Moon:
		return "the Moon"
	case desk.Sun:
		return "the Sun"
	}
	return target.Name
}

// Link says how the serial line is.
func Link(now Now) Pair {
	if now.Silence >= LostAfter {
		return Pair{
			Phrase{"Contact lost", Alarming},
			Phrase{"nothing from the loop for " + Span(now.Silence.Truncate(time.Second)), Faint},
		}
	}
	link := now.Status.Link
	switch link.State {
	case desk.LinkGood:
		return plainPair("Link good", fmt.Sprintf("%s/s, %s", Number(link.PerSecond, 0),
			Count(int(link.Errors), "error", "errors")))
	case desk.LinkWaiting:
		return Pair{Phrase{"Link waiting", Attention},
			Phrase{fmt.Sprintf("no reply for %s s", Number(link.LastReply.Seconds(), 1)), Faint}}
	case desk.LinkLost:
		if link.Refused != "" {
			return Pair{Phrase{"Link lost", Alarming}, Phrase{link.Refused, Faint}}
		}
		return Pair{Phrase{"Link lost", Alarming}, Phrase{"no reply for " + Span(link.LastReply), Faint}}
	case desk.LinkRefused:
		return Pair{Phrase{"No link", Alarming}, Phrase{link.Words.String(), Faint}}
	}
	return Pair{Phrase{"Opening the link", Plain}, Phrase{link.Port, Faint}}
}

// with joins a verb to a name, or stands alone where the name is missing.
func with(alone, verb, name string) string {
	if name == "" {
		return alone
	}
	return verb + " " + name
}

func capital(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}

func lower(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToLower(words[:1]) + words[1:]
}

// StationLine names the station, its locator and the day.
func StationLine(now Now) Pair {
	under := Day(now.At)
	if now.Station.Locator != "" {
		under = now.Station.Locator + " · " + under
	}
	return plainPair(now.Station.Name, under)
}

// Name returns a title as a name for tests: small letters, a hyphen for each space.
func Name(title string) string {
	return strings.ReplaceAll(strings.ToLower(title), " ", "-")
}

// WindowTitle returns the window's title; practice is marked there too.
func WindowTitle(now Now) string {
	if now.Practice {
		return "Beamhelm, practice"
	}
	return "Beamhelm"
}
