package ownecho

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/drive/mount"
	"beamhelm/ephem/echo"
)

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// beamOf is a Gaussian beam before the Moon.
func beamOf(widthDeg float64) Beam {
	return Beam{Beam: echo.Beam{Hz: 1296e6, HalfPower: degrees(widthDeg)}, MoonRadius: degrees(0.26)}
}

// errorOf is what a strength's error is made of: the echo's fading, and noise.
func errorOf(_ int, cn0Hz float64) float64 {
	const width, seconds = 5, 8
	c := max(0, cn0Hz)
	return math.Sqrt((c*c/width + 2*c + width) / seconds)
}

// measured are the strengths at the five places of a beam whose echo is strongest with the trim at.
func measured(b Beam, reach unit.Angle, was, at mount.Offset, cn0Hz float64, chance *rand.Rand) *Peak {
	p := &Peak{Was: was}
	c := Config{Reach: reach}
	for place := range p.Spots {
		off := was.Plus(c.Offset(place))
		away := unit.Angle(math.Hypot((off.Cross - at.Cross).Rad(), (off.El - at.El).Rad()))
		cn0 := cn0Hz * math.Pow(10, -b.PointingDB(b.MoonRadius, away)/10) // of the beam itself, not of its table
		if chance != nil {
			cn0 += errorOf(place, cn0) * chance.NormFloat64()
		}
		p.Spots[place] = Spot{Off: off, Cycles: 4, CN0Hz: cn0, ErrorHz: errorOf(place, cn0)}
	}
	return p
}

// Strengths without noise give the very trim, for beams wider and narrower than the Moon, whatever the trim was before.
func TestPeakIsExact(t *testing.T) {
	for _, width := range []float64{2.9, 0.65, 0.36} {
		b := beamOf(width)
		reach := Reach(b.HalfPower, 0)
		pattern := newPattern(b, reach)
		was := mount.Offset{Cross: degrees(0.2), El: degrees(-0.1)}
		at := was.Plus(mount.Offset{Cross: reach.Mul(0.6), El: reach.Mul(-0.4)})
		p := measured(b, reach, was, at, 300, nil)
		p.fit(pattern, reach, errorOf)
		off := math.Hypot((p.Found.Cross - at.Cross).Rad(), (p.Found.El - at.El).Rad())
		lost := b.PointingDB(b.MoonRadius, unit.Angle(math.Hypot((was.Cross-at.Cross).Rad(), (was.El-at.El).Rad())))
		if p.Why.Code != "" || off > 0.01*reach.Rad() || math.Abs(p.GainDB-lost) > 0.02 {
			t.Errorf("%v°: %q, off by %.3f of the reach, gains %.2f dB, lost %.2f dB", width, p.Why, off/reach.Rad(),
				p.GainDB, lost)
		}
	}
}

// With the echo's fading and noise the trim departs from the true one by its error: over many peaks the departures over
// their errors have the standard deviation 1. Weighed alike, and by errors of strengths as measured, it would be
// further off.
func TestPeakWithinItsError(t *testing.T) {
	b := beamOf(2.9)
	reach := Reach(b.HalfPower, 0)
	pattern := newPattern(b, reach)
	for _, cn0 := range []float64{1000, 100, 15} {
		squares, count, useless := 0.0, 0.0, 0
		for seed := range uint64(60) {
			chance := rand.New(rand.NewPCG(seed, 8))
			at := mount.Offset{Cross: reach.Mul(chance.Float64() - 0.5), El: reach.Mul(chance.Float64() - 0.5)}
			p := measured(b, reach, mount.Offset{}, at, cn0, chance)
			if p.fit(pattern, reach, errorOf); p.Why.Code != "" {
				useless++
				continue
			}
			x, y := (p.Found.Cross-at.Cross).Rad()/p.Error.Cross.Rad(), (p.Found.El-at.El).Rad()/p.Error.El.Rad()
			squares, count = squares+x*x+y*y, count+2
		}
		rms := math.Sqrt(squares / count)
		t.Logf("%v Hz: departures over their errors %.2f, %d of 60 of no use", cn0, rms, useless)
		if rms < 0.6 || rms > 1.3 || useless > 6 {
			t.Errorf("%v Hz: the departures are %.2f times their errors, %d of 60 are of no use", cn0, rms, useless)
		}
	}
}

// What no beam explains is said, and no trim is offered.
func TestPeakOfNoUse(t *testing.T) {
	b := beamOf(2.9)
	reach := Reach(b.HalfPower, 0)
	pattern := newPattern(b, reach)
	for name, row := range map[string]struct {
		change func(*Peak)
		why    message.Code
	}{
		"an echo that changes": {func(p *Peak) { p.Spots[1].CN0Hz *= 12 }, "echoes.peak.changed"},
		"far away": {func(p *Peak) {
			*p =
				*measured(b, reach, mount.Offset{}, mount.Offset{El: reach.Mul(2.2)}, 1000, nil)
		}, "echoes.peak.outside"},
		"too weak": {func(p *Peak) { *p = *measured(b, reach, mount.Offset{}, mount.Offset{}, 1.5, nil) },
			"echoes.peak.weak"},
		"nothing but the noise": {func(p *Peak) { clear(p.Spots[:]) }, ""},
	} {
		p := measured(b, reach, mount.Offset{}, mount.Offset{}, 1000, nil)
		row.change(p)
		for i := range p.Spots {
			p.Spots[i].ErrorHz = errorOf(i, p.Spots[i].CN0Hz)
		}
		p.fit(pattern, reach, errorOf)
		if p.Why.Code == "" || row.why != "" && p.Why.Code != row.why {
			t.Errorf("%s: %q, %+v", name, p.Why, p)
		}
	}
}

// The places lie within what the transmit permit allows.
func TestReachIsWithinThePermit(t *testing.T) {
	for limit, widths := range map[float64]float64{0: 0.3536, 1: 0.3536, 0.5: 0.3536, 0.3: 0.24, 0.1: 0.08} {
		if got := Reach(1, limit).Rad(); math.Abs(got-widths) > 1e-4 {
			t.Errorf("%v beamwidths allowed: %.3f", limit, got)
		}
	}
}

// peaking is a bench of a peak whose beam takes a while to each place; it says where.
func peaking(t *testing.T, way time.Duration) (b *bench, follow func()) {
	b = newBench(t)
	b.c.Cycles, b.c.Peak, b.c.Reach = 10, true, degrees(1)
	wanted, since := 0, time.Duration(0)
	return b, func() {
		b.step(nil)
		if b.s.Place != wanted {
			wanted, since = b.s.Place, b.in.Now
			b.in.Place = -1
		}
		if b.in.Place < 0 && b.in.Now-since >= way {
			b.in.Place, b.in.Off = wanted, b.c.Offset(wanted).Plus(mount.Offset{El: degrees(0.1)})
		}
	}
}

// A peak keys its cycles at five places, each in its turn, and never while the beam is on its way; the echo of the last
// cycle at a place is over before the beam leaves.
func TestAPeakGoesToFivePlaces(t *testing.T) {
	b, follow := peaking(t, 3*time.Second)
	b.in.Off = mount.Offset{El: degrees(0.1)}
	b.step(press)
	place, left := 0, 0
	for b.s.Running {
		follow()
		if b.in.Place < 0 && (b.out.Key || b.out.HasTone || b.in.Keyed) {
			t.Fatal("it keys while the beam is on its way")
		}
		if b.s.Place != place {
			place = b.s.Place
			left++
			last := b.s.Plan[len(b.s.Plan)-1]
			if over := last.EchoStartS + last.ToneS; b.in.At.Sub(b.s.Began).Seconds() < over {
				t.Errorf("it leaves %.1f s before the echo is over", over-b.in.At.Sub(b.s.Began).Seconds())
			}
		}
		if b.in.At.Sub(began) > MaxDuration {
			t.Fatal("it never ends")
		}
	}
	if !b.out.Complete || len(b.s.Plan) != 10 || left != 4 {
		t.Fatalf("complete %v, %q, %d cycles, left %d times", b.out.Complete, b.ended, len(b.s.Plan), left)
	}
	for i, cycle := range b.s.Plan {
		want := b.c.Offset(cycle.Place).Plus(mount.Offset{El: degrees(0.1)})
		if cycle.Place != i/2 || math.Abs((cycle.Off.Cross-want.Cross).Deg()) > 1e-6 ||
			math.Abs((cycle.Off.El-want.El).Deg()) > 1e-6 {
			t.Errorf("cycle %d at place %d, %+v", i, cycle.Place, cycle.Off)
		}
	}
	if took := b.in.At.Sub(began); took > b.c.Lasts()+Cycle {
		t.Errorf("it took %v, %v were said", took, b.c.Lasts())
	}
}

// What ends a run ends a peak whose beam is on its way, and a beam that doesn't come ends it too.
func TestWhatEndsAPeakOnItsWay(t *testing.T) {
	for why, change := range enders {
		b, follow := peaking(t, 3*time.Second)
		b.step(press)
		for b.s.Running && b.s.Place != 2 {
			follow()
		}
		b.step(change)
		if b.out.Key || !b.out.Silence || b.s.Running || len(b.ended) != 1 ||
			!strings.HasPrefix(why, string(b.ended[0])) {
			t.Errorf("%s: key %v, silence %v, ended %q", why, b.out.Key, b.out.Silence, b.ended)
		}
	}
	b, follow := peaking(t, time.Hour)
	b.step(press)
	for b.s.Running && b.in.At.Sub(began) < MaxDuration {
		follow()
	}
	if len(b.ended) != 1 || b.ended[0] != "desk.beam-late" || b.s.Place != 1 {
		t.Errorf("a beam that doesn't come: %q, place %d", b.ended, b.s.Place)
	}
}

// A peak that can't be is refused.
func TestRefusedPeaks(t *testing.T) {
	for name, change := range map[string]func(*Config){
		"7 cycles": func(c *Config) { c.Cycles = 7 }, "no reach": func(c *Config) { c.Reach = 0 },
		"far":       func(c *Config) { c.Reach = degrees(6) },
		"no figure": func(c *Config) { c.Reach = unit.Angle(math.NaN()) },
	} {
		b, _ := peaking(t, 0)
		change(&b.c)
		b.step(press)
		if b.s.Running || b.out.Refused.Code == "" {
			t.Errorf("%s: taken", name)
		}
	}
}
