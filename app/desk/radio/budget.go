package radio

import (
	"github.com/soniakeys/unit"

	"beamhelm/ephem/budget"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/partner"
)

// EchoBudget is what a signal by way of the Moon should be, term by term. A polarisation's loss counts where a
// feed is linear.
type EchoBudget = budget.Terms

// Counterpart is what is entered of the partner's station: power at the feed, dish and system noise.
type Counterpart = partner.Equipment

// ParseCounterpart reads what is entered of the partner's station; blank is not known.
func ParseCounterpart(power, dish, noise string) (Counterpart, error) {
	return partner.ParseEquipment(power, dish, noise)
}

// ownBudget is that of the own echo, with the beam on the Moon.
func (w *work) ownBudget(r *Path, look echo.Report) EchoBudget {
	h := w.hears()
	if h == nil || !r.Up {
		return EchoBudget{}
	}
	p := h.Listener.Pattern
	b := EchoBudget{
		PowerW: w.c.Settings.Bands[w.in.Band].TransmitPowerW, PathDB: r.Own.LossDB,
		TransmitDBI: p.GainDBI(), ReceiveDBI: p.GainDBI(),
		AirDB: 2 * noise.AirLossDB(r.AgreedHz, r.MoonEl), SystemK: r.Noise.SystemK, SpreadHz: r.Own.SpreadHz,
		TransmitBeam: p.HalfPower, ReceiveBeam: p.HalfPower, MoonRadius: look.Look.Diameter / 2,
	}
	if r.Faraday.Matters && r.Faraday.Linear {
		b.PolarisationDB = r.Faraday.Own.LossDB()
	}
	b.Add(r.AgreedHz, echo.CentreBright, 0)
	return b
}

// OwnOff is the own echo's budget with the beam's axis off the Moon's centre.
func (r *Path) OwnOff(off unit.Angle) EchoBudget {
	b := r.Budget
	if b.Has && off > 0 {
		b.Add(r.AgreedHz, echo.CentreBright, off)
	}
	return b
}

// theirEfficiency is the aperture efficiency that a partner's dish is taken to have (common practice, no source).
const theirEfficiency = 0.55

// WithPartner is what the partner's signal should be here, and ours there, by what is known of their station.
func (r *Path) WithPartner(c Counterpart) (here, there EchoBudget) {
	common := r.Budget
	if !r.HasPartner || common.TransmitBeam == 0 || r.PartnerEl < 0 || !(c.DishM > 0) {
		return here, there
	}
	common.PathDB, common.SpreadHz = r.Mutual.LossDB, r.Mutual.SpreadHz
	common.AirDB = noise.AirLossDB(r.AgreedHz, r.MoonEl) + noise.AirLossDB(r.AgreedHz, r.PartnerEl)
	gain, beam := noise.GainDB(r.AgreedHz, c.DishM, theirEfficiency), noise.HalfPower(r.AgreedHz, c.DishM)
	here, there = common, common
	here.PolarisationDB, there.PolarisationDB = r.PolarisationDB()
	here.PowerW, here.TransmitDBI, here.TransmitBeam = c.PowerW, gain, beam
	there.ReceiveDBI, there.ReceiveBeam, there.SystemK = gain, beam, c.SystemK
	here.Add(r.AgreedHz, echo.CentreBright, 0)
	there.Add(r.AgreedHz, echo.CentreBright, 0)
	return here, there
}
