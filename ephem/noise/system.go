package noise

import "math"

// Receiver is what follows the antenna's port on one band.
type Receiver struct {
	// NoiseK is the noise temperature of preamplifier and what follows, LossDB the loss before it.
	NoiseK, LossDB float64
}

// K is what the receiver and the loss before it add to the antenna's temperature, at the antenna's port. The loss is
// in it: it must not be taken from the signal a second time.
func (r Receiver) K() float64 {
	loss := math.Pow(10, r.LossDB/10)
	return 290*(loss-1) + loss*r.NoiseK
}
