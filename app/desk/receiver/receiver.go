// Package receiver works out how good a receiver is from the noise of a source
// over the cold sky beside it. It is pure.
package receiver

import (
	"math"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/ephem/noise"
)

// Stop is the level over a time in which the beam stood still.
type Stop struct {
	On bool // on the source; off: beside it
	// Power is the mean, linear; Scatter the standard deviation of its single levels, N their number.
	Power, Scatter float64
	N              int
}

// YFactor is the ratio of on to off with its standard deviation, both linear. The
// stops must take turns, beginning and ending on the source: each one beside it is
// compared with the mean of the two around it, so that a gain that drifts evenly
// falls out. The error is that of the mean of the ratios, and no less than what the levels scatter.
func YFactor(stops []Stop) (y, sigma float64, err error) {
	if len(stops) < 3 || len(stops)%2 == 0 {
		return 0, 0, message.Of("receiver.alternate")
	}
	var ratios []float64
	scatter := 0.0
	for i, s := range stops {
		if s.On != (i%2 == 0) || s.N < 2 || !(s.Power > 0) || math.IsInf(s.Power, 0) {
			return 0, 0, message.Of("receiver.point", i+1)
		}
		part := s.Scatter / s.Power / math.Sqrt(float64(s.N))
		scatter += part * part
		if i%2 == 1 {
			ratios = append(ratios, (stops[i-1].Power+stops[i+1].Power)/2/s.Power)
		}
	}
	for _, r := range ratios {
		y += r / float64(len(ratios))
	}
	spread := 0.0
	for _, r := range ratios {
		spread += (r - y) * (r - y)
	}
	if n := float64(len(ratios)); n > 1 {
		sigma = math.Sqrt(spread / (n - 1) / n)
	}
	// Half of the stops are on, half beside.
	minimum := y * math.Sqrt(scatter) / (float64(len(stops)) / 2)
	return y, max(sigma, minimum), nil
}

// Question is what a Y factor is judged by.
type Question struct {
	Hz float64
	// Flux of the source outside the air, both polarisations, W m^-2 Hz^-1, and its share of error.
	Flux, FluxShare float64
	Disc, HalfPower unit.Angle
	El              unit.Angle // as seen
	// GainDB is what the dish should have; SystemK what the cold sky beside should make at this elevation.
	GainDB, SystemK float64
}

// Figures are what a Y factor says of the receiver. Errors are standard deviations.
type Figures struct {
	YDB, YErrorDB float64
	// GTDB is G/T in dB a kelvin, with the error of the flux in it.
	GTDB, GTErrorDB float64
	// SystemK is the system noise on the cold sky if the gain is what it should be, AreaM2 the
	// effective area if the system noise is what it should be.
	SystemK, SystemErrorK float64
	AreaM2, AreaErrorM2   float64
	// What they should be.
	ExpectedYDB, ExpectedGTDB, ExpectedSystemK, ExpectedAreaM2 float64
}

// decibels is 10/ln 10: the dB of a small part.
const decibels = 10 / math.Ln10

// Expected is what should be measured.
func Expected(q Question) Figures {
	wave := 299792458 / q.Hz
	f := Figures{ExpectedSystemK: q.SystemK, ExpectedGTDB: q.GainDB - 10*math.Log10(q.SystemK)}
	f.ExpectedAreaM2 = math.Pow(10, q.GainDB/10) * wave * wave / (4 * math.Pi)
	f.ExpectedYDB = noise.YFromGT(f.ExpectedGTDB, q.arriving(), q.Hz, noise.DiscCorrection(q.Disc, q.HalfPower))
	return f
}

// arriving is the flux below the air.
func (q Question) arriving() float64 {
	return q.Flux * math.Pow(10, -noise.AirLossDB(q.Hz, q.El)/10)
}

// Judge works the figures out from a Y factor, linear, and its error.
func Judge(y, sigma float64, q Question) (Figures, error) {
	switch {
	case !(q.Flux > 0) || math.IsInf(q.Flux, 0):
		return Figures{}, message.Of("receiver.no-flux")
	case !(y > 1) || y-1 < 3*sigma:
		return Figures{}, message.Of("receiver.faint")
	}
	wave := 299792458 / q.Hz
	f := Expected(q)
	f.YDB, f.YErrorDB = 10*math.Log10(y), decibels*sigma/y
	f.GTDB = noise.GTFromY(f.YDB, q.arriving(), q.Hz, noise.DiscCorrection(q.Disc, q.HalfPower))
	part := math.Hypot(sigma/(y-1), q.FluxShare)
	f.GTErrorDB = decibels * part
	gt := math.Pow(10, f.GTDB/10)
	f.SystemK = math.Pow(10, q.GainDB/10) / gt
	f.SystemErrorK = f.SystemK * part
	f.AreaM2 = gt * q.SystemK * wave * wave / (4 * math.Pi)
	f.AreaErrorM2 = f.AreaM2 * part
	return f, nil
}

// Compare is what a Y factor says of something that should be heard as warmK, known to warmErrorK, over
// something that should be heard as coldK, both with the receiver's own noise; a
// warmK of 0: not known, and so is the system noise.
func Compare(y, sigma, warmK, warmErrorK, coldK float64) Figures {
	f := Figures{YDB: 10 * math.Log10(y), YErrorDB: decibels * sigma / y}
	if !(warmK > coldK) || y <= 1 {
		return f
	}
	f.ExpectedSystemK, f.ExpectedYDB = coldK, 10*math.Log10(warmK/coldK)
	f.SystemK = (warmK - coldK) / (y - 1)
	f.SystemErrorK = f.SystemK * math.Hypot(sigma/(y-1), warmErrorK/(warmK-coldK))
	return f
}
