package transceiver

import (
	"context"
	"io"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/settings"
	"beamhelm/app/transceiver/codec"
	"beamhelm/drive/link"
)

// Line is the radio's port by the settings. RTS and DTR are low, for either may key a radio.
func Line(s settings.Radio) link.Settings {
	line := link.Settings{Path: s.Port, Baud: s.Baud, Slow: true, Parity: link.NoParity, StopBits: s.StopBits,
		Lines: link.LinesLow}
	if s.RTS {
		line.Lines = link.RTSAlone
	}
	return line
}

// FromSettings is the radio of the settings, nil where none is spoken to; wanted tells what its dial should be.
func FromSettings(s settings.Radio, wanted func() Wanted) (*Transceiver, error) {
	c := Default()
	switch s.Family {
	case settings.FramedRadio:
		c.Protocol = &codec.Framed{Address: byte(s.Address)}
	case settings.ASCIIRadio:
		c.Protocol = new(codec.ASCII)
	default:
		return nil, nil
	}
	open := link.Serial(Line(s))
	c.Open = func(context.Context) (io.ReadWriteCloser, error) { return open() }
	c.Name, c.Set, c.WhileTransmitting, c.Wanted = s.Port, s.Set, s.WhileTransmitting, wanted
	return New(c)
}

// statusOld is from which age on a status no longer tells whether the station transmits.
const statusOld = time.Second

// WantedOf is what a status wants the dial to be. A status that is old, or of a lost link, doesn't know whether the
// station transmits; then it counts as transmitting.
func WantedOf(s *desk.Status, at time.Time) Wanted {
	if s == nil || s.Radio == nil {
		return Wanted{}
	}
	d := &s.Radio.Dial
	known := s.Link.State == desk.LinkGood && at.Sub(s.At) < statusOld
	return Wanted{
		Has: s.Radio.Up && at.Before(d.Until), Period: d.From, ReceiveHz: d.ReceiveHz, TransmitHz: d.TransmitHz,
		Keyed: !known || s.Transmit.Keyed,
	}
}
