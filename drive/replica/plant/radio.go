package plant

import (
	"math"

	"beamhelm/drive/enclosure"
)

// radio is the receiving side as it is.
type radio struct {
	chance       random
	antennaK     float64
	coldK        float64 // of it, without Sun, Moon and sources
	drift        wander
	driftDB      float64
	bursts       wander
	interference float64 // K
	place        int     // of the band in force
	band         int     // number of the band as it is
	bandLeft     float64 // of a change, seconds
	feedTurn     float64 // degrees
}

const (
	bandChangeS      = 0.4
	turnDegreesPerS  = 6
	preamplifierDB   = 25
	withoutPreampK   = 1500 // noise of what follows the preamplifier
	interferenceS    = 0.3
	antennaThroughDB = 40 // loss of the antenna's noise in a relay that is the other way
)

// turn moves band switch and feed.
func (r *radio) turn(in *Input, h float64) {
	by := in.FeedTurnDegrees - r.feedTurn
	r.feedTurn += max(-turnDegreesPerS*h, min(turnDegreesPerS*h, by))
	if in.Band == r.band {
		r.bandLeft = bandChangeS
		return
	}
	if r.bandLeft -= h; r.bandLeft <= 0 {
		r.band = in.Band
	}
}

// band is the one in force.
func (p *Plant) band() *Band { return &p.config.Bands[p.radio.place] }

// look renews what the beam sees.
func (p *Plant) look(h float64) {
	r := &p.radio
	r.place = 0
	for i := range p.config.Bands {
		if b := &p.config.Bands[i]; b.MHz > 0 && b.Number == r.band {
			r.place = i
		}
	}
	b := p.band()
	seen := b.antenna(p.config.Dish, r.place, &p.sky, p.beam())
	r.antennaK, r.coldK = seen.antennaK, seen.coldK
	r.driftDB = b.DriftDB*r.drift.move(&r.chance, h, b.DriftS) + b.PerDegreeDB*(p.thermal.airC-10)
	r.interference = 0
	if burst := r.bursts.move(&r.chance, h, interferenceS); p.wrong.interferenceK > 0 && burst > 0 {
		r.interference = p.wrong.interferenceK * burst
	}
}

// systemK is the noise of antenna and receiver, as the noise source finds it.
func (p *Plant) systemK() float64 {
	k := p.radio.antennaK + p.band().ReceiverK
	if p.in.Outputs&enclosure.OutputNoiseSource != 0 && p.receiving() {
		k += p.band().SourceK
	}
	return k
}

// receiving: the relay connects antenna and preamplifier.
func (p *Plant) receiving() bool { return p.keying.state == enclosure.SequencerReceive }

// preamplified: the preamplifier has its supply. The rack takes it away while
// the sequencer is anywhere but in receive.
func (p *Plant) preamplified() bool {
	return p.in.Outputs&enclosure.OutputPreamplifier != 0 && !p.wrong.preamplifierDead && p.receiving() && !p.wrong.dark
}

// detector is the noise detector's voltage, microvolts, with the noise of
// what it has heard within h seconds: a part of 1/sqrt(bandwidth times time).
func (p *Plant) detector(h float64) float64 {
	b, r := p.band(), &p.radio
	switch {
	case !p.config.Fitted.Has(enclosure.FittedDetector):
		return math.NaN()
	case p.wrong.detectorSilent || p.wrong.dark:
		return 0
	case p.wrong.overloaded:
		return 1000 * b.SlopeMVPerDB * (b.CeilingDBm - b.ZeroDBm)
	}
	kelvin, gain := p.systemK()+r.interference, r.driftDB
	if !p.preamplified() {
		loss := float64(preamplifierDB)
		if !p.receiving() {
			loss += antennaThroughDB
		}
		kelvin = withoutPreampK + r.antennaK*math.Pow(10, -loss/10)
		gain -= preamplifierDB
	}
	if h > 0 {
		kelvin *= max(0.01, 1+r.chance.normal()/math.Sqrt(b.BandwidthHz*h))
	}
	return b.detect(b.powerDBm(kelvin) + gain)
}
