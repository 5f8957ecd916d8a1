package view

import (
	"fmt"
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// The axes, as indexes of Status.Axes.
const (
	Azimuth   = 0
	Elevation = 1
)

// AxisName returns the axis's name.
func AxisName(index int) string {
	if index == Azimuth {
		return "Azimuth"
	}
	return "Elevation"
}

// Lane is what is shown of one axis.
type Lane struct {
	Position Phrase // the big figure
	Mark     Phrase // what qualifies it: "interpolated", "not referenced", "last known"
	Setpoint Phrase // "commanded 116.58°"
	Own      Phrase // the target's own place, "Moon 116.45°"
	Motion   Phrase // "right 0.004°/s · 0.6 A"
}

// LaneOf returns what is shown of the axis with an index.
func LaneOf(now Now, index int) Lane {
	axis := now.Axes[index]
	if Unheard(now) {
		return Lane{Position: Phrase{Missing, Old}, Mark: Phrase{"not known yet", Faint}, Own: ownPlace(now, index)}
	}
	if !axis.Fitted {
		return Lane{Position: Phrase{Missing, Old}, Mark: Phrase{"not fitted", Faint}}
	}
	if now.Replay != "" {
		return replayedLane(axis)
	}
	lane := Lane{
		Position: Phrase{Degrees(axis.Position), Measured},
		Setpoint: Phrase{"no command", Faint},
		Motion:   Phrase{motionOf(now, index) + Current(axis), Faint},
		Own:      ownPlace(now, index),
	}
	if axis.HasSetpoint {
		lane.Setpoint = Phrase{"commanded " + Degrees(axis.Setpoint) + "°", Wanted}
	}
	switch {
	case !now.Live:
		lane.Position.Tone, lane.Setpoint.Tone, lane.Motion = Old, Old, Phrase{"", Faint}
		lane.Mark = Phrase{"last known", Attention}
	case !axis.Trusted:
		// An angle would read as known: the last one is said in words.
		lane.Position, lane.Setpoint = Phrase{Missing, Old}, Phrase{Minus(fmt.Sprintf("%d counts", axis.Counts)), Faint}
		lane.Mark = Phrase{"not referenced", Attention}
		if axis.HasOffer {
			lane.Setpoint = Phrase{"last known " + Degrees(axis.Position) + "°", Faint}
		}
	case axis.Estimated:
		lane.Mark = Phrase{"interpolated", Faint}
	}
	if now.Live && (axis.EndLow || axis.EndHigh) {
		lane.Motion = Phrase{EndWords(axis, index), Attention}
	}
	return lane
}

// ownPlace is the target's own place on an axis, without trim or mount model.
func ownPlace(now Now, index int) Phrase {
	target := now.Target
	if target.Choice.Kind == desk.NoBody {
		return Phrase{"no target", Faint}
	}
	place := target.Az
	if index == Elevation {
		place = target.El
	}
	tone, name := Faint, target.Name
	if !now.Live {
		tone = Old
	}
	if target.Choice.Kind == desk.Fixed || target.Choice.Kind == desk.Radec {
		name = "target" // its name is the place itself
	}
	return Phrase{name + " " + Degrees(place) + "°", tone}
}

// motionOf is Motion of an axis of now, whose counts tell nothing after a stop that they could not confirm.
func motionOf(now Now, index int) string {
	axis := now.Axes[index]
	if now.Stop == desk.StopUnseen && !axis.Trusted {
		return "motion not known"
	}
	return Motion(axis, index)
}

// slowest is the speed below which an axis is said to stand, degrees per second.
const slowest = 0.0005

// Motion says which way an axis moves and how fast.
func Motion(axis desk.Axis, index int) string {
	rate := axis.RatePerS.Deg()
	if !axis.Moving || math.IsNaN(rate) || math.Abs(rate) < slowest {
		return "stopped"
	}
	words := [2][2]string{{"left", "right"}, {"down", "up"}}
	way := words[index][0]
	if rate > 0 {
		way = words[index][1]
	}
	decimals := 3
	if math.Abs(rate) >= 0.1 {
		decimals = 2
	}
	return way + " " + Number(math.Abs(rate), decimals) + "°/s"
}

// Current returns the motor current with its separator, or nothing where it is not fitted.
func Current(axis desk.Axis) string {
	if math.IsNaN(axis.CurrentA) {
		return ""
	}
	return " · " + Number(math.Abs(axis.CurrentA), 1) + " A"
}

// EndWords names the end switch that is open; both of one axis mean a broken cable.
func EndWords(axis desk.Axis, index int) string {
	low, high := "counter-clockwise end", "clockwise end"
	if index == Elevation {
		low, high = "lower end", "upper end"
	}
	switch {
	case axis.EndLow && axis.EndHigh:
		return "both ends open: wiring"
	case axis.EndLow:
		return low
	}
	return high
}

// Position says whether both positions are trusted, and where that comes from.
func Position(now Now) Phrase {
	short, origin := referenced(now)
	if origin != "" {
		short.Words += ": " + origin
	}
	if at := now.Axes[Azimuth].OriginAt; Trusted(now) && origin != "" && !at.IsZero() {
		short.Words += ", " + Moment(at, now.At)
	}
	return short
}

// PositionShort says whether both positions are trusted, and since when.
func PositionShort(now Now) Phrase {
	short, _ := referenced(now)
	if at := now.Axes[Azimuth].OriginAt; Trusted(now) && !at.IsZero() {
		short.Words += ", " + Moment(at, now.At)
	}
	return short
}

// referenced says which positions are trusted; origin is where that comes from, or could.
func referenced(now Now) (short Phrase, origin string) {
	for index, axis := range now.Axes {
		if axis.Fitted && !axis.Trusted {
			words := lower(AxisName(index)) + " not referenced"
			if !now.Axes[Azimuth].Trusted && !now.Axes[Elevation].Trusted {
				words = "not referenced"
			}
			return Phrase{words, Attention}, axis.Origin.String()
		}
	}
	return Phrase{"referenced", Faint}, now.Axes[Azimuth].Origin.String()
}

// Trusted says whether every fitted axis has a position that is trusted.
func Trusted(now Now) bool {
	for _, axis := range now.Axes {
		if axis.Fitted && !axis.Trusted {
			return false
		}
	}
	return true
}

// CableTurn returns the whole turn of the cable in which an azimuth lies: 0 for
// 0 to 360 degrees, +1 beyond, -1 below.
func CableTurn(az unit.Angle) int { return int(math.Floor(az.Deg() / 360)) }

// Age returns how old something is, in words: "now", "24 s ago".
func Age(at, now time.Time) string {
	if now.Sub(at) < 2*time.Second {
		return "now"
	}
	return Span(now.Sub(at)) + " ago"
}

// OfferWords says which angle the last reference would give an axis.
func OfferWords(axis desk.Axis, index int) string {
	name := AxisName(index)
	switch {
	case !axis.Fitted:
		return name + " not fitted"
	case axis.Trusted:
		return name + " " + Degrees(axis.Position) + "°, referenced"
	case !axis.HasOffer:
		return name + ": nothing to offer"
	case index == Elevation:
		return name + " " + Degrees(axis.Offered) + "°"
	}
	facing := math.Mod(math.Mod(axis.Offered.Deg(), 360)+360, 360)
	return name + " " + Degrees(axis.Offered) + "°, cable wrap " + Signed(float64(CableTurn(axis.Offered)), 0) +
		", facing " + Number(facing, Decimals) + "°"
}

// Sentence returns words with a capital.
func Sentence(words string) string { return capital(words) }
