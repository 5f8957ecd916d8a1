package echorun

import (
	"context"
	"math"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/audio"
	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/keying"
	"beamhelm/app/practice"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/echo"
)

// wire is a line that the transmitter follows.
type wire struct{ high atomic.Bool }

func (w *wire) Set(high bool) error { w.high.Store(high); return nil }
func (w *wire) Close() error        { return w.Set(false) }

// A whole run with the simulated transmitter, Moon and receiver, in virtual time: the line is keyed, tones go out,
// come back with the path's delay and Doppler shift, and are found with the strength that they were returned with.
func TestAnEchoIsFound(t *testing.T) {
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	here := ephem.Site{Lat: unit.AngleFromDeg(55), Lon: unit.AngleFromDeg(-3)}
	c := ownecho.Config{Cycles: 6, Lead: 400 * time.Millisecond, Back: 150 * time.Millisecond, Limit: 3 * time.Second,
		ToneHz: 1500, Seed: 5,
		Sky: sky, Here: here}
	at := time.Date(2027, 4, 14, 19, 0, 0, 0, time.UTC)
	c.Tune(1296.065e6, math.NaN(), math.NaN(), at)
	const strength, spread = 22.0, 12.0
	synctest.Test(t, func(t *testing.T) {
		from := time.Now()
		now := func() (time.Time, time.Duration) { d := time.Since(from); return at.Add(d), d }
		moon := practice.NewMoon(3, func(sent time.Time, lasts time.Duration) practice.Return {
			path := echo.PathFrom(sky, here, here, at.Add(sent.Sub(from)+lasts/2))
			hz := c.TransmitHz + c.ToneHz
			return practice.Return{Delay: time.Duration(path.FirstS() * 1e9),
				DopplerHz: path.DopplerHz(hz) + c.TransmitHz - c.ReceiveHz,
				SpreadHz:  spread, DBHz: strength, MHz: 1296}
		})
		line := &wire{}
		sounds := audio.Joined{
			practice.NewReceiver(2, func() practice.Heard {
				return practice.Heard{Muted: line.high.Load(), ToneDBHz: math.Inf(-1)}
			}, moon),
			practice.NewTransmitter(func(at time.Time, block []float32) {
				if !line.high.Load() {
					clear(block)
				}
				moon.Send(at, block)
			})}
		heard := audio.NewReceiver(sounds, settings.SimulatedReceiver)
		tones := audio.NewOutput(sounds, settings.SimulatedTransmitter)
		var status atomic.Pointer[desk.Status]
		status.Store(&desk.Status{Practice: true})
		s := New(Config{
			Status: func() *desk.Status { copied := *status.Load(); copied.At, _ = now(); return &copied },
			Dish: func() Dish {
				return Dish{Permit: status.Load().OwnEcho.MoonUp, Keyed: line.high.Load(),
					Link: true}
			},
			Clock: now, Window: func() time.Duration { return 0 }, Output: tones, Input: heard.Status,
			Listen: heard.Listen,
			Tape:   heard.Tape(), Simulated: true,
			Open: func() (keying.Keyer, error) { return keying.Beside(line, 3*time.Second), nil },
		})
		ctx, end := context.WithCancel(t.Context())
		ended := make(chan struct{})
		for _, run := range []func(context.Context){heard.Run, tones.Run, s.Run} {
			go func() { run(ctx); ended <- struct{}{} }()
		}
		time.Sleep(6 * time.Second)
		wanted := &desk.Status{Practice: true}
		wanted.OwnEcho.MoonUp = true
		wanted.OwnEcho.Request = &ownecho.Request{Number: 1, Config: c, MHz: 1296, SpreadHz: spread}
		status.Store(wanted)
		time.Sleep(55 * time.Second)
		synctest.Wait()
		p := s.Progress()
		if f := p.Found; f == nil || !p.Complete || p.Counted != 6 || !f.Detected ||
			math.Abs(f.CN0DBHz-strength) > 4*f.CN0ErrorDB ||
			math.Abs(f.OffsetHz) > 2 || math.Abs(f.DelayErrorMS) > 60 {
			t.Errorf("%+v, found %+v", p, f)
		} else {
			t.Logf("%+v", *f)
		}
		end()
		for range 3 {
			<-ended
		}
	})
}
