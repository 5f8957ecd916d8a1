package main

import (
	"context"
	"math"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/echorun"
	"beamhelm/app/keying"
	"beamhelm/app/practice"
	"beamhelm/drive/mount"
	"beamhelm/ephem"
	"beamhelm/ephem/echo"
)

// openEchoes makes what measures the station's own echoes, where the settings name an output for the tone.
func (p *session) openEchoes(runner *desk.RunnerConfig, sounds audio.System) {
	k := p.settings.Keying
	if k.Output == "" {
		return
	}
	p.tones = audio.NewOutput(sounds, k.Output)
	c := echorun.Config{
		Status: func() *desk.Status { return p.desk.Status() }, Dish: p.dishNow, Clock: p.now,
		Window: func() time.Duration { return p.desk.WindowSilence() },
		Output: p.tones, Input: p.audio.Status, Listen: p.audio.Listen, Tape: p.audio.Tape(),
		Simulated: p.source.Practice,
	}
	switch {
	case p.source.Practice:
		line := simulatedLine{p.dish.Dish}
		c.Open = func() (keying.Keyer, error) { return keying.Beside(line, keying.Limit(k)), nil }
		c.Wanted = func(wanted bool) { p.dish.SetSending(!wanted) } // nobody sends by hand meanwhile
	case k.Port != "":
		c.Open = func() (keying.Keyer, error) { return keying.FromSettings(k) }
	}
	p.echoes = echorun.New(c)
	runner.OwnEcho = func() ownecho.Progress { return p.echoes.Progress() }
}

// runEchoes lets it run: it unkeys as soon as the loop is to end.
func (p *session) runEchoes(loop, rest context.Context) {
	if p.echoes == nil {
		return
	}
	p.loopDone.Go("own echoes", func() { p.echoes.Run(loop) })
	p.rest.Go("tone output", func() { p.tones.Run(rest) })
}

// The loop's word of the dish counts for so long.
const (
	statusCounts = 500 * time.Millisecond
	replyCounts  = 700 * time.Millisecond
)

// dishNow is what the loop knows of the dish.
func (p *session) dishNow() echorun.Dish {
	s := p.loop.Status()
	_, now := p.now()
	link := now-s.Now < statusCounts && s.Link.Age < replyCounts &&
		s.Link.State.Live()
	return echorun.Dish{Permit: s.Permit.Granted, Keyed: s.Permit.Keyed, Link: link, Tripped: s.Lock.Locked,
		AtDish: s.Working, Stops: p.loop.Stops()}
}

// simulatedLine keys the simulated transmitter.
type simulatedLine struct{ dish *practice.Dish }

// Set implements keying.Line.
func (l simulatedLine) Set(high bool) error { l.dish.SetKey(high); return nil }

// Close implements keying.Line.
func (l simulatedLine) Close() error { return l.Set(false) }

// onAir hands to the moon what the simulated transmitter sends: the tone, while it is keyed.
func (p *session) onAir(moon *practice.Moon) func(at time.Time, block []float32) {
	return func(at time.Time, block []float32) {
		if !p.dish.Truth().Keyed {
			clear(block)
		}
		moon.Send(at, block)
	}
}

// returned is what the moon makes of a burst, by the true place of the simulated beam and the budget of the station;
// the simulated radio's dials are where they should be.
func (p *session) returned(sent time.Time, lasts time.Duration) practice.Return {
	s := p.desk.Status()
	nothing := practice.Return{DBHz: math.Inf(-1)}
	if s.Radio == nil || s.OwnEcho.Plan == nil || !s.Radio.Up || !s.Radio.Budget.Has {
		return nothing
	}
	plan := *s.OwnEcho.Plan
	if r := s.OwnEcho.Request; r != nil {
		plan = r.Config
	}
	now, _ := p.now()
	middle := now.Add(time.Until(sent) + lasts/2)
	path := echo.PathFrom(p.sky, plan.Here, plan.Here, middle)
	look := p.sky.Look(plan.Here, ephem.MoonBody(), middle)
	truth, air := p.dish.Truth(), p.dish.Air()
	moon := mount.SkyDirection{Az: look.Az, El: air.Refracted(look.El)}
	off := mount.Apart(mount.SkyDirection{Az: truth.Azimuth, El: truth.Elevation}, moon)
	b := s.Radio.Budget
	b.Add(plan.TransmitHz, echo.CentreBright, off)
	hz := plan.TransmitHz + plan.ToneHz
	return practice.Return{
		Delay:       time.Duration(path.FirstS() * float64(time.Second)),
		DopplerHz:   path.DopplerHz(hz) + plan.TransmitHz - plan.ReceiveHz,
		DriftHzPerS: echo.DriftHzPerS(p.sky, plan.Here, plan.Here, hz, path.Received),
		SpreadHz:    b.SpreadHz, DBHz: b.DensityDBHz, MHz: plan.TransmitHz / 1e6,
	}
}
