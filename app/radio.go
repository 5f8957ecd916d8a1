package main

import (
	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/settings"
	"beamhelm/app/transceiver"
)

// openRadio makes what reads the radio's dial, where the settings name a radio.
func (p *session) openRadio(runner *desk.RunnerConfig, s settings.Radio, now desk.Clock) {
	p.now = now
	made, err := transceiver.FromSettings(s, p.dialWanted)
	if err != nil {
		p.leaveOut("radio", "The radio isn't read", err)
		return
	}
	if p.radio = made; made == nil {
		return
	}
	runner.Dial = func() radio.Dialled {
		r := made.Reading()
		return radio.Dialled{Has: r.Has, ReceiveHz: r.ReceiveHz, TransmitHz: r.TransmitHz}
	}
}

// dialWanted is what the radio's dial should be.
func (p *session) dialWanted() transceiver.Wanted {
	at, _ := p.now()
	return transceiver.WantedOf(p.desk.Status(), at)
}
