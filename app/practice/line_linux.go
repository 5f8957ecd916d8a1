package practice

import (
	"io"

	"beamhelm/drive/link"
	"beamhelm/drive/replica/serve"
)

// line is a serial line to the simulated enclosure: a pseudo-terminal, opened
// by the panel just as a port at /dev would be.
type line struct {
	far   io.ReadWriteCloser
	near  link.Opener
	quiet func()
	// Path of the port.
	path string
}

func openLine(baud int) (line, error) {
	terminal, err := serve.OpenTerminal()
	if err != nil {
		return line{}, err
	}
	near := link.Serial(link.Settings{Path: terminal.Path, Baud: baud, Parity: link.NoParity})
	// A claim on the port that a killed program left behind is given back. That
	// it can fail changes nothing: the next call tries again.
	quiet := func() { _ = terminal.Release() }
	return line{terminal, near, quiet, terminal.Path}, nil
}
