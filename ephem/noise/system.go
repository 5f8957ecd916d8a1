package noise

import (
	"math"

	"github.com/soniakeys/unit"
)

// airPoint is the clear air's attenuation at a frequency, straight up.
type airPoint struct{ ghz, zenithDB float64 }

// clearAir: ITU-R P.676 line by line through a layered atmosphere of 288 K and 7.5 g/m³ at
// the ground (computed). At 24 GHz it goes with the humidity. Rain and cloud are left out.
func clearAir() []airPoint {
	return []airPoint{{0.1, 0.012}, {0.432, 0.020}, {1.296, 0.033}, {2.304, 0.036}, {5.76, 0.041}, {10.368, 0.053}, {24.048, 0.398}}
}

const (
	// airK is the mean temperature of the air that attenuates.
	airK = 270.0
	// GroundK is the temperature of the ground.
	GroundK = 290.0
)

// AirLossDB is the attenuation of clear air at an elevation as seen, dB; below the horizon
// that of the horizon. Between the frequencies of the table along logarithms.
func AirLossDB(hz float64, el unit.Angle) float64 {
	points := clearAir()
	ghz := max(points[0].ghz, min(hz/1e9, points[len(points)-1].ghz))
	zenith := points[0].zenithDB
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if ghz >= a.ghz && ghz <= b.ghz {
			zenith = a.zenithDB * math.Pow(b.zenithDB/a.zenithDB, math.Log(ghz/a.ghz)/math.Log(b.ghz/a.ghz))
		}
	}
	// A spherical layer of an effective height (6 km of oxygen, 2 km where water rules).
	height := 6.0
	if ghz > 15 {
		height = 2.5
	}
	return zenith * slant(max(0, el.Rad()), height)
}

// slant is how many times longer the way through a layer above a sphere is than straight up.
func slant(el, heightKm float64) float64 {
	const radius = 8500 // km, of an Earth on which rays are straight
	s := math.Sin(el) * radius
	return (math.Sqrt(s*s+2*radius*heightKm+heightKm*heightKm) - s) / heightKm
}

// AirK is the noise of the air itself at an elevation.
func AirK(hz float64, el unit.Angle) float64 {
	return airK * (1 - math.Pow(10, -AirLossDB(hz, el)/10))
}

// GroundShare is the part of a Gaussian beam that looks at the ground, from a level horizon.
func GroundShare(el, halfPower unit.Angle) float64 {
	return 0.5 * math.Erfc(el.Rad()*math.Sqrt(4*math.Ln2)/halfPower.Rad())
}

// Receiver is a station's receiving side on one band.
type Receiver struct {
	Hz        float64
	HalfPower unit.Angle
	// NoiseK is the noise temperature of preamplifier and what follows, LossDB the loss before it.
	NoiseK, LossDB float64
	// Spill is the share of the pattern that sees the ground whatever the elevation:
	// 0.03 to 0.06 for a well-lit dish (from memory).
	Spill float64
}

// Scene is what the receiver looks at.
type Scene struct {
	El   unit.Angle // of the beam, as seen
	SkyK float64    // behind everything, at this frequency
	// Disc and DiscK are a disc in the middle of the beam, which hides the sky; 0 for none.
	Disc  unit.Angle
	DiscK float64
}

// Parts is where system noise comes from, kelvin at the feed, before the losses of the line.
type Parts struct{ SkyK, DiscK, AirK, GroundK, ReceiverK float64 }

// TotalK is the system noise temperature.
func (p Parts) TotalK() float64 { return p.SkyK + p.DiscK + p.AirK + p.GroundK + p.ReceiverK }

// SystemNoise adds up what a receiver hears.
func SystemNoise(r Receiver, s Scene) Parts {
	through := math.Pow(10, -AirLossDB(r.Hz, s.El)/10)
	ground := GroundShare(s.El, r.HalfPower)
	beam := (1 - r.Spill) * (1 - ground)
	share := 0.0
	if s.Disc > 0 {
		share = DiscShare(s.Disc, r.HalfPower)
	}
	loss := math.Pow(10, r.LossDB/10)
	return Parts{
		SkyK:      beam * (1 - share) * s.SkyK * through,
		DiscK:     beam * share * s.DiscK * through,
		AirK:      beam * AirK(r.Hz, s.El),
		GroundK:   (1 - beam) * GroundK,
		ReceiverK: 290*(loss-1) + loss*r.NoiseK,
	}
}
