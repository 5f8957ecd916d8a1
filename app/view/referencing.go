package view

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// largeChange is how far a reference may move a position without a word of caution, degrees.
const largeChange = 2

// NewPosition is a position that is about to be set: the angles of those axes that are given.
type NewPosition struct {
	Angles [2]unit.Angle
	Given  [2]bool
}

// FromTarget is the position if the beam is on the target now; ok is false where the target is not up.
func FromTarget(now Now) (p NewPosition, ok bool) {
	r := now.Referencing
	for i, angle := range [2]unit.Angle{r.Az, r.El} {
		p.Angles[i], p.Given[i] = angle, now.Axes[i].Fitted
	}
	return p, now.Live && r.HasTarget
}

// PositionLine says what an axis becomes: old, new, and by how much.
func PositionLine(now Now, index int, p NewPosition) Phrase {
	axis, name := now.Axes[index], AxisName(index)
	switch {
	case !p.Given[index]:
		return Phrase{name + " stays as it is", Faint}
	case !axis.Trusted && !axis.HasOffer:
		return Phrase{name + " not referenced → " + Degrees(p.Angles[index]) + "°", Plain}
	}
	before := axis.Position
	if !axis.Trusted {
		before = axis.Offered
	}
	// Of the angles as they are shown: the eye takes them away from each other.
	by := shownAngle(p.Angles[index]) - shownAngle(before)
	words := name + " " + Degrees(before) + "° → " + Degrees(p.Angles[index]) + "°, by " + Signed(by, Decimals) + "°"
	if !axis.Trusted {
		words += " from the last known position"
	}
	if math.Abs(by) > largeChange {
		return Phrase{words, Attention}
	}
	return Phrase{words, Plain}
}

// shownAngle is an angle as it is shown, degrees.
func shownAngle(angle unit.Angle) float64 {
	scale := math.Pow10(Decimals)
	return math.Round(angle.Deg()*scale) / scale
}

// PositionCaution is what to look at before a position is set.
func PositionCaution(now Now, p NewPosition) Phrase {
	for i := range now.Axes {
		if PositionLine(now, i, p).Tone == Attention {
			return Phrase{"A large change: check the target, the time and the cable wrap first.", Attention}
		}
	}
	return Phrase{"Limits, park place and cable wrap follow the new position.", Faint}
}

// PositionBlocked says why a position can't be set now; empty when it can.
// Where the beam is on a target the axes may follow it meanwhile; an angle that was read is of an axis that stands.
func PositionBlocked(now Now, p NewPosition, following bool) string {
	if !now.Live {
		return "no contact with the dish"
	}
	for i, axis := range now.Axes {
		if p.Given[i] && axis.Moving && !following {
			return "wait until the axis has stopped"
		}
	}
	if !p.Given[0] && !p.Given[1] {
		return "the target is not up"
	}
	return ""
}

// SetFromWords are the words of the button that sets the position from the target.
func SetFromWords(now Now) string {
	if now.Target.Choice.Kind == desk.NoBody {
		return "Set position from the target…"
	}
	return "Set position from " + named(now.Target) + "…"
}

// UndoReferenceWords says what undoing the newest reference would do; ok is false where there is none to undo.
func UndoReferenceWords(now Now) (words string, ok bool) {
	for i, u := range now.Referencing.Undo {
		if !u.Can {
			continue
		}
		line := AxisName(i) + " back to not referenced"
		if u.Trusted {
			line = AxisName(i) + " back to " + Degrees(u.To) + "°"
		}
		if words != "" {
			line = ", " + lower(line)
		}
		words += line
	}
	return words, words != ""
}
