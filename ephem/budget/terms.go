package budget

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/ephem/echo"
)

// Terms are the terms of a signal by way of the Moon, dB unless said: an own echo, or between two stations.
type Terms struct {
	// Has says that there is an answer: power, and a system noise that is known.
	Has            bool
	PowerW         float64 // at the amplifier
	TransmitLossDB float64 // between it and the feed
	// TransmitDBI and ReceiveDBI are the gains of the two dishes; for an own echo both are the same.
	TransmitDBI, ReceiveDBI   float64
	TransmitBeam, ReceiveBeam unit.Angle
	MoonRadius                unit.Angle
	PathDB                    float64 // two-way, between isotropic antennas
	AirDB                     float64 // both ways
	FillingDB                 float64 // the Moon isn't a point
	PointingDB                float64 // the axis is off the Moon's centre, both ways
	PolarisationDB            float64
	// EchoDBM is the power at the port of the antenna that receives.
	EchoDBM, SystemK float64
	// DensityDBHz is all of the signal's power over the noise in 1 Hz.
	DensityDBHz float64
	SpreadHz    float64 // limb to limb
}

// In is the signal over the noise in some bandwidth, dB, as if all of it went through.
func (t Terms) In(hz float64) float64 { return t.DensityDBHz - 10*math.Log10(hz) }

// InSpread is the signal's power over the noise in its own width: the figure that says whether it can be
// found by eye or ear.
func (t Terms) InSpread() float64 { return t.In(t.SpreadHz) }

// boltzmannDBW is Boltzmann's constant in dBW per kelvin and hertz.
var boltzmannDBW = 10 * math.Log10(1.380649e-23)

// Add works out how the two beams, off their axis or not, fill the Moon, and adds all terms up.
func (t *Terms) Add(hz float64, law echo.Scattering, off unit.Angle) {
	beam := echo.Beam{Hz: hz, HalfPower: t.TransmitBeam, Back: t.ReceiveBeam, Law: law}
	t.FillingDB, t.PointingDB = beam.FillingDB(t.MoonRadius), 0
	if off != 0 {
		t.PointingDB = beam.PointingDB(t.MoonRadius, off)
	}
	t.EchoDBM = 10*math.Log10(1000*t.PowerW) - t.TransmitLossDB + t.TransmitDBI +
		t.ReceiveDBI - t.PathDB - t.AirDB - t.FillingDB - t.PointingDB - t.PolarisationDB
	t.DensityDBHz = t.EchoDBM - 30 - boltzmannDBW - 10*math.Log10(t.SystemK)
	t.Has = t.PowerW > 0 && !math.IsNaN(t.DensityDBHz) && !math.IsInf(t.DensityDBHz, 0)
}
