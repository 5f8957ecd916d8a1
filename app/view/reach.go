package view

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/drive/mount"
)

// Offer is what a click, or a drag that is not ended, would do.
type Offer struct {
	// Head names the place or the body, Under says how far it is, Next what the
	// next click or key does, or why nothing can be done.
	Head, Under, Next string
	// Ready says that Order can be given; it is nil where there is none.
	Ready bool
	Order desk.Order
}

// Standing returns the axis angles at which the dish is.
func Standing(now Now) desk.AxisAngles {
	return desk.AxisAngles{Az: now.Axes[Azimuth].Position, El: now.Axes[Elevation].Position}
}

// Placed says whether it is known where both axes stand, or last stood.
func Placed(now Now) bool { return !Unheard(now) && Trusted(now) }

// OfferPlace returns the offer to go to axis angles; next says how it is taken.
func OfferPlace(now Now, to desk.AxisAngles, next string) Offer {
	from := Standing(now)
	offer := Offer{
		Head:  "azimuth " + Number(to.Az.Deg(), 1) + "°, elevation " + Number(to.El.Deg(), 1) + "°",
		Under: farWords(now, from, to),
		Next:  next,
		Order: desk.SlewTo{To: to},
	}
	if reason := placeBlocked(now, to); reason != "" {
		offer.Next = reason
		return offer
	}
	offer.Ready = true
	return offer
}

// farWords says how far a place is and how long the way takes.
func farWords(now Now, from, to desk.AxisAngles) string {
	if !Placed(now) {
		return "how far away is not known"
	}
	far := Number(mount.Apart(from, to).Deg(), 1) + "° away"
	seconds := SlewSeconds(now.Scene, from, to)
	if math.IsNaN(seconds) {
		return far
	}
	return far + ", " + slewTime(seconds)
}

// placeBlocked says why the dish can't be sent to axis angles; empty when it can.
func placeBlocked(now Now, to desk.AxisAngles) string {
	if reason := MoveBlocked(now); reason != "" {
		return reason
	}
	switch {
	case !inside(now.Scene, Azimuth, to.Az):
		return "outside the azimuth limits (cable)"
	case !inside(now.Scene, Elevation, to.El):
		return "outside the elevation limits"
	}
	if structure, ok := StructureAt(now.Scene, to.Az); ok && to.El < structure.Min {
		return structure.Name + ": not below " + Number(structure.Min.Deg(), 0) + "°"
	}
	return ""
}

// behindStructure returns the structure above which the dish is kept while the target stands lower.
func behindStructure(now Now) (structure desk.Structure, ok bool) {
	if now.Scene == nil || now.OffSource != 0 {
		return structure, false
	}
	structure, ok = StructureAt(now.Scene, now.Target.Az)
	return structure, ok && now.Target.El < structure.Min
}

// StructureAt returns the tallest structure at an azimuth.
func StructureAt(scene *desk.Scene, az unit.Angle) (tallest desk.Structure, ok bool) {
	for _, structure := range scene.Structures {
		from := (az - structure.From).Mod1()
		if from <= (structure.To-structure.From).Mod1() && (!ok || structure.Min > tallest.Min) {
			tallest, ok = structure, true
		}
	}
	return tallest, ok
}

// SlewSeconds returns how long the axes take, each at its own top speed and
// acceleration from rest to rest; NaN where the speeds are not known. Ways
// around structures are left out.
func SlewSeconds(scene *desk.Scene, from, to desk.AxisAngles) float64 {
	return max(
		axisSeconds((to.Az-from.Az).Rad(), scene.TopPerS[Azimuth].Rad(), scene.AccelerationPerS2[Azimuth].Rad()),
		axisSeconds((to.El-from.El).Rad(), scene.TopPerS[Elevation].Rad(), scene.AccelerationPerS2[Elevation].Rad()))
}

// axisSeconds is the time of a motion from rest to rest at an even acceleration.
func axisSeconds(far, top, acceleration float64) float64 {
	far = math.Abs(far)
	if !(top > 0 && acceleration > 0) {
		return math.NaN()
	}
	if far < top*top/acceleration { // the top speed is not reached
		return 2 * math.Sqrt(far/acceleration)
	}
	return far/top + top/acceleration
}

// OfferBody returns the offer to make a body the target, or to track it when it is.
func OfferBody(now Now, body desk.Body) Offer {
	az := Branch(now.Scene, body.Az, Heading(now))
	offer := Offer{
		Head:  body.Name + " " + Degrees(body.Az) + "°, " + Degrees(body.El) + "°",
		Under: farWords(now, Standing(now), desk.AxisAngles{Az: az, El: body.El}),
	}
	switch {
	case !isTarget(now, body):
		offer.Next, offer.Ready = "click again: make it the target", true
		if Following(now) {
			offer.Next = "click again: track it instead"
		}
		offer.Order = desk.Choose{Body: choiceOf(now, body)}
	case Following(now):
		offer.Next = "the target"
	case TrackBlocked(now) != "":
		offer.Next = "the target; " + TrackBlocked(now)
	default:
		offer.Next, offer.Ready = "click again: "+lower(TrackWords(now)), true
		offer.Order = desk.Track{On: true}
	}
	return offer
}

// isTarget says whether a mark is that of the target.
func isTarget(now Now, body desk.Body) bool {
	choice := now.Target.Choice
	if body.Kind != choice.Kind {
		return false
	}
	return body.Kind == desk.Moon || body.Kind == desk.Sun || body.Name == now.Target.Name
}

func choiceOf(now Now, body desk.Body) desk.BodyChoice {
	if isTarget(now, body) {
		return now.Target.Choice
	}
	choice := desk.BodyChoice{Kind: body.Kind}
	if body.Kind == desk.Source {
		choice.Name = body.Name
	}
	return choice
}

// GoingTo returns where the axes are on their way to; ok is false when they are
// not going to a place far enough off to be worth a mark.
func GoingTo(now Now) (to desk.AxisAngles, ok bool) {
	az, el := now.Axes[Azimuth], now.Axes[Elevation]
	if !az.HasSetpoint || !el.HasSetpoint {
		return to, false
	}
	to = desk.AxisAngles{Az: az.Setpoint, El: el.Setpoint}
	const far = 1.5 // degrees
	return to, mount.Between(az.Position, el.Position, to.Az, to.El).Deg() > far ||
		math.Abs((az.Position-to.Az).Deg()) > far
}

// Course returns the corners of the way between two axis places when both axes
// start together and each keeps its top speed: at first aslant, then along the
// axis that has farther to go.
func Course(scene *desk.Scene, from, to desk.AxisAngles) []desk.AxisAngles {
	az, el := scene.TopPerS[Azimuth].Rad(), scene.TopPerS[Elevation].Rad()
	if !(az > 0 && el > 0) {
		return []desk.AxisAngles{from, to}
	}
	azTime, elTime := math.Abs((to.Az-from.Az).Rad())/az, math.Abs((to.El-from.El).Rad())/el
	first := min(azTime, elTime)
	if first <= 0 || azTime == elTime {
		return []desk.AxisAngles{from, to}
	}
	corner := desk.AxisAngles{
		Az: from.Az + (to.Az - from.Az).Mul(first/azTime),
		El: from.El + (to.El - from.El).Mul(first/elTime),
	}
	return []desk.AxisAngles{from, corner, to}
}

// OneAxis returns an order to go to a place with the other axis left where it
// is wanted: one that tracks a target gives that up all the same.
func OneAxis(to desk.AxisAngles, axis int) desk.SlewTo {
	if axis == Azimuth {
		to.El = unit.Angle(math.NaN())
	} else {
		to.Az = unit.Angle(math.NaN())
	}
	return desk.SlewTo{To: to}
}
