package skydip

import (
	"math"
	"math/rand/v2"
	"testing"
)

// draw is a dip of an invented receiver: the truth lies about what is believed, as far as the beliefs say.
func draw(r *rand.Rand, warm bool) (q Question, truth [3]float64) {
	q = Question{SkyK: 4, AirK: 265, WarmK: 290, Opacity: Value{0.012, 0.004}, ReceiverK: Value{50, 10},
		SpillK: Value{12, 5}}
	for i, belief := range []Value{q.Opacity, q.ReceiverK, q.SpillK} {
		truth[i] = belief.Value + belief.Error*r.NormFloat64()
	}
	gain := math.Exp(r.NormFloat64())
	x := [4]float64{gain, truth[0], truth[1], truth[2]}
	for _, el := range []float64{75, 60, 45, 35, 28, 22, 18, 15, 13} {
		airmass := Airmass(el)
		level := gain * q.kelvin(airmass, x)
		q.Points = append(q.Points, Point{airmass, level * (1 + 0.002*r.NormFloat64()), level * 0.002})
	}
	if warm {
		level := gain * (truth[1] + q.WarmK)
		q.Warm = Value{level * (1 + 0.01*r.NormFloat64()), level * 0.01}
	}
	return q, truth
}

// Over 400 trials the errors are what they are said to be, and a warm level makes the receiver
// known far better than it was believed.
func TestErrorsByMonteCarlo(t *testing.T) {
	for _, warm := range []bool{false, true} {
		r := rand.New(rand.NewPCG(7, 11))
		var pull, claimed [3]float64
		const trials = 400
		for range trials {
			q, truth := draw(r, warm)
			a, err := Fit(q)
			if err != nil {
				t.Fatal(err)
			}
			for i, v := range []Value{a.Opacity, a.ReceiverK, a.SpillK} {
				pull[i] += math.Pow((v.Value-truth[i])/v.Error, 2) / trials
				claimed[i] += v.Error / trials
			}
		}
		t.Logf("warm %v: pull² %.2f, errors %.4f Np, %.1f K, %.1f K", warm, pull, claimed[0], claimed[1], claimed[2])
		for i, p := range pull {
			if p < 0.8 || p > 1.25 {
				t.Errorf("warm %v: unknown %d has a mean square pull of %.2f", warm, i, p)
			}
		}
		if warm && (claimed[0] > 0.0025 || claimed[1] > 8) {
			t.Errorf("with a warm level the errors are %v", claimed)
		}
	}
}

// The truth is what the beliefs do not lead to: air from 0.4 to 2.5 times the opacity believed, a receiver of half to
// twice the noise, a spill of a tenth to twice. The errors told are still what the answers are off by, or a little
// more, and the answers don't lean towards what was believed where the points tell.
func TestTruthsFarFromTheBeliefs(t *testing.T) {
	const trials = 400
	for _, air := range []float64{0.008, 0.03, 0.1} {
		for _, warm := range []bool{false, true} {
			r := rand.New(rand.NewPCG(7, 11))
			var pull, bias [3]float64
			for range trials {
				q, truth := drawFar(r, air, warm)
				a, err := Fit(q)
				if err != nil {
					t.Fatal(err)
				}
				for i, v := range []Value{a.Opacity, a.ReceiverK, a.SpillK} {
					pull[i] += math.Pow((v.Value-truth[i])/v.Error, 2) / trials
					bias[i] += (v.Value - truth[i]) / v.Error / trials
				}
			}
			for i := range pull {
				pull[i] = math.Sqrt(pull[i])
				if pull[i] < 0.5 || pull[i] > 0.96 || math.Abs(bias[i]) > 0.5 {
					t.Errorf("air %v Np, warm %v: unknown %d has pull %.2f, bias %.2f", air, warm, i, pull[i], bias[i])
				}
			}
			t.Logf("air %v Np, warm %v: pull %.2f, bias %.2f", air, warm, pull, bias)
		}
	}
}

// drawFar is a dip of which the truth is spread evenly over what may be, whatever is believed.
func drawFar(r *rand.Rand, air float64, warm bool) (q Question, truth [3]float64) {
	q = Believed(air, 50, 12)
	q.SkyK, q.AirK = 4, 265
	truth = [3]float64{air * math.Exp(1.8*r.Float64()-0.9), 50 * math.Exp(1.4*r.Float64()-0.7),
		12 * (0.1 + 1.9*r.Float64())}
	x := [4]float64{1, truth[0], truth[1], truth[2]}
	for _, el := range []float64{75, 60, 45, 35, 28, 22, 18, 15, 13} {
		level := q.kelvin(Airmass(el), x)
		q.Points = append(q.Points, Point{Airmass(el), level * (1 + 0.002*r.NormFloat64()), level * 0.002})
	}
	if warm {
		q.WarmK = 290
		level := truth[1] + q.WarmK
		q.Warm = Value{level * (1 + 0.02*r.NormFloat64()), level * 0.02}
	}
	return q, truth
}

func TestRefusals(t *testing.T) {
	q, _ := draw(rand.New(rand.NewPCG(1, 2)), true)
	for name, change := range map[string]func(*Question){
		"few":        func(q *Question) { q.Points = q.Points[:3] },
		"high only":  func(q *Question) { q.Points = q.Points[:5] },
		"no error":   func(q *Question) { q.Points[0].Error = 0 },
		"no belief":  func(q *Question) { q.SpillK.Error = 0 },
		"NaN":        func(q *Question) { q.Points[2].Level = math.NaN() },
		"no airmass": func(q *Question) { q.Points[2].Airmass = 0.5 },
	} {
		changed := q
		changed.Points = append([]Point(nil), q.Points...)
		change(&changed)
		if _, err := Fit(changed); err == nil {
			t.Errorf("%s was answered", name)
		}
	}
	if x := Airmass(30); math.Abs(x-2) > 1e-12 {
		t.Errorf("airmass at 30 degrees %v", x)
	}
}
