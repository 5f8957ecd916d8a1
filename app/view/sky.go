package view

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// SkyPlot is the geometry of the panorama: azimuth over the whole cable wrap
// along x, elevation upwards, both even. Lengths are in units from the upper
// left corner of the plot.
type SkyPlot struct {
	LowAz, HighAz, LowEl, HighEl unit.Angle // at the edges
	Width, Height                float64
}

// beyondEnds is how far the panorama reaches beyond the azimuth's ends.
const beyondEnds = 4 // degrees

// SkyPlotOf returns the panorama of a scene in a plot of a size. Elevation runs
// from the horizon to the zenith, and further where the axis goes further.
func SkyPlotOf(scene *desk.Scene, width, height float64) SkyPlot {
	low := min(scene.SoftLow[Azimuth], scene.EndLow[Azimuth]) - unit.AngleFromDeg(beyondEnds)
	high := max(scene.SoftHigh[Azimuth], scene.EndHigh[Azimuth]) + unit.AngleFromDeg(beyondEnds)
	if high-low < unit.AngleFromDeg(1+2*beyondEnds) { // no limits are known
		low, high = 0, unit.AngleFromDeg(360)
	}
	return SkyPlot{
		LowAz: low, HighAz: high,
		LowEl: min(0, scene.SoftLow[Elevation]), HighEl: max(unit.AngleFromDeg(90), scene.SoftHigh[Elevation]),
		Width: max(width, 1), Height: max(height, 1),
	}
}

// Part returns the plot magnified: what lies between two parts of its width, from the left, and two of its height, from
// above, fills all of it.
func (p SkyPlot) Part(left, right, top, bottom float64) SkyPlot {
	part := p
	part.LowAz, part.HighAz = p.Az(left*p.Width), p.Az(right*p.Width)
	part.HighEl, part.LowEl = p.El(top*p.Height), p.El(bottom*p.Height)
	return part
}

// X returns where an axis azimuth lies; outside the plot for one beyond its edges.
func (p SkyPlot) X(az unit.Angle) float64 {
	return (az - p.LowAz).Rad() / (p.HighAz - p.LowAz).Rad() * p.Width
}

// Y returns where an elevation lies.
func (p SkyPlot) Y(el unit.Angle) float64 {
	return (p.HighEl - el).Rad() / (p.HighEl - p.LowEl).Rad() * p.Height
}

// Az returns the axis azimuth at x: the inverse of X.
func (p SkyPlot) Az(x float64) unit.Angle {
	return p.LowAz + (p.HighAz - p.LowAz).Mul(x/p.Width)
}

// El returns the elevation at y: the inverse of Y.
func (p SkyPlot) El(y float64) unit.Angle {
	return p.HighEl - (p.HighEl - p.LowEl).Mul(y/p.Height)
}

// turn is a whole turn.
const turn = unit.Angle(2 * math.Pi)

// Branches returns every axis azimuth in the plot at which a direction stands
// before the dish: they differ by whole turns of the cable.
func (p SkyPlot) Branches(az unit.Angle) []unit.Angle {
	var all []unit.Angle
	first := az - turn.Mul(math.Floor((az-p.LowAz).Rad()/turn.Rad()))
	for ; first <= p.HighAz; first += turn {
		all = append(all, first)
	}
	return all
}

// Branch returns the axis azimuth of a direction, of those within the soft
// limits, that is nearest to the axis azimuth near.
func Branch(scene *desk.Scene, az, near unit.Angle) unit.Angle {
	nearest := near + unit.Angle(math.Remainder((az-near).Rad(), turn.Rad()))
	if inside(scene, Azimuth, nearest) {
		return nearest
	}
	for _, other := range []unit.Angle{nearest - turn, nearest + turn} {
		if inside(scene, Azimuth, other) {
			return other
		}
	}
	return nearest
}

// inside says whether an axis angle is within the soft limits.
func inside(scene *desk.Scene, axis int, angle unit.Angle) bool {
	const rounding = 1e-9
	return angle >= scene.SoftLow[axis]-rounding && angle <= scene.SoftHigh[axis]+rounding
}

// Heading returns the axis azimuth that decides which branch is meant: where
// the azimuth is wanted, or else where it is; the middle of its range where that is not known.
func Heading(now Now) unit.Angle {
	axis := now.Axes[Azimuth]
	switch {
	case !axis.Trusted && now.Scene != nil:
		return (now.Scene.SoftLow[Azimuth] + now.Scene.SoftHigh[Azimuth]) / 2
	case axis.HasSetpoint:
		return axis.Setpoint
	}
	return axis.Position
}

// Way is an arc laid out over the cable wrap.
type Way struct {
	Kind desk.BodyKind
	Name string
	// Points of the arc on the branch that is chosen; azimuth runs on, it does not jump.
	Points []desk.ArcPoint
	// Others are the whole turns, other than 0, at which a part of it lies in the plot too.
	Others []int
	// Target says that it is the target's.
	Target bool
}

// Ways lays the arcs of the scene out over the plot, the target's last.
func Ways(now Now, plot SkyPlot) []Way {
	var ways, target []Way
	for _, arc := range now.Scene.Arcs {
		if len(arc.Points) == 0 {
			continue
		}
		way := Way{Kind: arc.Kind, Name: arc.Name, Points: unfold(arc.Points)}
		way.Target = arc.Kind == now.Target.Choice.Kind && (arc.Kind != desk.Source || arc.Name == now.Target.Name)
		way.shift(way.turns(now))
		way.Others = way.others(plot)
		if way.Target {
			target = append(target, way)
			continue
		}
		ways = append(ways, way)
	}
	return append(ways, target...)
}

// unfold copies the points so that the azimuth never jumps by more than half a turn.
func unfold(points []desk.ArcPoint) []desk.ArcPoint {
	way := make([]desk.ArcPoint, len(points))
	for i, point := range points {
		if i > 0 {
			before := way[i-1].Az
			point.Az = before + unit.Angle(math.Remainder((point.Az-before).Rad(), turn.Rad()))
		}
		way[i] = point
	}
	return way
}

// turns returns by how many turns the way must be shifted. While its body is
// tracked the dish has chosen the branch; else it is the one on which most of
// the way lies within the soft limits, and of several the nearest.
func (w Way) turns(now Now) int {
	at := w.place(now.At)
	here := int(math.Round((Heading(now) - at).Rad() / turn.Rad()))
	if w.Target && now.Activity == desk.Tracking {
		return here
	}
	best, minimum := here, math.MaxInt
	for _, turns := range []int{here, here - 1, here + 1} {
		outside := 0
		for _, point := range w.Points {
			if point.El > 0 && !inside(now.Scene, Azimuth, point.Az+turn.Mul(float64(turns))) {
				outside++
			}
		}
		if outside < minimum {
			best, minimum = turns, outside
		}
	}
	return best
}

// place returns the azimuth of the way at a moment, at its ends beyond them.
func (w Way) place(at time.Time) unit.Angle {
	for _, point := range w.Points {
		if !point.At.Before(at) {
			return point.Az
		}
	}
	return w.Points[len(w.Points)-1].Az
}

func (w Way) shift(turns int) {
	for i := range w.Points {
		w.Points[i].Az += turn.Mul(float64(turns))
	}
}

// others returns the turns, other than 0, that bring a part of the way into the plot.
func (w Way) others(plot SkyPlot) []int {
	var all []int
	for _, turns := range []int{-2, -1, 1, 2} {
		for _, point := range w.Points {
			if az := point.Az + turn.Mul(float64(turns)); point.El > 0 && az > plot.LowAz && az < plot.HighAz {
				all = append(all, turns)
				break
			}
		}
	}
	return all
}

// HourMark is a whole hour on a way.
type HourMark struct {
	Az, El unit.Angle
	Words  string // "18"
}

// Hours returns the whole hours, UTC, at which the body is up.
func (w Way) Hours() []HourMark {
	var hours []HourMark
	for _, point := range w.Points {
		if at := point.At.UTC(); at.Equal(at.Truncate(time.Hour)) && point.El >= 0 {
			hours = append(hours, HourMark{point.Az, point.El, at.Format("15")})
		}
	}
	return hours
}

// HorizonAt returns the elevation of the surveyed horizon; 0 where there is none.
func HorizonAt(scene *desk.Scene, az unit.Angle) unit.Angle {
	n := len(scene.Horizon)
	if n == 0 {
		return 0
	}
	place := az.Mod1().Rad() / turn.Rad() * float64(n)
	before := int(place) % n
	part := place - math.Floor(place)
	return scene.Horizon[before].Mul(1-part) + scene.Horizon[(before+1)%n].Mul(part)
}

// Compass returns the name of an eighth of the circle, such as "NE".
func Compass(az unit.Angle) string {
	names := [...]string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"}
	return names[int(math.Round(az.Mod1().Deg()/45))%len(names)]
}

// SkyMark is a body at one place of the panorama.
type SkyMark struct {
	desk.Body
	// Axis is the axis azimuth at which it is drawn.
	Axis unit.Angle
	// Chosen is the branch on which the dish would look at it; the others are drawn faintly.
	Chosen bool
	Target bool
}

// SkyMarks appends the bodies above the horizon to into, on every branch in the
// plot; the target's last, so that it lies on top.
func SkyMarks(now Now, plot SkyPlot, into []SkyMark) []SkyMark {
	for _, wanted := range []bool{false, true} {
		for _, body := range now.Bodies {
			target := isTarget(now, body)
			if target != wanted || body.El < max(0, plot.LowEl) || body.El > plot.HighEl {
				continue
			}
			chosen := Branch(now.Scene, body.Az, Heading(now))
			for _, az := range plot.Branches(body.Az) {
				same := math.Abs((az - chosen).Rad()) < 1e-6
				into = append(into, SkyMark{Body: body, Axis: az, Chosen: same, Target: target})
			}
		}
	}
	return into
}
