package view

import (
	"math"
	"strconv"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/drive/mount"
)

// Spot is a place in the beam view: true angle on the sky from its centre,
// cross-elevation positive clockwise, elevation positive upwards.
type Spot struct{ Cross, El unit.Angle }

// Plus adds two spots.
func (s Spot) Plus(other Spot) Spot { return Spot{s.Cross + other.Cross, s.El + other.El} }

// Minus returns the way from other to s.
func (s Spot) Minus(other Spot) Spot { return Spot{s.Cross - other.Cross, s.El - other.El} }

// Far returns the distance from the centre.
func (s Spot) Far() unit.Angle {
	return unit.Angle(math.Hypot(s.Cross.Rad(), s.El.Rad()))
}

// Disc is a body in the beam view.
type Disc struct {
	Kind     desk.BodyKind
	Name     string
	At       Spot
	Diameter unit.Angle // 0 for a point
	Target   bool
}

// Beam is what the beam view shows at one moment.
type Beam struct {
	// Known says that it is known where the beam looks.
	Known bool
	// Reach is the angle from the centre to the nearer edges.
	Reach unit.Angle
	// HalfPower is the half-power beamwidth, full angle.
	HalfPower unit.Angle
	// Position is where the beam is, Setpoint where it is wanted; the centre is the setpoint
	// where there is one within reach, else the beam.
	Position, Setpoint Spot
	HasSetpoint        bool
	// Discs are the bodies near enough to be seen, and the target in any case.
	Discs []Disc
}

// reachInBeamwidths is how far the beam view reaches.
const reachInBeamwidths = 1.25

// BeamOf returns what the beam view shows. Bodies stand where they are beside
// the beam, with trim and mount model taken out: the target in the middle of the
// half-power circle is a target in the beam.
func BeamOf(now Now) Beam { return BeamZoomed(now, 1) }

// BeamZoomed is BeamOf with the view magnified about its centre.
func BeamZoomed(now Now, zoom float64) Beam {
	half := now.Band.HalfPower
	if half <= 0 {
		half = unit.AngleFromDeg(1)
	}
	b := Beam{HalfPower: half, Reach: half.Mul(reachInBeamwidths / zoom)}
	if now.Replay != "" { // of which band is not recorded
		b.HalfPower = 0
	}
	if Unheard(now) || !Trusted(now) {
		return b // where the beam looks isn't known
	}
	b.Known = true
	az, el := now.Axes[Azimuth], now.Axes[Elevation]
	is := Standing(now).Uncorrected()
	b.HasSetpoint = az.HasSetpoint && el.HasSetpoint
	if b.HasSetpoint {
		setpoint := desk.AxisAngles{Az: az.Setpoint, El: el.Setpoint}.Uncorrected()
		toIs := spotTo(setpoint, is)
		if toIs.Far() <= b.Reach {
			b.Position = toIs
		} else {
			b.Setpoint = spotTo(is, setpoint)
		}
	}
	b.Discs = b.discs(now, is)
	return b
}

// spotTo returns the way from one direction to another along the great circle,
// exact at any distance: the chart keeps distances and bearings from its origin.
func spotTo(from, to mount.SkyDirection) Spot {
	sinAz, cosTo := (to.Az - from.Az).Sin(), to.El.Cos()
	half := ((to.Az - from.Az) / 2).Sin()
	across := sinAz * cosTo
	up := (to.El - from.El).Sin() + 2*from.El.Sin()*cosTo*half*half
	length := math.Hypot(across, up)
	if length == 0 {
		return Spot{}
	}
	far := mount.Apart(from, to)
	return Spot{far.Mul(across / length), far.Mul(up / length)}
}

// nearBy is the angle up to which an offset from the target is a place in the
// view; beyond, the mount model matters less than the curvature of the offset.
const nearBy = 5 // degrees

// discs returns the bodies in reach.
func (b Beam) discs(now Now, is mount.SkyDirection) []Disc {
	reference := is // without a target the axis angles stand for the sky
	target := b.Position
	if now.Target.Choice.Kind != desk.NoBody {
		reference = mount.SkyDirection{Az: now.Target.Az, El: now.Target.El}
		off := Spot{now.OffCross, now.OffEl}
		target = b.Position.Minus(off)
		if off.Far().Deg() > nearBy {
			target = b.Position.Plus(spotTo(is, reference))
		}
	}
	var discs []Disc
	seen := false
	for _, body := range now.Bodies {
		chosen := isTarget(now, body)
		at := target
		if !chosen {
			at = target.Plus(spotTo(reference, mount.SkyDirection{Az: body.Az, El: body.El}))
		}
		if !chosen && at.Far() > b.Reach.Mul(1.5)+body.Diameter/2 {
			continue
		}
		seen = seen || chosen
		discs = append(discs, Disc{body.Kind, body.Name, at, body.Diameter, chosen})
	}
	if !seen && now.Target.Choice.Kind != desk.NoBody {
		discs = append(discs, Disc{now.Target.Choice.Kind, now.Target.Name, target, now.Target.Diameter, true})
	}
	return discs
}

// Target returns the target's disc; ok is false where there is none.
func (b Beam) Target() (Disc, bool) {
	for _, disc := range b.Discs {
		if disc.Target {
			return disc, true
		}
	}
	return Disc{}, false
}

// Ring returns the spacing of the rings: a round angle, two to four of them in reach.
func (b Beam) Ring() unit.Angle {
	reach := b.Reach.Deg()
	ring := math.Pow(10, math.Floor(math.Log10(reach)))
	for _, part := range []float64{0.2, 0.25, 0.5, 1, 2} {
		if reach/(ring*part) < 4 {
			return unit.AngleFromDeg(ring * part)
		}
	}
	return unit.AngleFromDeg(ring * 2.5)
}

// Words returns the words around the beam view: its scale, how far the
// beam is off the setpoint, and what that costs.
func (b Beam) Words(now Now) (scale, off, loss Phrase) {
	decimals := 1
	if b.Ring().Deg() < 0.1 {
		decimals = 2
	}
	scale = Phrase{"±" + Number(b.Reach.Deg(), decimals) + "°, rings " + short(round2(b.Ring().Deg())) + "°", Faint}
	switch {
	case Unheard(now):
		return scale, Phrase{"not known yet", Faint}, Phrase{}
	case now.Replay != "" && !b.Known:
		return scale, Phrase{"position " + notRecorded, Old}, Phrase{}
	case now.Replay != "":
		if b.HasSetpoint {
			off = Phrase{Degrees(now.Off) + "° error", Plain}
		}
		return scale, off, Phrase{"target " + notRecorded, Old}
	case !now.Live:
		return scale, Phrase{"last known", Attention}, Phrase{}
	}
	if !b.Known {
		return scale, Phrase{"not referenced", Attention}, Phrase{}
	}
	off = Phrase{"no command", Faint}
	if b.HasSetpoint {
		off = Phrase{Degrees(now.Off) + "° error", Plain}
	}
	if now.Activity == desk.Tracking && now.Target.Choice.Kind == desk.Moon { // the Moon alone sends an echo back
		words := "two-way pointing loss "
		if now.EchoLossDB > mostLossDB { // the words are longer, and stand beside the error
			words = "two-way loss "
		}
		loss = Phrase{words + Loss(now.EchoLossDB), Plain}
	}
	return scale, off, loss
}

// round2 takes the rounding of the conversion to degrees out.
func round2(v float64) float64 { return math.Round(v*1000) / 1000 }

// mostLossDB is the largest loss that is shown as a figure.
const mostLossDB = 30

// Loss returns a loss in dB, such as "2.4 dB" or "over 30 dB".
func Loss(db float64) string {
	switch {
	case math.IsNaN(db):
		return Missing
	case db > mostLossDB:
		return "over 30 dB"
	}
	return Number(db, 1) + " dB"
}

// FarWords names a body that lies outside the view, and how far.
func FarWords(disc Disc) string {
	far := disc.At.Far().Deg()
	decimals := 1
	if far >= 10 {
		decimals = 0
	}
	return disc.Name + " " + Number(far, decimals) + "° away"
}

// NudgeBlocked says why the dish can't be moved by hand now; empty when it can.
func NudgeBlocked(now Now) string {
	reason := MoveBlocked(now)
	if reason != "" && now.Live && !now.Lock.Locked && !now.Working {
		return "" // an axis that is not trusted may be jogged
	}
	return reason
}

// NudgeMoves says in few words what the arrows move now.
func NudgeMoves(now Now) Phrase {
	switch {
	case NudgeBlocked(now) != "":
		return Phrase{"arrows: off", Faint}
	case !Trusted(now):
		return Phrase{"arrows jog", Attention}
	case Following(now):
		return Phrase{"arrows: trim", Wanted}
	}
	return Phrase{"arrows: command", Wanted}
}

// StepCount is how many steps the arrows can be given.
const StepCount = 4

// Steps are the steps of the arrows for a half-power beamwidth, degrees of true angle on the sky: a
// tenth and a half of the beam, then 0.1 and 1 degree. A tenth costs 0.24 dB of an echo and a half
// 6 dB, whatever the dish; those of the beam are rounded to what the trim is shown with.
func Steps(halfPower unit.Angle) [StepCount]float64 {
	round := func(deg float64) float64 { return max(0.01, math.Round(deg*100)/100) }
	return [StepCount]float64{round(halfPower.Deg() / 10), round(halfPower.Deg() / 2), 0.1, 1}
}

// StepWords is a step in degrees, with as many decimals as it has.
func StepWords(degrees float64) string { return short(round2(degrees)) + "°" }

// StepTip says what one of the Steps is and which key chooses it.
func StepTip(index int, degrees float64) string {
	part := [StepCount]string{", a tenth of the half-power beamwidth", ", half of the half-power beamwidth", "",
		""}[index]
	return "One step of the arrows: " + StepWords(degrees) + " on the sky" + part + " (" + strconv.Itoa(index+1) + ")"
}

// NudgeTip says what an arrow does: moves are the words of NudgeMoves, step is in degrees.
func NudgeTip(moves string, step float64, heading string) string {
	return "One step of " + StepWords(step) + " on the sky, " + heading + " (" + moves + "); held down, slow motion"
}
