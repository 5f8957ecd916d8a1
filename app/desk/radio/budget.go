package radio

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
)

// EchoBudget is what a signal by way of the Moon should be, term by term, in dB unless said. A polarisation's
// loss counts only
// where both feeds are linear.
type EchoBudget struct {
	Has                       bool // there is power, and a system noise that is known
	PowerW                    float64
	TransmitDBI, ReceiveDBI   float64
	PathDB, AirDB             float64
	FillingDB, PolarisationDB float64
	ArrivesDBM, SystemK       float64
	DensityDBHz, SpreadHz     float64
	TransmitBeam, ReceiveBeam unit.Angle
	MoonRadius                unit.Angle
}

// In is the signal over the noise in a bandwidth, dB, as if all of it went through.
func (b EchoBudget) In(hz float64) float64 { return b.DensityDBHz - 10*math.Log10(hz) }

// InSpread is the signal's power over the noise in its own width: whether it can be found by eye or ear.
func (b EchoBudget) InSpread() float64 { return b.In(b.SpreadHz) }

// add adds the terms up.
func (b *EchoBudget) add(hz float64) {
	beam := echo.Beam{Hz: hz, HalfPower: b.TransmitBeam, Back: b.ReceiveBeam}
	b.FillingDB = beam.FillingDB(b.MoonRadius)
	b.ArrivesDBM = 10*math.Log10(
		1000*b.PowerW,
	) + b.TransmitDBI + b.ReceiveDBI - b.PathDB - b.AirDB - b.FillingDB - b.PolarisationDB
	const boltzmann = 1.380649e-23
	b.DensityDBHz = b.ArrivesDBM - 30 - 10*math.Log10(boltzmann*b.SystemK)
	b.Has = b.PowerW > 0 && !math.IsNaN(b.DensityDBHz) && !math.IsInf(b.DensityDBHz, 0)
}

// ownBudget is that of the own echo, with the beam on the Moon.
func (w *work) ownBudget(r *Path, look echo.Report) EchoBudget {
	h := w.hears()
	if h == nil || !r.Up {
		return EchoBudget{}
	}
	p := h.Listener.Pattern
	b := EchoBudget{
		PowerW:      w.c.Settings.Bands[w.in.Band].TransmitPowerW,
		TransmitDBI: p.GainDBI(),
		ReceiveDBI:  p.GainDBI(),
		PathDB:      r.Own.LossDB,
		AirDB:       2 * noise.AirLossDB(r.AgreedHz, r.MoonEl), SystemK: r.Noise.SystemK, SpreadHz: r.Own.SpreadHz,
		TransmitBeam: p.HalfPower, ReceiveBeam: p.HalfPower, MoonRadius: look.Look.Diameter / 2,
	}
	b.add(r.AgreedHz)
	return b
}

// Counterpart is what is entered of the partner's station: power at the feed, dish and system noise.
type Counterpart struct{ PowerW, DishM, SystemK float64 }

// theirEfficiency is the aperture efficiency that a partner's dish is taken to have (common practice, no source).
const theirEfficiency = 0.55

// WithPartner is what the partner's signal should be here, and ours there, by what is known of their station.
func (r *Path) WithPartner(c Counterpart) (here, there EchoBudget) {
	own := r.Budget
	if !r.HasPartner || own.TransmitBeam == 0 || r.PartnerEl < 0 || !(c.DishM > 0) {
		return here, there
	}
	common := own
	common.PathDB, common.SpreadHz = r.Mutual.LossDB, r.Mutual.SpreadHz
	common.AirDB = noise.AirLossDB(r.AgreedHz, r.MoonEl) + noise.AirLossDB(r.AgreedHz, r.PartnerEl)
	if r.BothLinear {
		common.PolarisationDB = r.PolarisationLossDB
	}
	gain, beam := noise.GainDB(r.AgreedHz, c.DishM, theirEfficiency), noise.HalfPower(r.AgreedHz, c.DishM)
	here, there = common, common
	here.PowerW, here.TransmitDBI, here.TransmitBeam = c.PowerW, gain, beam
	there.ReceiveDBI, there.ReceiveBeam, there.SystemK = gain, beam, c.SystemK
	here.add(r.AgreedHz)
	there.add(r.AgreedHz)
	return here, there
}
