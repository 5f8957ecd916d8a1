package practice

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/audio/spectrum"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/echotest"
	"beamhelm/drive/mount"
	"beamhelm/ephem/echo"

	"github.com/soniakeys/unit"
)

// run sends bursts to a moon and gives what a receiver hears of it, with the plan of the cycles. dbhz is how strong the
// echo of each is, shift how much later than planned the echoes come.
func run(seed uint64, cycles int, dbhz func(cycle int) float64, shift time.Duration) (heard []float64,
	plan []ownecho.Counted) {
	const delay, doppler, spread = 2.45, 730.0, 12.0
	began := time.Date(2027, 4, 14, 19, 0, 0, 0, time.UTC)
	m := NewMoon(seed, func(sent time.Time, _ time.Duration) Return {
		dbhz := dbhz(int(sent.Sub(began) / ownecho.Cycle))
		return Return{Delay: time.Duration(delay*1e9) + shift, DopplerHz: doppler, SpreadHz: spread, DBHz: dbhz,
			MHz: 1296}
	})
	chance := rand.New(rand.NewPCG(seed, 1))
	filter := spectrum.NewDecimator()
	block, low := make([]float32, audio.Rate/50), []float32(nil)
	for i := range (6*cycles + 1) * 50 {
		at := began.Add(time.Duration(i) * 20 * time.Millisecond)
		cycle, since := i/300, float64(i%300)/50
		hz := 500 + 6*float64((cycle*7)%31)
		clear(block)
		if since >= 0.3 && since < 2.3 && cycle < cycles {
			for k := range block {
				block[k] = float32(0.5 * math.Sin(2*math.Pi*hz*(since+float64(k)/audio.Rate)))
			}
		}
		if i%300 == 0 && cycle < cycles {
			plan = append(plan, ownecho.Counted{Cycle: echotest.Cycle{KeyS: 6 * float64(cycle),
				KeyOffS:    6*float64(cycle) + 2.4,
				ToneStartS: 6*float64(cycle) + 0.3, ToneS: 2, ToneHz: hz, EchoStartS: 6*float64(cycle) + 0.3 + delay,
				EchoMidHz: hz + doppler}})
		}
		m.Send(at, block)
		back := make([]float64, len(block))
		m.Hear(at, back, 2.0/audio.Rate)
		for k := range block {
			block[k] = float32(0.05 * (back[k] + chance.NormFloat64()))
		}
		low = filter.Lower(block, low)
	}
	for _, x := range low {
		heard = append(heard, float64(x))
	}
	return heard, plan
}

func always(dbhz float64) func(int) float64 { return func(int) float64 { return dbhz } }

// What the moon returns is found with the strength, width, frequency and time that it was returned with; nothing is
// found where nothing is returned.
func TestTheMoonReturnsWhatIsSent(t *testing.T) {
	heard, plan := run(3, 10, always(20), 40*time.Millisecond)
	r := ownecho.Judge(heard, spectrum.Rate, 0, plan, &ownecho.Request{MHz: 1296, SpreadHz: 12}, 2)
	if !r.Detected || math.Abs(r.CN0DBHz-20) > 3*max(0.3, r.CN0ErrorDB) || math.Abs(r.OffsetHz) > 1.5 ||
		r.SpreadHz < 8 || r.SpreadHz > 18 ||
		math.Abs(r.DelayErrorMS-40) > 25 {
		t.Errorf("%+v", r)
	}
	heard, plan = run(4, 10, always(math.Inf(-1)), 0)
	if r := ownecho.Judge(heard, spectrum.Rate, 0, plan, &ownecho.Request{MHz: 1296, SpreadHz: 12}, 2); r.Detected ||
		r.NoiseProbability < 1e-3 {
		t.Errorf("of nothing: %+v", r)
	}
}

// A peak on the echo finds by how much the beam is misaligned, within three times the error it tells, where the moon
// returns less the further the beam is off it.
func TestAPeakOnTheEchoFindsAMisalignment(t *testing.T) {
	const perPlace, strength, width = 4, 22, 2.9
	beam := ownecho.Beam{Beam: echo.Beam{Hz: 1296e6, HalfPower: unit.AngleFromDeg(width)},
		MoonRadius: unit.AngleFromDeg(0.26)}
	config := ownecho.Config{Cycles: perPlace * ownecho.Places, Peak: true, Reach: ownecho.Reach(beam.HalfPower, 0.5)}
	trim := mount.Offset{Cross: unit.AngleFromDeg(0.3), El: unit.AngleFromDeg(-0.1)}
	best := trim.Plus(mount.Offset{Cross: unit.AngleFromDeg(0.5), El: unit.AngleFromDeg(-0.3)})
	heard, plan := run(1, config.Cycles, func(cycle int) float64 {
		is := trim.Plus(config.Offset(cycle / perPlace))
		off := math.Hypot((is.Cross - best.Cross).Rad(), (is.El - best.El).Rad())
		return strength - beam.PointingDB(beam.MoonRadius, unit.Angle(off))
	}, 0)
	for i := range plan {
		plan[i].Place = i / perPlace
		plan[i].Off = trim.Plus(config.Offset(plan[i].Place))
	}
	request := ownecho.Request{Config: config, MHz: 1296, SpreadHz: 12, Beam: beam, Trim: trim}
	r := ownecho.JudgePeak(heard, spectrum.Rate, 0, plan, &request, 2)
	if !r.Detected || r.Peak == nil || r.Peak.Why.Code != "" {
		t.Fatalf("%+v, %+v", r, r.Peak)
	}
	p := r.Peak
	t.Logf("found %+.3f ±%.3f, %+.3f ±%.3f, true %+.3f, %+.3f", p.Found.Cross.Deg(), p.Error.Cross.Deg(),
		p.Found.El.Deg(),
		p.Error.El.Deg(), best.Cross.Deg(), best.El.Deg())
	if math.Abs((p.Found.Cross-best.Cross).Rad()) > 3*p.Error.Cross.Rad() ||
		math.Abs((p.Found.El-best.El).Rad()) > 3*p.Error.El.Rad() ||
		max(p.Error.Cross, p.Error.El).Deg() > 0.2 || p.Was != trim {
		t.Errorf("%+v", p)
	}
	// One that ends early gives no trim, and the strength at the centre alone.
	half := ownecho.JudgePeak(heard, spectrum.Rate, 0, plan[:2*perPlace], &request, 2)
	want := strength - beam.PointingDB(beam.MoonRadius, unit.Angle(math.Hypot(
		(trim.Cross-best.Cross).Rad(), (trim.El-best.El).Rad())))
	if !half.Detected || half.Peak.Why.Code == "" || math.Abs(half.CN0DBHz-want) > 3*half.CN0ErrorDB {
		t.Errorf("after two places: %+v, %+v, want %.1f dB-Hz", half, half.Peak, want)
	}
}
