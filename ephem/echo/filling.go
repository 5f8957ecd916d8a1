package echo

import (
	"math"

	"github.com/soniakeys/unit"
)

// Scattering is how the Moon's disc is taken to shine back.
type Scattering uint8

// The laws of scattering.
const (
	// CentreBright: every radar measurement from 68 to 0.86 cm finds a brighter middle. A part of the power comes back
	// by reflection from Gaussian slopes, the rest evenly. Parts and slopes after Pettengill 1965 (DTIC
	// AD0628197) at 68 and 0.86 cm and Evans 1962 (DTIC AD0274669) at 3.6 cm.
	CentreBright Scattering = iota
	// EvenDisc overstates the loss: the cautious end.
	EvenDisc
)

// mirror is the mirror-like part of the power and the mean slope of the ground at a wavelength, straight lines
// along the logarithm of it.
func mirror(hz float64) (part, slope float64) {
	points := [...][3]float64{{0.86, 1.0 / 7, 1.0 / 2}, {3.6, 0.70, 1.0 / 3}, {68, 0.80, 1.0 / 7}}
	cm := max(points[0][0], min(lightMps/hz*100, points[2][0]))
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if cm <= b[0] {
			x := math.Log(cm/a[0]) / math.Log(b[0]/a[0])
			return a[1] + x*(b[1]-a[1]), a[2] + x*(b[2]-a[2])
		}
	}
	return points[2][1], points[2][2]
}

// Beam is what meets the Moon: out and back by the same Gaussian beam.
type Beam struct {
	Hz        float64
	HalfPower unit.Angle
	// Back is the half-power width on the way back, 0 for the same.
	Back unit.Angle
	Law  Scattering
}

// The steps of the integral over the disc.
const (
	discRings    = 400
	discBearings = 128
)

// share is the mean of the two-way beam over the disc, each part by how much it shines back.
func (b Beam) share(radius, off unit.Angle) float64 {
	part, slope := mirror(b.Hz)
	if b.Law == EvenDisc {
		part = 0
	}
	back := b.Back
	if back == 0 {
		back = b.HalfPower
	}
	// Out and back together fall as one Gaussian.
	steep := 4 * math.Ln2 * (1/math.Pow(b.HalfPower.Rad(), 2) + 1/math.Pow(back.Rad(), 2))
	var mirrored, mirrors, even, evens float64
	for i := range discRings {
		x := (float64(i) + 0.5) / discRings
		ring := x * ringMean(steep, x*radius.Rad(), off.Rad())
		c := 1 - x*x
		bright := math.Exp(-x*x/(c*slope*slope)) * math.Pow(c, -2.5)
		mirrored, mirrors = mirrored+bright*ring, mirrors+bright*x
		even, evens = even+ring, evens+x
	}
	return part*mirrored/mirrors + (1-part)*even/evens
}

// ringMean is the mean of exp(-steep t²) over a ring of some radius whose middle is off the axis.
func ringMean(steep, radius, off float64) float64 {
	if off == 0 {
		return math.Exp(-steep * radius * radius)
	}
	sum := 0.0
	for i := range discBearings / 2 {
		cos := math.Cos((float64(i) + 0.5) * 2 * math.Pi / discBearings)
		sum += math.Exp(-steep * (off*off + radius*radius - 2*off*radius*cos))
	}
	return sum * 2 / discBearings
}

// FillingDB is what an echo loses, two-way, because the Moon isn't a point: a narrow beam on its middle leaves the
// edge in the dark. The whole Moon still has the cross-section of LossDB. Good to 1 dB, 2 dB for beams under 0.3
// degree.
func (b Beam) FillingDB(radius unit.Angle) float64 { return -10 * math.Log10(b.share(radius, 0)) }

// PointingDB is what it loses besides with the axis off the Moon's centre, two-way: less than
// twice PointingLossDB where the beam is as narrow as the Moon.
func (b Beam) PointingDB(radius, off unit.Angle) float64 {
	return -10*math.Log10(b.share(radius, off)) - b.FillingDB(radius)
}
