package view

import "beamhelm/app/desk"

// Line is something the window says, in full, and what it is of.
type Line struct {
	Of string
	Phrase
}

// InFull is everything that the upper and the lower edge of the window say,
// without regard to the room that they have, and all that stands against
// transmitting and tracking.
func InFull(now Now) (lines []Line) {
	add := func(of string, phrases ...Phrase) {
		for _, phrase := range phrases {
			if phrase.Words != "" {
				lines = append(lines, Line{of, phrase})
				of = ""
			}
		}
	}
	pair := func(of string, words Pair) { add(of, words.Head, words.Under) }
	pair("Station", StationLine(now))
	pair("Dish", Activity(now))
	banner := BannerOf(now)
	add("Now", Phrase{banner.Head, banner.Tone}, Phrase{banner.Next, Plain}, StopWords(now))
	add("Target", Phrase{capital(named(now.Target)), Plain}, Phrase{TargetHeight(now), Faint},
		Phrase{Sentence(now.Target.Dubious.String()), Faint}, Phrase{Sentence(TrackBlocked(now)), Attention})
	position := Position(now)
	add("Position", Phrase{Sentence(position.Words), position.Tone})
	add("Trim", Phrase{TrimPurpose(now) + ": cross-elevation " + SignedDegrees(now.Trim.CrossEl) + ", elevation " +
		SignedDegrees(now.Trim.El), Plain})
	pair("Transmit", Transmit(now))
	for _, words := range Inhibits(now) {
		add("", Phrase{words, Attention})
	}
	pair("Link", Link(now))
	if link := now.Status.Link; link.State == desk.LinkGood {
		add("", Phrase{"Errors are counted since " + HourMinute(link.Since), Faint})
	}
	return lines
}

// TrimPurpose says what the trim is of: each band and target has its own.
func TrimPurpose(now Now) string {
	if now.Trim.For == "" {
		return "Trim on the sky"
	}
	return "Trim, " + now.Trim.For
}

// SunTrimTip says what taking the Sun's trim over for the Moon assumes, or why it can't be.
func SunTrimTip(now Now) string {
	trim := now.Trim
	switch {
	case now.Target.Choice.Kind != desk.Moon:
		return "Use the Sun's trim for the Moon: make the Moon the target first"
	case !trim.HasSun:
		return "Use the Sun's trim for the Moon: there is none on this band and feed, or it is in use"
	}
	return "Use the Sun's trim for the Moon, cross-elevation " + SignedDegrees(trim.OfSun.Cross) + ", elevation " +
		SignedDegrees(trim.OfSun.El) + ". It assumes that the mount's error where the Sun was measured holds where " +
		"the Moon is. Previous trim undoes it"
}

// Whole joins what a control is for with the words that it may not have the room to show.
func Whole(purpose, words string) string {
	if words == "" {
		return purpose
	}
	return words + ". " + purpose
}
