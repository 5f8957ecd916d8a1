package ownecho

import (
	"math"
	"time"

	"github.com/soniakeys/unit"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"

	"beamhelm/app/echotest"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/ephem/echo"
)

// Places is at how many places of the beam a peak on the echo keys.
const Places = 5

// PeakCycles are the numbers of cycles of a peak on the echo that are offered; the first is the usual one.
var PeakCycles = [...]int{4 * Places, 6 * Places}

// reachWidths is how far beside the target a peak on the echo goes, in half-power beamwidths: where the beam has fallen
// to half its power there and back together, as that of a peak on noise has one way at half a beamwidth.
var reachWidths = math.Sqrt2 / 4

// Reach is how far beside the target a peak on the echo goes, by the half-power beamwidth. The transmit permit allows
// the beam to be limitWidths off its target, 0 for anything: well within that.
func Reach(width unit.Angle, limitWidths float64) unit.Angle {
	widths := reachWidths
	if limitWidths > 0 {
		widths = min(widths, 0.8*limitWidths)
	}
	return width.Mul(widths)
}

// Offset is a place of a peak beside the trim: the centre, to both sides, up and down.
func (c *Config) Offset(place int) mount.Offset {
	return [Places]mount.Offset{{}, {Cross: -c.Reach}, {Cross: c.Reach}, {El: c.Reach}, {El: -c.Reach}}[place]
}

// placeOf is at which place of the beam a cycle is keyed.
func (c *Config) placeOf(cycle int) int {
	if !c.Peak {
		return 0
	}
	return min(cycle/(c.Cycles/Places), Places-1)
}

// Beam is what falls off beside the Moon: the same two-way pattern as that of the budget.
type Beam struct {
	echo.Beam
	MoonRadius unit.Angle
}

// Spot is how strong the echo was at a place of the beam. Off is where the beam was from the target on the average,
// trim included.
type Spot struct {
	Off    mount.Offset `json:"off_rad"`
	Cycles int          `json:"cycles"`
	// CN0Hz is the echo's power over the noise in 1 Hz, as a ratio, ErrorHz its standard error.
	CN0Hz   float64 `json:"cn0_hz"`
	ErrorHz float64 `json:"error_hz"`
}

// Peak is what a peak on the echo found. It is not changed once published.
type Peak struct {
	Spots [Places]Spot `json:"spots"`
	// Was is the trim before, Found that with which the echo is strongest, Error its standard deviations.
	Was   mount.Offset `json:"was_rad"`
	Found mount.Offset `json:"found_rad"`
	Error mount.Offset `json:"error_rad"`
	// GainDB is how much stronger the echo is with it, by the beam's pattern.
	GainDB float64 `json:"gain_db"`
	// Why says why it is of no use; empty where it is.
	Why message.Message `json:"why,omitzero"`
}

// What a peak on the echo must be to be of use.
const (
	// maxErrorPart is the greatest error, as a part of how far beside the target it went.
	maxErrorPart = 0.5
	// maxAwayPart is how far from the centre it may be found, as a part of the same.
	maxAwayPart = 1.5
	// maxUnlike is the sum of squares, over their errors, that five strengths of a beam stay below but once in a
	// thousand times: chi-square of two degrees of freedom.
	maxUnlike = 13.8
)

// JudgePeak looks for the echoes of a peak in its recording, as Judge does for a run, and fits the beam to their
// strength at each place. cycles are those that count; the strength of the result is that at the centre.
func JudgePeak(samples []float64, rateHz float64, shift time.Duration, cycles []Counted, r *Request, looks int) Result {
	p, places := plan(shift, cycles, r), make([]int, len(cycles))
	peak := &Peak{Was: r.Trim}
	for i, one := range cycles {
		places[i] = one.Place
		spot := &peak.Spots[one.Place]
		spot.Off = spot.Off.Plus(one.Off)
		spot.Cycles++
	}
	found, strengths, err := echotest.DetectPlaces(echotest.Recording{Samples: samples, RateHz: rateHz}, p, places,
		Places)
	out := judged(found, err, looks)
	if !out.Detected {
		return out
	}
	out.Peak = peak
	for place := range peak.Spots {
		spot := &peak.Spots[place]
		if spot.Cycles == 0 || strengths[place].Cycles == 0 {
			peak.Why = message.Of("echoes.place-empty")
			continue
		}
		n := float64(spot.Cycles)
		spot.Off = mount.Offset{Cross: spot.Off.Cross.Div(n), El: spot.Off.El.Div(n)}
		spot.Cycles, spot.CN0Hz = strengths[place].Cycles, strengths[place].CN0Hz
		spot.ErrorHz = strengths[place].ErrorHz(spot.CN0Hz)
	}
	if reach := r.Config.Reach; peak.Why.Code == "" {
		peak.fit(newPattern(r.Beam, reach), reach, func(place int, cn0Hz float64) float64 {
			return strengths[place].ErrorHz(cn0Hz)
		})
	}
	out.atCentre(peak.Spots[0])
	return out
}

// atCentre makes the strength that at the centre, where the trim points the beam.
func (r *Result) atCentre(s Spot) {
	if !(s.CN0Hz > s.ErrorHz) {
		return // what all places gave is better
	}
	r.CN0DBHz, r.CN0ErrorDB = 10*math.Log10(s.CN0Hz), 10/math.Ln10*s.ErrorHz/s.CN0Hz
}

// fit lays the beam through the strengths: each weighed by its own error, which is that of the strength the beam gives
// it, since one that happens to fade would else seem better known than it is.
func (p *Peak) fit(pattern *pattern, reach unit.Angle, errorHz func(place int, cn0Hz float64) float64) {
	at, height, sigma := p.Was, 0.0, [Places]float64{}
	for place := range sigma {
		sigma[place] = p.Spots[place].ErrorHz
	}
	unlike := 0.0
	const rounds = 6
	for range rounds {
		var err error
		if at, height, unlike, err = p.strongest(pattern, sigma, reach, at); err != nil {
			p.Why = message.OfError(err)
			return
		}
		for place := range sigma {
			sigma[place] = errorHz(place, height*pattern.part(p.Spots[place].Off, at))
		}
	}
	p.Found = at
	p.GainDB = -10 * math.Log10(pattern.part(p.Spots[0].Off, at))
	var ok bool
	if p.Error, ok = p.deviations(pattern, sigma, at, height, reach); !ok {
		p.Why = message.Of("echoes.peak.untold")
		return
	}
	// Strengths that fit worse than their errors allow make the trim no better known.
	more := math.Sqrt(max(1, unlike/(Places-3)))
	p.Error = mount.Offset{Cross: p.Error.Cross.Mul(more), El: p.Error.El.Mul(more)}
	away := math.Hypot((at.Cross - p.Spots[0].Off.Cross).Rad(), (at.El - p.Spots[0].Off.El).Rad())
	switch {
	case unlike > maxUnlike:
		p.Why = message.Of("echoes.peak.changed")
	case away > maxAwayPart*reach.Rad():
		p.Why = message.Of("echoes.peak.outside")
	case max(p.Error.Cross, p.Error.El) > reach.Mul(maxErrorPart):
		p.Why = message.Of("echoes.peak.weak")
	}
}

// strongest is where the beam is centred, and how high it is, with the least sum of squares over the errors.
func (p *Peak) strongest(pattern *pattern, sigma [Places]float64, reach unit.Angle, from mount.Offset) (
	at mount.Offset, height, unlike float64, err error) {
	look := func(x []float64) (height, sum float64) {
		at := mount.Offset{Cross: unit.Angle(x[0] * reach.Rad()), El: unit.Angle(x[1] * reach.Rad())}
		up, down := 0.0, 0.0
		for place, s := range p.Spots {
			part := pattern.part(s.Off, at)
			up += part * s.CN0Hz / (sigma[place] * sigma[place])
			down += part * part / (sigma[place] * sigma[place])
		}
		height = max(0, up/down)
		for place, s := range p.Spots {
			off := (s.CN0Hz - height*pattern.part(s.Off, at)) / sigma[place]
			sum += off * off
		}
		return height, sum
	}
	begin := []float64{from.Cross.Rad() / reach.Rad(), from.El.Rad() / reach.Rad()}
	found, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { _, sum := look(x); return sum }},
		begin,
		&optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-9, Iterations: 40},
			MajorIterations: 1000},
		&optimize.NelderMead{SimplexSize: 0.3})
	if err != nil || math.IsNaN(found.F) {
		return at, 0, 0, message.Of("echoes.peak.no-fit")
	}
	height, unlike = look(found.X)
	return mount.Offset{Cross: unit.Angle(found.X[0] * reach.Rad()), El: unit.Angle(found.X[1] * reach.Rad())}, height,
		unlike, nil
}

// deviations are the standard deviations of where the beam is centred, by the errors of the strengths.
func (p *Peak) deviations(pattern *pattern, sigma [Places]float64, at mount.Offset, height float64, reach unit.Angle) (
	within mount.Offset, ok bool) {
	h := reach.Mul(0.02)
	rows := mat.NewDense(Places, 3, nil)
	for place, s := range p.Spots {
		slope := func(by mount.Offset) float64 {
			rise := pattern.part(s.Off, at.Plus(by)) - pattern.part(s.Off, at.Plus(by.Minus()))
			return height * rise / (2 * h.Rad()) * reach.Rad()
		}
		rows.SetRow(place, []float64{slope(mount.Offset{Cross: h}) / sigma[place],
			slope(mount.Offset{El: h}) / sigma[place],
			height * pattern.part(s.Off, at) / sigma[place]})
	}
	var normal, covariance mat.SymDense
	normal.SymOuterK(1, rows.T())
	var factors mat.Cholesky
	if !factors.Factorize(&normal) || factors.InverseTo(&covariance) != nil {
		return within, false
	}
	sigmaOf := func(i int) unit.Angle { return unit.Angle(math.Sqrt(covariance.At(i, i)) * reach.Rad()) }
	within = mount.Offset{Cross: sigmaOf(0), El: sigmaOf(1)}
	return within, !math.IsNaN(within.Cross.Rad()) && !math.IsNaN(within.El.Rad())
}

// pattern is a beam's two-way pattern, worked out once: dB lost at even steps from the Moon's centre.
type pattern struct {
	step   unit.Angle
	lossDB [patternSteps]float64
}

const (
	patternSteps = 41
	patternReach = 5 // times how far beside the target a peak goes
)

func newPattern(b Beam, reach unit.Angle) *pattern {
	p := &pattern{step: reach.Mul(patternReach).Div(patternSteps - 1)}
	for i := 1; i < patternSteps; i++ {
		p.lossDB[i] = b.PointingDB(b.MoonRadius, p.step.Mul(float64(i)))
	}
	return p
}

// part is which part of an echo's power is left with the beam at a place, where at is that of the strongest echo.
// Between steps it goes by the squares of the angles, as a Gaussian beam does; beyond the last it goes on so.
func (p *pattern) part(off, at mount.Offset) float64 {
	x := math.Hypot((off.Cross-at.Cross).Rad(), (off.El-at.El).Rad()) / p.step.Rad()
	i := min(int(x), patternSteps-2)
	low, high := float64(i*i), float64((i+1)*(i+1))
	db := p.lossDB[i] + (p.lossDB[i+1]-p.lossDB[i])*(x*x-low)/(high-low)
	return math.Pow(10, -db/10)
}
