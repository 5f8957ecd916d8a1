package main

import (
	"math"

	"beamhelm/app/audio"
	"beamhelm/app/audio/soundcard"
	"beamhelm/app/desk"
	"beamhelm/app/practice"
	"beamhelm/app/settings"
	"beamhelm/app/view"
)

// soundSystem is the computer's own; in practice the simulated receiver beside it.
func (p *session) soundSystem() audio.System {
	if !p.source.Practice {
		return soundcard.System()
	}
	moon := practice.NewMoon(p.seed, p.returned)
	return audio.Joined{practice.NewReceiver(p.seed, p.simulatedAudio(), moon), practice.NewTransmitter(p.onAir(moon)),
		soundcard.System()}
}

// What the simulated partner's signal is, with the beam on the Moon.
const (
	simulatedDBHz = 24
	lostBelowDB   = 60 // where the Moon isn't followed
	settledAfter  = 50 // tenths of a second, until the simulated detector has its level
)

// simulatedAudio is what the simulated receiver hears: noise as strong as the simulated detector says, and a
// partner's signal by way of the Moon while the beam is there.
func (p *session) simulatedAudio() func() practice.Heard {
	first, settled := math.NaN(), 0
	scale := view.AudioScaleOf(p.settings.Audio)
	return func() practice.Heard {
		s := p.desk.Status()
		h := practice.Heard{Muted: p.dish.Truth().Keyed, ToneHz: scale.Audio(0), ToneDBHz: math.Inf(-1)}
		if n := s.Noise; n.Clean {
			if settled++; settled == settledAfter {
				first = n.LevelDB
			}
			if settled >= settledAfter {
				h.OverDB = n.LevelDB - first
			}
		}
		onMoon := s.Target.Choice.Kind == desk.Moon && s.UnderWay() && s.EchoLossDB < lostBelowDB
		if s.OwnEcho.Request == nil && s.Radio != nil && s.Radio.Up && onMoon {
			h.ToneDBHz = simulatedDBHz - s.EchoLossDB/2 - h.OverDB // the partner's beam is on the Moon whatever ours is
		}
		return h
	}
}

// programWords say that the noise meter still records by a program of its own; empty where it doesn't.
func programWords(byProgram bool, s settings.Settings) string {
	if !byProgram {
		return ""
	}
	return "the noise meter records by the program in meter.port, " + s.Meter.Port +
		", which the next version leaves out"
}
