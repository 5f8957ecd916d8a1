package view

import (
	"fmt"
	"math"
	"strings"

	"beamhelm/app/desk"
)

// CanMove says whether anything could move: the stop control is filled then.
// Without contact it may, for all that is known.
func CanMove(now Now) bool {
	return !now.Live || now.Power != desk.PowerOff || now.Moving || now.StartingIn > 0 || Armed(now)
}

// Armed says whether a start is under way or waited for.
func Armed(now Now) bool { return now.UnderWay() || now.Starting.Code != "" }

// AgainstFirmware says why a board's firmware is neither written nor read now;
// empty where nothing is against it. A link that is down isn't: a board that
// answers nobody may be the very one to be written.
func AgainstFirmware(now Now) string {
	switch {
	case now.Status == nil || now.Silence >= LostAfter:
		return "nothing is known of the dish"
	case now.Moving || now.StartingIn > 0 || Armed(now):
		return "the dish moves, or is about to: hold it, and switch drive power off"
	case now.Power != desk.PowerOff:
		return "drive power is on: switch it off"
	case now.Status.Armed.Has && !now.Status.Armed.Question:
		return "a pass is armed: disarm it"
	case now.PermitRequested:
		return "the transmit permit is requested: take it back"
	case now.Peak.Running || now.Check.Running || now.Survey.Rounds.Running:
		return "a measurement is running"
	}
	return ""
}

// StopsOnEsc says whether something moves, or is about to: Esc stops it then.
// Else Esc closes what is open and does no more. Without contact it stops: nothing is known.
func StopsOnEsc(now Now) bool {
	if now.Status == nil {
		return true
	}
	return !now.Live || now.Moving || Armed(now) || now.StartingIn > 0 || now.Armed.Has && !now.Armed.Question ||
		now.Power == desk.PowerComingOn || now.Stop.Pending() || now.Peak.Running || now.Check.Running ||
		now.Survey.Rounds.Running ||
		now.Receiving.Running || OwnEchoRuns(now)
}

// EscWords says on what is open what Esc does now.
func EscWords(now Now) Phrase {
	if StopsOnEsc(now) {
		return Phrase{"Esc stops the dish", Attention}
	}
	return Phrase{"Esc closes", Faint}
}

// StopWords follows a stop until the counts stand.
func StopWords(now Now) Phrase {
	switch {
	case now.Stop == desk.StopDefied && now.Live:
		return Phrase{"still moving", Alarming}
	case now.Stop.Pending() && !now.Live:
		return Phrase{"stop requested, not confirmed", Alarming}
	case now.Stop == desk.StopAsked:
		return Phrase{"stop requested", Attention}
	case now.Stop == desk.StopUnseen && !now.Live:
		return Phrase{"stop not confirmed", Alarming}
	case now.Stop == desk.StopStanding && !now.Live:
		return Phrase{"stopped; contact lost since", Attention}
	case now.Stop == desk.StopUnseen:
		return Phrase{"stop not confirmed", Attention}
	case now.Stop == desk.StopStanding:
		return Phrase{"stopped, confirmed", Plain}
	}
	return Phrase{}
}

// MoveBlocked says why no motion to a place can be asked for now; empty when it
// can. Drive power is no hindrance: what is asked for switches it on.
func MoveBlocked(now Now) string {
	switch {
	case !now.Live:
		return "no contact with the dish"
	case now.Lock.Locked:
		return "locked out: release first"
	case now.Working:
		return "working at the dish is set"
	case !Trusted(now):
		return "reference the position first"
	}
	return ""
}

// TrackBlocked says why tracking can't be asked for now; empty when it can.
func TrackBlocked(now Now) string {
	if reason := MoveBlocked(now); reason != "" {
		return reason
	}
	target := now.Target
	switch {
	case target.Choice.Kind == desk.NoBody:
		return "choose a target first"
	case !target.Up && target.Rise.IsZero() && target.Choice.Kind != desk.Fixed:
		return named(target) + " does not rise"
	}
	return ""
}

// Following says whether the target is tracked or waited for.
func Following(now Now) bool {
	return now.Activity == desk.Tracking || now.Activity == desk.Waiting
}

// TrackWords returns the words of the track control.
func TrackWords(now Now) string {
	switch {
	case now.Activity == desk.Tracking && now.Acquiring:
		return "Acquiring"
	case now.Activity == desk.Tracking:
		return "Tracking"
	case now.Activity == desk.Waiting:
		return "Waiting to rise"
	case now.Target.Choice.Kind != desk.NoBody && !now.Target.Up && !now.Target.Rise.IsZero():
		return "Track from " + HourMinute(now.Target.Rise)
	}
	return "Track"
}

// PowerWords returns the words of the power control.
func PowerWords(state desk.PowerState) string {
	switch state {
	case desk.PowerComingOn:
		return "Coming on"
	case desk.PowerOn:
		return "Powered"
	}
	return "Power on"
}

// PermitControl returns the words of the permit control.
func PermitControl(now Now) string {
	switch {
	case !now.Live:
		return "Permit not known"
	case now.Transmit.Unordered:
		return "Permit on"
	case now.Transmit.Permitted:
		return "Permit given"
	case now.PermitRequested:
		return "Permit requested"
	}
	return "Transmit permit"
}

// PermitPurpose is what the permit control is for.
const PermitPurpose = "Request the transmit permit of the sequencer, or withdraw the request"

// PermitTip is what the permit control does, with all that stands against it.
func PermitTip(now Now) string {
	tip := PermitPurpose
	if lines := Inhibits(now); now.Live && len(lines) > 0 {
		tip += ". Against it: " + strings.Join(lines, " ")
	}
	return tip
}

// Banner is what has to be said beside the stop control: a lock-out or a start
// that is announced. Empty words when there is nothing.
type Banner struct {
	Head, Next string
	Tone       Tone
	// Release offers the release; ReleaseReady says whether the cause is gone.
	Release, ReleaseReady bool
	// Cancel offers to cancel the announced start, or to drop a proposal; Confirm to do it.
	Cancel, Confirm bool
}

// BannerOf returns the banner of now.
func BannerOf(now Now) Banner {
	switch {
	case now.Lock.Locked && now.Live && now.Stop == desk.StopDefied:
		return Banner{
			Head: "The dish is moving after a stop", Next: "Open the hard-wired stop. Keep clear of the dish.",
			Tone: Alarming, Release: true,
		}
	case now.Lock.Locked:
		next := now.Lock.Next.String()
		if next == "" && now.Lock.Releasable {
			next = "Press Release when the way is clear."
		}
		return Banner{
			Head: "Locked out: " + now.Lock.Cause.String(), Next: next, Tone: Attention,
			Release: true, ReleaseReady: now.Lock.Releasable && now.Live,
		}
	case now.Proposal.Pending:
		return Banner{
			Head: fmt.Sprintf("Go to %s? %s° away, about %s", now.Proposal.To, Number(now.Proposal.Distance.Deg(), 0),
				Span(now.Proposal.Lasts)),
			Next: fmt.Sprintf("Press once more or Confirm; without that the dish stays, in %d s.",
				max(0, int(math.Ceil(now.Proposal.Left.Seconds())))),
			Tone: Attention, Cancel: true, Confirm: true,
		}
	case now.Starting.Code != "":
		seconds := int(math.Ceil(now.StartingIn.Seconds()))
		return Banner{
			Head: fmt.Sprintf("%s in %d s", now.Starting, max(seconds, 0)),
			Next: "Keep clear of the dish. Cancel keeps it where it is.",
			Tone: Attention, Cancel: true,
		}
	case now.Activity == desk.Holding && setWhileTracking(now):
		return Banner{Head: capital(named(now.Target)) + " has set", Next: "The dish holds here. Park it?", Tone: Plain}
	}
	return Banner{}
}

// setWhileTracking says whether the dish holds because its target set: the
// target is down and the place of the beam is where it went.
func setWhileTracking(now Now) bool {
	target := now.Target
	if target.Up || target.Choice.Kind == desk.NoBody || target.Choice.Kind == desk.Fixed {
		return false
	}
	const near = 10.0 // degrees; a dish that holds near the horizon where its target went down
	return math.Abs(now.OffCross.Deg()) < near && math.Abs(now.OffEl.Deg()) < near
}

// BeamWords names the feed and the half-power beamwidth.
func BeamWords(now Now) string {
	words := "beam " + Degrees(now.Band.HalfPower) + "°"
	if now.Band.Feed != "" {
		words += ", " + now.Band.Feed
	}
	return words
}
