package echotest

import "math"

// The quiet time of a cycle is that between the end of its echo and the next transmission.
const (
	quietAfterS  = 0.06 // the last of an echo that comes late
	quietBeforeS = 0.05 // to the next transmission
	minQuietS    = 0.5
	maxQuietS    = 1.2 // so that it ends before a transmission that the plan doesn't count
)

// quietSamples is how many samples of quiet time each cycle has, at most maxQuietS; 0 where they are too few.
func quietSamples(r Recording, p Plan, f frame) int {
	if len(p.Cycles) < 2 {
		return 0
	}
	shortest := min(f.toneS, maxQuietS)
	for i, c := range p.Cycles[1:] {
		shortest = min(shortest, c.KeyS-quietBeforeS-p.Cycles[i].EchoStartS-f.toneS-quietAfterS)
	}
	if shortest < minQuietS {
		return 0
	}
	return int(shortest * r.RateHz)
}

const (
	// quietShare of the echo's power is more than an echo that comes late leaves in the quiet time.
	quietShare = 0.35
	minQuiet   = 3 // cycles, and half of them
	// certainQuiet is how far noise doesn't reach in the quiet time, netSigma how far an echo must stand over what is
	// there then; both in standard errors.
	certainQuiet = 3.5
	netSigma     = 3.0
)

// isInQuietTime reports that what was found is on the same frequencies in the quiet time too: then it is no echo,
// which is there only when it must come, but a carrier or another station's echo.
func isInQuietTime(list []spectrum, f frame, best place, kernel []float64) bool {
	var loud, quiet []spectrum
	for _, s := range list {
		if s.quiet != nil {
			loud = append(loud, s)
			s.power = s.quiet
			quiet = append(quiet, s)
		}
	}
	if len(quiet) < minQuiet || 2*len(quiet) < len(list) {
		return false
	}
	over := func(list []spectrum, middle float64) float64 {
		return smoothed(stackedAbout(list, f, best.drift, middle, f.reach, limitedMean), kernel)[best.bin] - 1
	}
	middle := middleOf(list)
	own, after := over(loud, middle), over(quiet, middle)
	// n is how many independent values there are, each of which scatters by itself; the quiet time has fewer.
	n := float64(len(quiet)) * noiseWidth(kernel) * float64(f.samples) / float64(f.padded)
	fewer := f.toneS / quiet[0].quietS
	if !(after > quietShare*own) {
		return false
	}
	if after > certainQuiet*math.Sqrt(fewer/n) {
		net := math.Sqrt((1 + fewer + 2*after*after + own*own) / n)
		return own-after < netSigma*net
	}
	// Whichever is likelier: as much power in both, or none in the quiet time.
	return after/math.Sqrt(fewer) > (own-after)/math.Sqrt(1+fewer)
}
