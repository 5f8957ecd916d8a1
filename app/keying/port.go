package keying

import (
	"errors"
	"fmt"
	"io"

	"beamhelm/drive/link"
)

// Port opens a serial port of which one line keys, RTS or else DTR; both are low. Opening it raises both
// for a moment on most systems: it is opened once, with the permit withdrawn.
func Port(path string, dtr bool) (Line, error) {
	open, err := link.Serial(link.Settings{Path: path, Baud: 9600, Parity: link.NoParity, StopBits: 1,
		Lines: link.LinesLow})()
	if err != nil {
		return nil, err
	}
	lines, ok := open.(lines)
	if !ok {
		open.Close()
		return nil, errors.New("this port tells nothing of its lines")
	}
	p := &port{lines: lines, close: open, dtr: dtr}
	if err := p.Set(false); err != nil {
		open.Close()
		return nil, fmt.Errorf("serial port %s has no such line: %w", path, err)
	}
	return p, nil
}

type lines interface {
	SetRTS(bool) error
	SetDTR(bool) error
}

type port struct {
	lines
	close io.Closer
	dtr   bool
}

// Set implements Line.
func (p *port) Set(high bool) error {
	if p.dtr {
		return p.SetDTR(high)
	}
	return p.SetRTS(high)
}

// Close implements Line.
func (p *port) Close() error { return errors.Join(p.Set(false), p.close.Close()) }
