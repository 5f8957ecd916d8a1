package view

import (
	"math"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// What is said of a replayed moment where the records hold nothing of it.
const notRecorded = "not recorded"

// ReplayWords are the heading of a moment that is replayed.
func ReplayWords(at time.Time) string { return "Replay, " + at.UTC().Format("2 Jan 15:04:05") + " UTC" }

// ReplaySky are the words over the panorama while a moment is replayed: it shows the beam, and nothing of what it
// looked at.
func ReplaySky(now Now) string {
	if now.Replay == "" {
		return ""
	}
	return now.Replay + " · targets " + notRecorded
}

// ReplayShort is the heading of a view with less room.
func ReplayShort(now Now) string { return "replay " + now.At.UTC().Format("15:04:05") }

// ReplayLine are the heading at the upper edge and, under it, what the dish did then and what it does now.
func ReplayLine(heading, then string, live Now) Pair {
	return Pair{Phrase{heading, Attention}, Phrase{"then " + lower(then) + "; now " +
		lower(Activity(live).Head.Words), Plain}}
}

// ReplayRefused stands in its place for a while after a command ended the replay.
func ReplayRefused(live Now) Pair {
	return Pair{Phrase{"Replay ended, command not sent", Attention}, Phrase{"give it again; now " +
		lower(Activity(live).Head.Words), Plain}}
}

// Shown says that the figures can be believed: they are of now, or of the moment that is replayed.
func (n Now) Shown() bool { return n.Live || n.Replay != "" }

// replayedLane is what is shown of an axis at a moment that is replayed.
func replayedLane(axis desk.Axis) Lane {
	lane := Lane{Position: Phrase{Missing, Old}, Mark: Phrase{"replay", Attention},
		Setpoint: Phrase{"no command", Faint}, Own: Phrase{"target " + notRecorded, Old},
		Motion: Phrase{"drive " + notRecorded, Old}}
	if axis.Trusted {
		lane.Position = Phrase{Degrees(axis.Position), Measured}
	} else {
		lane.Setpoint = Phrase{"position " + notRecorded, Old}
	}
	if axis.HasSetpoint {
		lane.Setpoint = Phrase{"commanded " + Degrees(axis.Setpoint) + "°", Wanted}
	}
	switch part := axis.Applied; {
	case math.IsNaN(part):
	case part == 0:
		lane.Motion = Phrase{"not driven" + Current(axis), Faint}
	default:
		lane.Motion = Phrase{"drive " + Signed(100*part, 0) + " %" + Current(axis), Faint}
	}
	return lane
}

// replayedNoise is what was heard at a moment that is replayed.
func replayedNoise(now Now) Pair {
	noise, when := now.Noise, ReplayShort(now)
	switch {
	case !noise.Clean && now.Transmit.Keyed:
		return Pair{Phrase{Missing + " dB", Old}, Phrase{when + ", transmitting", Attention}}
	case !noise.Clean:
		return Pair{Phrase{Missing + " dB", Old}, Phrase{when + ", " + notRecorded, Attention}}
	case noise.HasCold:
		return Pair{Phrase{Number(noise.LevelDB-noise.ColdDB, 1) + " dB", Measured},
			Phrase{when + ", above cold sky", Attention}}
	}
	return Pair{Phrase{Number(noise.LevelDB, 1) + " dB", Measured}, Phrase{when, Attention}}
}

// ReplayDid says what the dish did at a replayed moment, by the records' word for it, and how far it was from where
// it was commanded, degrees; NaN where that wasn't recorded.
func ReplayDid(activity string, offDeg float64) string {
	did := strings.TrimSpace(activity)
	if !math.IsNaN(offDeg) {
		did += ", error " + Number(offDeg, 2) + "°"
	}
	return Sentence(did)
}
