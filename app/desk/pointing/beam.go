// Package pointing is where the beam is pointed and how it gets there: the way through a pass on the cable wrap, the
// course for the next minute, what lies beside the target, and ways round the Sun. All of it follows from a Beam.
package pointing

import (
	"math"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/drive/mount"
)

// Beam is where the beam is pointed, at a moment. It is a value; nothing here changes it.
type Beam struct {
	Config *station.Config
	At     time.Time
	// TimeScale is how many times as fast as the axes the sky moves on; 0 as 1.
	TimeScale int
	Target    station.Target
	// Chain is the way from the sky to the axes, the operator's trim with it.
	Chain     mount.Chain
	Route     Route
	Excursion Excursion
	// Axes is where they are now.
	Axes mount.AxisAngles
	// HalfPower is the beamwidth and Hz the frequency of the band in use.
	HalfPower unit.Angle
	Hz        float64
}

// AxesAt are the axis angles for the target at a moment, on the branch of the
// cable wrap nearest to where the axes are.
func (b *Beam) AxesAt(at time.Time) (mount.AxisAngles, bool) { return b.axesAt(at, b.Axes.Az) }

func (b *Beam) axesAt(at time.Time, near unit.Angle) (mount.AxisAngles, bool) {
	d, _, ok := b.Config.Place(b.Target, at)
	if !ok {
		return mount.AxisAngles{}, false
	}
	chain := b.Chain
	chain.Trim = chain.Trim.Plus(b.Excursion.OffsetAt(at, d))
	axes := chain.Axes(d)
	axes.Az = station.Nearest(axes.Az, near)
	return axes, true
}

// Off is where the beam is from the target when the axes stand somewhere, trim included.
func (b *Beam) Off(axes mount.AxisAngles, at time.Time) (mount.Offset, bool) {
	d, _, ok := b.Config.Place(b.Target, at)
	if !ok {
		return mount.Offset{}, false
	}
	return d.OffsetTo(b.Chain.Untrimmed(axes)), true
}

// Lasts is about how long the way to a place takes.
func (b *Beam) Lasts(to mount.AxisAngles) time.Duration {
	az, el := b.secondsOnWay(b.Axes, to)
	longest := 0.0
	for i, s := range [...]float64{az, el} {
		if x := &b.Config.Drive.Axes[i]; x.Fitted && s > 0 && x.Drive.Acceleration > 0 {
			longest = max(longest, s+x.Drive.TopSpeed.Rad()/x.Drive.Acceleration.Rad())
		}
	}
	return station.Seconds(min(longest, 3600))
}

// OnWrap is the angle that differs from az by whole turns, lies within the
// azimuth limits and nearest to near; ok is false where there is none.
func OnWrap(az, near unit.Angle, l mount.Limits) (unit.Angle, bool) {
	first := station.Nearest(az, near)
	for _, turns := range [...]float64{0, -1, 1, -2, 2} {
		if a := first + unit.Angle(turns*2*math.Pi); l.Inside(a) {
			return a, true
		}
	}
	return first, false
}

// LossDB is the echo lost when the beam is off by an angle, both ways,
// for a Gaussian beam: 12.04 dB times the square of the angle in beamwidths, each way.
func LossDB(off, halfPower unit.Angle) float64 {
	part := off.Rad() / halfPower.Rad()
	return 2 * 12.04 * part * part
}

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }
