package view

import (
	"fmt"
	"math"
	"strings"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/desk/permit"
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
		return Pair{Phrase{"Not known", Alarming}, Phrase{"last: " + lower(activityHead(now)), Faint}}
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
	switch now.Activity {
	case desk.Idle, desk.Parked, desk.Stowed:
		if now.Power == desk.PowerOff {
			return "drive power off"
		}
		return "drives powered"
	case desk.LockedOut:
		return now.Lock.Cause.String()
	case desk.Slewing, desk.Parking, desk.Stowing:
		if off := now.Off.Deg(); !math.IsNaN(off) {
			return Number(off, decimalsOff(off)) + "° to go"
		}
	case desk.Tracking:
		switch {
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
	done := func(what string, part float64) string { return fmt.Sprintf("%s, %.0f %% done", what, 100*part) }
	rounds := ""
	if r := now.Survey.Rounds; r.Running {
		rounds = fmt.Sprintf("survey, %s, %s left", Count(r.Taken, "peak", "peaks"), Span(max(0, r.Until.Sub(now.At))))
	}
	switch {
	case rounds != "":
		return rounds
	case now.Peak.Running:
		return done("peak", now.Peak.Part)
	case now.Receiving.Running:
		return done("receiver measurement", now.Receiving.Part)
	case now.Check.Running:
		return done("station check", now.Check.Part)
	}
	return ""
}

// decimalsOff are those of a distance still to go: more as it becomes small.
func decimalsOff(deg float64) int {
	if math.Abs(deg) < 1 {
		return 2
	}
	return 1
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
		return fmt.Sprintf("%s°, past its highest, %s", Number(target.El.Deg(), 0), when)
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

// Transmit says whether the station transmits or receives, and whether it may transmit.
func Transmit(now Now) Pair {
	if !now.Live {
		return Pair{Phrase{"Not known", Old}, Phrase{"transmit and receive", Faint}}
	}
	pair := plainPair("Receiving", permitWords(now))
	switch {
	case now.Transmit.Sequencer == desk.SequencerFault:
		pair.Head = Phrase{"Sequencer fault", Alarming}
	case now.Transmit.Keyed:
		pair.Head = Phrase{"Transmitting", Measured}
	case now.Transmit.Sequencer == desk.GoingToTransmit, now.Transmit.Sequencer == desk.GoingToReceive:
		pair.Head.Words = capital(now.Transmit.Sequencer.Message().String())
	}
	if now.PermitRequested && !now.Transmit.Permitted || now.Transmit.Ended.Code != permit.None {
		pair.Under.Tone = Attention
	}
	return pair
}

// permitWords is the permit in one short line: of several inhibits the first, and how
// many more. Inhibits has all of it in full.
func permitWords(now Now) string {
	transmit := now.Transmit
	switch {
	case transmit.Permitted:
		return "transmit permitted"
	case transmit.Ended.Code != permit.None:
		return "withdrawn: " + transmit.Ended.Short().String()
	case !now.PermitRequested:
		return "no permit requested"
	case len(transmit.Inhibits) == 0:
		return "permit requested"
	}
	words := "inhibited: " + transmit.Inhibits[0].Short().String()
	if more := len(transmit.Inhibits) - 1; more > 0 {
		words += fmt.Sprintf(" +%d", more)
	}
	return words
}

// Inhibits are the full words of the permit: what ended the last request, and all
// that stands against transmitting now, a sentence each. Empty where nothing does.
func Inhibits(now Now) []string {
	var lines []string
	if ended := now.Transmit.Ended; ended.Code != permit.None {
		lines = append(lines, "The transmit permit was withdrawn: "+ended.Message().String()+". Request it again.")
	}
	for _, inhibit := range now.Transmit.Inhibits {
		lines = append(lines, capital(inhibit.Message().String())+".")
	}
	return lines
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
		return Pair{Phrase{"Link lost", Alarming}, Phrase{"no reply for " + Span(link.LastReply), Faint}}
	case desk.LinkRefused:
		return Pair{Phrase{"No link", Alarming}, Phrase{link.Words.String(), Faint}}
	}
	return Pair{Phrase{"Opening the link", Plain}, Phrase{link.Port, Faint}}
}

// AlarmLine says how many alarms and warnings there are, and the worst.
func AlarmLine(alarms []desk.Alarm) Pair {
	worst := desk.Normal
	count, unseen := 0, 0
	for _, alarm := range alarms {
		if alarm.Grade > worst {
			worst, count, unseen = alarm.Grade, 0, 0
		}
		if alarm.Grade == worst {
			count++
			if !alarm.Acknowledged {
				unseen++
			}
		}
	}
	tone := GradeTone(worst, Faint)
	words := ""
	switch worst {
	case desk.AlarmGrade:
		words = Count(count, "alarm", "alarms")
	case desk.Warning:
		words = Count(count, "warning", "warnings")
	case desk.Notice:
		words = Count(count, "notice", "notices")
	default:
		return Pair{Phrase{"No alarms", Faint}, Phrase{}}
	}
	if unseen == 0 {
		words += ", acknowledged"
	}
	return Pair{Phrase{words, tone}, Phrase{alarms[0].Words.String(), Faint}}
}

// AlarmState says how an alarm stands.
func AlarmState(alarm desk.Alarm) string {
	switch {
	case !alarm.ShelvedUntil.IsZero():
		return "shelved until " + HourMinute(alarm.ShelvedUntil.UTC())
	case alarm.Stands && alarm.Acknowledged:
		return "acknowledged"
	case alarm.Stands:
		return "new"
	}
	return "cleared, unacknowledged"
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
