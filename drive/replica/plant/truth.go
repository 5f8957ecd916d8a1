package plant

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
)

// Truth is what really is.
type Truth struct {
	Elapsed time.Duration
	Now     time.Time
	// Axis is where the axes stand, as a faultless encoder on the dish side
	// would show them; Rate a second. Motor is the motor side in the same angle.
	Axis, Rate, Motor [2]unit.Angle
	// ZeroAngle is the axis angle of the encoder's edge at which its counter
	// stands at 0 counts, edges being even: what a reference has to find.
	ZeroAngle [2]unit.Angle
	// Azimuth (0 to a turn) and Elevation in the sky of the beam of the band in force.
	Azimuth, Elevation unit.Angle
	// CurrentA of the motors; TorqueNm that teeth give the dish.
	CurrentA, TorqueNm [2]float64
	WindMPS            float64
	WindFrom           unit.Angle
	// SystemK is the noise of receiver and antenna, ColdK without Sun, Moon and sources.
	SystemK, ColdK float64
	Powered, Keyed bool
}

// Truth returns it.
func (p *Plant) Truth() Truth {
	t := Truth{
		Elapsed: p.Elapsed(), Now: p.Now(), WindMPS: p.weather.speedMPS, WindFrom: unit.Angle(p.weather.from).Mod1(),
		Powered: p.powered, Keyed: p.keying.keyed(), SystemK: p.systemK(), ColdK: p.radio.coldK + p.band().ReceiverK,
	}
	for i := range p.axes {
		m := &p.axes[i]
		t.Axis[i], t.Rate[i], t.Motor[i] = unit.Angle(m.hub), unit.Angle(m.hubSpeed), unit.Angle(m.motor-m.slip)
		t.CurrentA[i], t.TorqueNm[i] = m.currentA, m.teethNm
		t.ZeroAngle[i] = unit.Angle(p.readers[i].zeroAngle())
	}
	azimuth, elevation := p.beam().place()
	t.Azimuth, t.Elevation = unit.Angle(azimuth), unit.Angle(elevation)
	return t
}

// beam is where the beam of the band in force looks, bent by the wind.
func (p *Plant) beam() vector {
	az, el, b := &p.axes[0], &p.axes[1], p.band()
	across := (az.dish-az.hub)*math.Cos(el.hub) + b.SquintCross.Rad()
	return p.config.Mount.aim(az.hub, el.hub, across, el.dish-el.hub+b.SquintUp.Rad())
}
