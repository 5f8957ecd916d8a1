package plant

import (
	"fmt"
	"math"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/integrate/quad"
)

// Band is one band: feed, receiver and noise detector as they really are.
type Band struct {
	// MHz, and Number by which the band is ordered, 0 to 15.
	MHz    float64
	Number int
	// Efficiency of the aperture, and HalfPower, the full half-power beamwidth;
	// 0: 70 wavelengths over the diameter, degrees.
	Efficiency float64
	HalfPower  unit.Angle
	// SquintCross and SquintUp are where this feed's beam looks from the boresight, true angle.
	SquintCross, SquintUp unit.Angle
	// SidelobeDB is the first lobe against the beam; beyond it the pattern
	// falls as 25 log of the angle, to 10 dB below an isotropic aerial.
	SidelobeDB float64
	// ReceiverK is the noise of the receiver, SkyK of the cold sky overhead,
	// Spill the part of the pattern that sees the ground, ZenithLossDB the air.
	ReceiverK, SkyK, Spill, ZenithLossDB float64
	// SourceK is what the noise source adds.
	SourceK float64
	// BandwidthHz of the detector, GainDB before it, and what the gain does: a
	// wander of DriftDB (standard deviation) within DriftS, and PerDegreeDB for
	// each degree C outside above 10.
	BandwidthHz, GainDB, DriftDB, DriftS, PerDegreeDB float64
	// The detector gives SlopeMVPerDB for each dB above ZeroDBm, between its
	// own noise at FloorDBm and its limit at CeilingDBm.
	SlopeMVPerDB, ZeroDBm, FloorDBm, CeilingDBm float64
	// ForwardW is the power sent.
	ForwardW float64
}

// DefaultBand is a horn on a 5.6 m mesh dish with a good preamplifier.
func DefaultBand(mhz float64, number int) Band {
	b := Band{
		MHz: mhz, Number: number, Efficiency: 0.55, SidelobeDB: -23,
		ReceiverK: 30, SkyK: 3.8, Spill: 0.045, ZenithLossDB: 0.033, SourceK: 60,
		BandwidthHz: 2.5e6, GainDB: 62, DriftDB: 0.03, DriftS: 900, PerDegreeDB: -0.015,
		SlopeMVPerDB: 25, ZeroDBm: -84, FloorDBm: -78, CeilingDBm: -5, ForwardW: 400,
	}
	if mhz > 3000 {
		b.ReceiverK, b.SkyK, b.ZenithLossDB, b.ForwardW = 55, 2.8, 0.041, 60
		b.SquintCross, b.SquintUp = unit.AngleFromDeg(0.04), unit.AngleFromDeg(-0.02)
	}
	return b
}

func (b *Band) validate() error {
	if b.MHz == 0 {
		return nil
	}
	name := fmt.Sprintf("%.0f MHz ", b.MHz)
	return examine([]check{
		{"band", b.MHz, 100, 100e3, " MHz"},
		{name + "number", float64(b.Number), 0, 15, ""},
		{name + "efficiency", b.Efficiency, 0.05, 1, ""},
		{name + "half-power beamwidth", b.HalfPower.Deg(), 0, 60, " degrees"},
		{name + "squint across", b.SquintCross.Deg(), -10, 10, " degrees"},
		{name + "squint up", b.SquintUp.Deg(), -10, 10, " degrees"},
		{name + "sidelobe", b.SidelobeDB, -60, -10, " dB"},
		{name + "receiver", b.ReceiverK, 1, 1e4, " K"},
		{name + "sky", b.SkyK, 2.7, 1e5, " K"},
		{name + "spill", b.Spill, 0, 0.5, ""},
		{name + "zenith loss", b.ZenithLossDB, 0, 5, " dB"},
		{name + "noise source", b.SourceK, 0, 1e5, " K"},
		{name + "bandwidth", b.BandwidthHz, 1e3, 1e9, " Hz"},
		{name + "gain", b.GainDB, 0, 150, " dB"},
		{name + "drift", b.DriftDB, 0, 3, " dB"},
		{name + "time of the drift", b.DriftS, 1, 1e6, " s"},
		{name + "gain by temperature", b.PerDegreeDB, -1, 1, " dB a degree C"},
		{name + "detector slope", math.Abs(b.SlopeMVPerDB), 0.1, 1000, " mV/dB"},
		{name + "detector zero", b.ZeroDBm, -200, 50, " dBm"},
		{name + "detector floor", b.FloorDBm, -200, b.CeilingDBm, " dBm"},
		{name + "forward power", b.ForwardW, 0, 30000, " W"},
	})
}

// HalfPowerOf is the full half-power beamwidth with a dish.
func (b *Band) HalfPowerOf(d Dish) unit.Angle {
	if b.HalfPower > 0 {
		return b.HalfPower
	}
	return unit.AngleFromDeg(70 * b.wavelength() / d.DiameterM)
}

func (b *Band) wavelength() float64 { return 299.792458 / b.MHz }

const boltzmann = 1.380649e-23

// view is what the beam in force sees, renewed now and then.
type view struct {
	antennaK float64 // of everything outside
	coldK    float64 // of it, without Sun, Moon and sources
}

// antenna is the noise that a band's beam gets, looking along beam.
func (b *Band) antenna(d Dish, number int, sky *Sky, beam vector) view {
	width := b.HalfPowerOf(d).Rad()
	_, elevation := beam.place()
	passed := math.Pow(10, -b.ZenithLossDB*airMass(elevation)/10)
	background := b.SkyK
	if sky.BackgroundK[number] > 0 {
		background = sky.BackgroundK[number]
	}
	outside := background*passed + airK*(1-passed)
	// A beam half below a flat horizon sees half ground.
	ground := 0.5 * math.Erfc(elevation*math.Sqrt(4*math.Ln2)/width)
	cold := (1-b.Spill)*(outside*(1-ground)+groundK*ground) + b.Spill*groundK
	v := view{antennaK: cold, coldK: cold}
	v.antennaK += b.rise(d, number, &sky.Sun, beam, width, background)
	v.antennaK += b.rise(d, number, &sky.Moon, beam, width, background)
	for i := range sky.Sources {
		v.antennaK += b.rise(d, number, &sky.Sources[i], beam, width, background)
	}
	return v
}

// rise is the noise that a source adds, kelvin.
func (b *Band) rise(d Dish, number int, s *Source, beam vector, width, background float64) float64 {
	lambda, diameter := b.wavelength(), s.Diameter.Rad()
	flux := s.SFU[number] * 1e-22
	switch {
	case flux != 0:
	case s.Quiet:
		flux = QuietSunSFU(b.MHz) * 1e-22
	case s.TemperatureK > 0:
		flux = 2 * boltzmann * (s.TemperatureK - background) * math.Pi / 4 * diameter * diameter / (lambda * lambda)
	}
	if flux == 0 || s.Elevation.Rad() < -diameter {
		return 0
	}
	aperture := b.Efficiency * math.Pi / 4 * d.DiameterM * d.DiameterM
	passed := math.Pow(10, -b.ZenithLossDB*airMass(s.Elevation.Rad())/10)
	off := beam.apart(direction(s.Azimuth.Rad(), s.Elevation.Rad()))
	main := Response(unit.Angle(off), unit.Angle(width), s.Diameter)
	main += b.lobes(d, off, width) * (1 - gaussian(off, width))
	return flux * aperture / (2 * boltzmann) * passed * main
}

// lobes is the envelope of the pattern outside the beam, over its peak.
func (b *Band) lobes(d Dish, off, width float64) float64 {
	gain := 10 * math.Log10(b.Efficiency*square(math.Pi*d.DiameterM/b.wavelength()))
	level := 32 - 25*math.Log10(max(off*180/math.Pi, 0.01))
	level = min(b.SidelobeDB, max(level, -10)-gain)
	return math.Pow(10, level/10)
}

func gaussian(off, width float64) float64 { return math.Exp2(-square(2 * off / width)) }

// Response is the part of a point source's noise that a beam gets from a disc
// of the same flux whose centre is off: a Gaussian beam of that full
// half-power width over an evenly bright disc, integrated over strips of the
// disc by Gauss's rule. At the centre it is (1-exp(-x))/x with x = ln2
// (diameter/width)^2.
func Response(off, width, diameter unit.Angle) float64 {
	if off > 4*width+diameter {
		return 0
	}
	if diameter <= 0.01*width {
		return gaussian(off.Rad(), width.Rad())
	}
	// Standard deviation of the beam, its peak 1.
	s := width.Rad() / math.Sqrt(8*math.Ln2)
	radius := diameter.Rad() / 2
	sum := 0.0
	for i, x := range gauss.places {
		across := x * radius
		half := math.Sqrt(radius*radius - across*across)
		sum += gauss.weights[i] * math.Exp(-square((off.Rad()-across)/s)/2) * math.Erf(half/(s*math.Sqrt2))
	}
	// The strips' integral across, each sqrt(2 pi) s long in the other
	// direction, over the area of the disc.
	return sum * radius * math.Sqrt(2*math.Pi) * s / (math.Pi * radius * radius)
}

// gauss is Gauss's rule from -1 to 1: it is worked out once, as a disc is met at every tick.
var gauss = func() (rule struct{ places, weights [16]float64 }) {
	quad.Legendre{}.FixedLocations(rule.places[:], rule.weights[:], -1, 1)
	return rule
}()

// detect is the detector's voltage, microvolts, for a power.
func (b *Band) detect(dbm float64) float64 {
	power := math.Pow(10, dbm/10) + math.Pow(10, b.FloorDBm/10)
	seen := min(10*math.Log10(power), b.CeilingDBm)
	return 1000 * b.SlopeMVPerDB * (seen - b.ZeroDBm)
}

// powerDBm at the detector for a system noise, before drift.
func (b *Band) powerDBm(kelvin float64) float64 {
	return 10*math.Log10(boltzmann*kelvin*b.BandwidthHz*1000) + b.GainDB
}
