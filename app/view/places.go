package view

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// Wrap is one of the axis azimuths at which the dish looks at a place: they differ by whole turns of the cable.
type Wrap struct {
	To desk.AxisAngles
	// Words tell which it is, the axis azimuth, how far that turns and how long the slew takes, or why it can't be.
	Words   string
	Blocked bool
}

// AzimuthRange are the azimuths, in degrees, that may be entered for a place: a circle, and what the axis reaches
// beyond.
func AzimuthRange(now Now) (low, high float64) {
	if now.Scene == nil {
		return 0, 360
	}
	// Radians don't hold whole degrees, which are told.
	degrees := func(angle unit.Angle) float64 { return math.Round(angle.Deg()*1e6) / 1e6 }
	return min(0, degrees(now.Scene.SoftLow[Azimuth])), max(360, degrees(now.Scene.SoftHigh[Azimuth]))
}

// Wraps are the ways to look at a place, the nearest first: one, or more where the azimuth's travel exceeds a whole
// turn. An azimuth outside the circle means that wrap, which comes first then.
func Wraps(now Now, to desk.AxisAngles) []Wrap {
	var all []unit.Angle
	for turns := -2; turns <= 2; turns++ {
		if az := to.Az + turn.Mul(float64(turns)); inside(now.Scene, Azimuth, az) {
			all = append(all, az)
		}
	}
	if len(all) == 0 {
		all = []unit.Angle{to.Az}
	}
	meant := to.Az < 0 || to.Az > turn
	far := func(az unit.Angle) float64 {
		if meant && az == to.Az {
			return -1
		}
		return math.Abs((az - Heading(now)).Rad())
	}
	slices.SortStableFunc(all, func(a, b unit.Angle) int { return cmp.Compare(far(a), far(b)) })
	wraps := make([]Wrap, len(all))
	for i, az := range all {
		wraps[i] = wrapOf(now, desk.AxisAngles{Az: az, El: to.El})
		wraps[i].Words = wrapName(i, len(all), meant) + wraps[i].Words
	}
	return wraps
}

// wrapName is what the i-th of the wraps is called.
func wrapName(i, of int, meant bool) string {
	switch {
	case of == 1:
		return "Only wrap, "
	case i == 0 && meant:
		return "Wrap entered, "
	case i == 0:
		return "Nearer wrap, "
	}
	return "Other wrap, "
}

func wrapOf(now Now, to desk.AxisAngles) Wrap {
	w := Wrap{To: to, Words: Number(to.Az.Deg(), 1) + "°: "}
	if reason := placeBlocked(now, to); reason != "" {
		w.Words, w.Blocked = w.Words+reason, true
		return w
	}
	if !Placed(now) {
		w.Words += "how far away is not known"
		return w
	}
	from := Standing(now)
	w.Words += "azimuth turns " + Number(math.Abs((to.Az-from.Az).Deg()), 1) + "°"
	if seconds := SlewSeconds(now.Scene, from, to); !math.IsNaN(seconds) {
		w.Words += ", " + slewTime(seconds)
	}
	return w
}

// slewTime is how long a slew takes, never less than it does.
func slewTime(seconds float64) string {
	whole := int(math.Ceil(seconds - 1e-6))
	if whole < 60 {
		return fmt.Sprintf("%d s", whole)
	}
	return fmt.Sprintf("%d min %d s", whole/60, whole%60)
}

// NeverUp says why a place among the stars can't be reached from here; empty when it can at some time. Refraction lifts
// what lies at the horizon by 0.6° (Meeus, Astronomical Algorithms, 2nd ed., chapter 16).
func NeverUp(now Now, declination unit.Angle) string {
	if now.Scene == nil {
		return ""
	}
	const lifted = 0.6 // degrees
	highest := 90 - math.Abs((now.Station.Lat - declination).Deg())
	if highest+lifted >= now.Scene.SoftLow[Elevation].Deg() {
		return ""
	}
	if highest < 0 {
		return "never above the horizon here"
	}
	return "never higher than " + Number(highest, 1) + "° here, below the elevation limits"
}

// PlaceHeads are the words over the columns of PlaceCells.
func PlaceHeads() []string { return []string{"Place", "Az or RA", "El or Dec", ""} }

// PlaceCells are the coordinates of a saved place, and what they are.
func PlaceCells(p desk.BodyChoice) []string {
	if p.Kind == desk.Radec {
		return []string{Number(p.RA.Deg(), 2) + "°", Number(p.Dec.Deg(), 2) + "°", "moves with the sky"}
	}
	return []string{Number(p.Az.Deg(), 2) + "°", Number(p.El.Deg(), 2) + "°", "fixed"}
}

// PlaceEntries are the lines to type in, filled with a saved place: azimuth and elevation, or right ascension and
// declination, degrees, as finely as they were entered.
func PlaceEntries(p desk.BodyChoice) [4]string {
	exact := func(angle unit.Angle) string {
		return strconv.FormatFloat(math.Round(angle.Deg()*1e7)/1e7, 'f', -1, 64)
	}
	if p.Kind == desk.Radec {
		return [4]string{2: exact(p.RA), 3: exact(p.Dec)}
	}
	return [4]string{exact(p.Az), exact(p.El)}
}

// PlaceNamed is the place that is kept under a name.
func PlaceNamed(now Now, name string) (desk.BodyChoice, bool) {
	if now.Status != nil {
		for _, p := range now.Places {
			if desk.SamePlaceName(p.Name, name) {
				return p, true
			}
		}
	}
	return desk.BodyChoice{}, false
}
