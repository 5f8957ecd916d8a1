package motion

import "math"

// Sway is what a load that changes does to the dish between two counts: the
// teeth and the structure give way, and nothing shows by how much.
type Sway struct {
	// Rate is how fast its square grows, radians squared a second; 0 where no
	// count has told of it.
	Rate float64
	// Crossed is when the last edge was passed, seconds in the loop's time.
	Crossed float64
}

// swayPace and swayShare were found by trying on the simulated dish: how fast
// the rate is learned, and what of it one crossing shows.
const swayPace, swayShare = 0.1, 2

// hides reports whether the backlash hides a count or more: what moves the
// dish between two counts may be a load that carries it through the backlash.
func (d *Drive) hides(step float64) bool { return d.Backlash.Rad() > step }

// doubt is how much less sure the place of the dish has become by that travel
// in that many seconds, radians squared: a push goes a tenth further or less
// than its model, or three where counts are so fine that the teeth matter.
func (a *Axis) doubt(d *Drive, travel, step, seconds float64) float64 {
	part := 0.1
	if !d.hides(step) {
		part = 0.3
	}
	return square(part*travel) + square(0.001*step) + a.Sway.Rate*seconds
}

// learnSway learns from an edge that was passed, at that moment and that far
// from where the dish was thought to be. Only one that the drive cannot have
// brought about tells of a load, and only where the backlash, through which a
// load may carry the dish too, hides less than a count.
func (a *Axis) learnSway(d *Drive, at, direction, wrong, step float64) {
	y := &a.Sway
	since := max(0.5, at-y.Crossed)
	y.Crossed = at
	if a.Phase == moving || d.hides(step) {
		return
	}
	seen := 0.0
	if direction != a.LastRun {
		seen = swayShare * square(max(-step, min(step, wrong))) / since
	}
	y.Rate += swayPace * (seen - y.Rate)
}

// toTruncatedMean moves the dish, where it sways, to the mean of where it may be between
// the edges of the count: from an edge that it has passed and not come back to,
// it is more likely on than at it.
func (a *Axis) toTruncatedMean(d *Drive, low, high float64) {
	if a.Phase == moving || a.Sway.Rate == 0 || !(a.Variance > 0) {
		return
	}
	deviation := math.Sqrt(a.Variance)
	from, to := (low-a.Body.Dish)/deviation, (high-a.Body.Dish)/deviation
	if from < -4 && to > 4 {
		return // nothing is cut off
	}
	inside := (math.Erf(to/math.Sqrt2) - math.Erf(from/math.Sqrt2)) / 2
	if !(inside > 1e-3) {
		return // so far out that only the edge is known
	}
	// The mean and variance of a normal distribution cut off at both ends.
	atFrom, atTo := density(from), density(to)
	mean := (atFrom - atTo) / inside
	a.Body.push(deviation*mean, a.Learned.backlash(d))
	a.Variance *= max(0.01, 1+(from*atFrom-to*atTo)/inside-mean*mean)
}

// density of the normal distribution.
func density(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
