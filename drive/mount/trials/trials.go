// Package trials lays mount models through invented surveys of invented mounts, many times, and counts how often
// the fit is wrong: for the tests and the measurements of package mount.
package trials

import (
	"math"
	"slices"

	"github.com/soniakeys/unit"

	"beamhelm/drive/mount"
)

// Chance is where the trials have their chance from.
type Chance interface {
	NormFloat64() float64
	IntN(n int) int
}

// Survey are the places of one survey.
type Survey struct {
	Name   string
	Places []mount.Boresight
}

// Arc is one pass of a target: an arc of some azimuth about the south, highest in its middle.
func Arc(name string, n int, fromDeg, toDeg, lowDeg, highDeg float64) Survey {
	s := Survey{Name: name}
	for i := range n {
		part := float64(i) / float64(n-1)
		el := lowDeg + (highDeg-lowDeg)*math.Sin(math.Pi*part)
		s.Places = append(s.Places, mount.Boresight{Az: unit.AngleFromDeg(fromDeg + part*(toDeg-fromDeg)),
			El: unit.AngleFromDeg(el)})
	}
	return s
}

// Whole is a survey all over the sky.
func Whole(name string, n int) Survey {
	s := Survey{Name: name}
	for i := range n {
		// The golden angle spreads them evenly.
		el := 18 + 55*math.Mod(float64(i)*0.618034, 1)
		s.Places = append(s.Places, mount.Boresight{Az: unit.AngleFromDeg(math.Mod(float64(i)*137.508, 360)),
			El: unit.AngleFromDeg(el)})
	}
	return s
}

// Surveys are those that are tried: an arc of 120 degrees, one of 220, and the whole sky.
func Surveys() []Survey {
	return []Survey{Arc("arc of 120°", 12, 120, 240, 12, 35), Arc("arc of 220°", 16, 70, 290, 10, 60),
		Whole("whole sky", 20)}
}

// Result is what many trials come to.
type Result struct {
	// False is the share of trials in which a term was fitted that the mount doesn't have.
	False float64
	// Inside is the share of directions over the whole sky at which the model's error stays within what the fit told.
	Inside float64
	// Worst is the greatest error at any direction, degrees; Median that of the middle.
	Worst, Median float64
}

// What mounts are tried, by how large their terms are over those of a good home-built one.
const (
	ZerosAlone = 0
	Good       = 1
	Crude      = 3
)

// Mount makes an invented mount: its zeros, and each other term by chance or none, so many times as large as those of
// a good mount.
func Mount(chance Chance, size float64) (m mount.Model) {
	normal := func(degrees float64) unit.Angle { return unit.AngleFromDeg(degrees * chance.NormFloat64()) }
	m.AzZero, m.ElZero = normal(1), normal(1)
	if size == ZerosAlone {
		return m
	}
	for _, term := range []struct {
		to      *unit.Angle
		degrees float64
	}{{&m.LeanNorth, 0.1}, {&m.LeanEast, 0.1}, {&m.Collimation, 0.15}, {&m.AxesSkew, 0.05}, {&m.Sag, 0.08},
		{&m.AzSin, 0.03}, {&m.AzCos, 0.03}} {
		if chance.IntN(2) == 0 {
			*term.to = normal(size * term.degrees)
		}
	}
	return m
}

// Run surveys as many invented mounts with a scatter on each coordinate, degrees.
func Run(s Survey, trials int, scatter, size float64, chance Chance) (Result, error) {
	var r Result
	inside, all, wrong := 0, 0, 0
	var errors []float64
	for range trials {
		truth := Mount(chance, size)
		fit, err := mount.FitModel(observe(chance, s, truth, scatter))
		if err != nil {
			return r, err
		}
		if falseTerm(fit, truth) {
			wrong++
		}
		for az := 0.0; az < 360; az += 30 {
			for el := 15.0; el <= 75; el += 15 {
				d := mount.Boresight{Az: unit.AngleFromDeg(az), El: unit.AngleFromDeg(el)}
				off := apart(fit.Model, truth, d)
				all++
				if off <= fit.Within(d).Deg() {
					inside++
				}
				errors = append(errors, off)
				r.Worst = max(r.Worst, off)
			}
		}
	}
	r.False, r.Inside, r.Median = float64(wrong)/float64(trials), float64(inside)/float64(all), median(errors)
	return r, nil
}

func observe(chance Chance, s Survey, truth mount.Model, scatter float64) []mount.Observation {
	var all []mount.Observation
	for _, d := range s.Places {
		axes := truth.Apply(d)
		axes.Az += unit.AngleFromDeg(scatter * chance.NormFloat64()).Div(d.El.Cos())
		axes.El += unit.AngleFromDeg(scatter * chance.NormFloat64())
		sigma := unit.AngleFromDeg(scatter)
		all = append(all, mount.Observation{Boresight: d, Axes: axes, Sigma: [2]unit.Angle{sigma, sigma}})
	}
	return all
}

// falseTerm says that the fit has a term the mount does not have.
func falseTerm(fit mount.Fit, truth mount.Model) bool {
	has := map[mount.Term]unit.Angle{
		mount.TermLeanNorth: truth.LeanNorth, mount.TermLeanEast: truth.LeanEast,
		mount.TermCollimation: truth.Collimation,
		mount.TermAxesSkew:    truth.AxesSkew, mount.TermSag: truth.Sag, mount.TermAzSin: truth.AzSin,
		mount.TermAzCos: truth.AzCos,
	}
	for _, t := range fit.Terms {
		if value, known := has[t.Term]; known && t.Held == "" && value == 0 {
			return true
		}
	}
	return false
}

// apart is how far two models differ on the sky, degrees.
func apart(a, b mount.Model, d mount.Boresight) float64 {
	aAz, aEl := a.Correction(d.Az, d.El)
	bAz, bEl := b.Correction(d.Az, d.El)
	return math.Hypot((aAz-bAz).Deg()*d.El.Cos(), (aEl - bEl).Deg())
}

func median(values []float64) float64 {
	slices.Sort(values)
	return values[len(values)/2]
}
