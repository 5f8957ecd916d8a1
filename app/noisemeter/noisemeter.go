// Package noisemeter opens the noise meter that the settings name.
package noisemeter

import (
	"context"
	"io"
	"net"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/settings"
	"beamhelm/drive/link"
	"beamhelm/drive/meter"
)

// Line is the serial line to the meter of the settings.
func Line(s settings.Meter) link.Settings {
	return link.Settings{Path: s.Port, Baud: s.Baud, Parity: link.NoParity, StopBits: 1}
}

// ByProgram says that the meter hears the receiver by a program that records, as
// former versions did: no input of the sound system is chosen.
func ByProgram(s settings.Settings) bool {
	return s.Meter.Source == settings.FromAudio && s.Audio.Input == ""
}

// FromSettings is the meter of the settings; nil where the enclosure's detector measures. receiver is the
// receiver's audio, asked only when the meter is opened.
func FromSettings(all settings.Settings, receiver *audio.Receiver) (*meter.Meter, error) {
	s := all.Meter
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
		if !ByProgram(all) {
			c.Name, c.Rate = "receiver audio", audio.Rate
			c.Open = func(context.Context) (io.ReadWriteCloser, error) { return receiver.Feed(), nil }
		}
	default:
		return nil, nil
	}
	return meter.New(c)
}
