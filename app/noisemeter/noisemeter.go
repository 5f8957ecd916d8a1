// Package noisemeter opens the noise meter that the settings name.
package noisemeter

import (
	"net"
	"time"

	"beamhelm/app/settings"
	"beamhelm/drive/link"
	"beamhelm/drive/meter"
)

// Line is the serial line to the meter of the settings.
func Line(s settings.Meter) link.Settings {
	return link.Settings{Path: s.Port, Baud: s.Baud, Parity: link.NoParity, StopBits: 1}
}

// FromSettings is the meter of the settings; nil where the enclosure's detector measures.
func FromSettings(s settings.Meter) (*meter.Meter, error) {
	c := meter.Config{Name: s.Port, Linear: s.Linear, Query: s.Query,
		Every: time.Duration(s.IntervalMS) * time.Millisecond, Rate: s.SampleHz, LowHz: s.LowHz, HighHz: s.HighHz}
	switch s.Source {
	case settings.FromLines:
		c.Kind, c.Open = meter.Lines, meter.Serial(Line(s))
	case settings.FromInstrument:
		c.Kind, c.Open = meter.SCPI, meter.Serial(Line(s))
		if _, _, err := net.SplitHostPort(s.Port); err == nil {
			c.Open = meter.Network(s.Port)
		}
	case settings.FromAudio:
		c.Kind, c.Open = meter.Audio, meter.Recorder(s.Port)
	default:
		return nil, nil
	}
	return meter.New(c)
}
