package link

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"sync/atomic"

	"go.bug.st/serial"

	"beamhelm/drive/rtu"
)

// Parity of the line.
type Parity uint8

const (
	Even Parity = iota
	Odd
	NoParity
)

// ParityOf is the parity of a word: "even", "odd" or "none".
func ParityOf(word string) (p Parity, known bool) {
	p, known = map[string]Parity{"even": Even, "odd": Odd, "none": NoParity}[word]
	return p, known
}

// Settings of a serial port. The zero value of each field but Path is the default of the link.
type Settings struct {
	// Path of the port, as /dev/ttyUSB0 or COM3.
	Path string
	// Baud 9600 to 115200; 0 is 19200.
	Baud   int
	Parity Parity
	// StopBits 1 or 2; 0 is 1 with a parity and 2 without one.
	StopBits int
	// Slow allows 4800 baud as well: for what isn't an enclosure.
	Slow bool
	// Lines is what RTS and DTR do.
	Lines Lines
}

// Lines is what the handshake lines of a port do while it is open. Opening a port raises both on most systems; they
// fall again at once where they are to be low.
type Lines uint8

const (
	LinesRaised Lines = iota // both, as the system opens a port
	LinesLow
	RTSAlone
)

// bauds are the rates that can be set.
func (s Settings) bauds() []int {
	rates := []int{9600, 19200, 38400, 57600, 115200}
	if s.Slow {
		return append([]int{4800}, rates...)
	}
	return rates
}

func (s Settings) filled() Settings {
	if s.Baud == 0 {
		s.Baud = 19200
	}
	if s.StopBits == 0 {
		s.StopBits = 1
		if s.Parity == NoParity {
			s.StopBits = 2
		}
	}
	return s
}

// Validate names the first field that cannot be used.
func (s Settings) Validate() error {
	s = s.filled()
	switch {
	case s.Path == "":
		return fmt.Errorf("serial port: no path is set")
	case !slices.Contains(s.bauds(), s.Baud):
		return fmt.Errorf("serial port %s: baud %d, may be one of %v", s.Path, s.Baud, s.bauds())
	case s.Parity > NoParity:
		return fmt.Errorf("serial port %s: parity %d, may be even, odd or none", s.Path, s.Parity)
	case s.StopBits < 1 || s.StopBits > 2:
		return fmt.Errorf("serial port %s: %d stop bits, may be 1 or 2", s.Path, s.StopBits)
	}
	return nil
}

// Opener opens a line.
type Opener func() (rtu.Line, error)

// ErrHung: the port is still held by this panel, because a call that was given up has not returned.
var ErrHung = errors.New("a call into its driver does not return; unplug the adapter and plug it in again")

// Serial returns an opener of a serial port, or of a pseudo-terminal.
func Serial(s Settings) Opener {
	var last *claimed
	return func() (rtu.Line, error) {
		if err := s.Validate(); err != nil {
			return nil, err
		}
		f := s.filled()
		mode := &serial.Mode{BaudRate: f.Baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit}
		switch f.Parity {
		case Even:
			mode.Parity = serial.EvenParity
		case Odd:
			mode.Parity = serial.OddParity
		}
		if f.StopBits == 2 {
			mode.StopBits = serial.TwoStopBits
		}
		held, err := claim(f.Path)
		if errors.Is(err, ErrInUse) && last != nil && !last.closed.Load() {
			err = fmt.Errorf("opening serial port %s: %w", f.Path, ErrHung)
		}
		if err != nil {
			return nil, err
		}
		if f.Lines != LinesRaised && lower(held) {
			mode.InitialStatusBits = &serial.ModemOutputBits{RTS: f.Lines == RTSAlone}
		}
		port, err := serial.Open(f.Path, mode)
		if err != nil {
			if held != nil {
				held.Close()
			}
			return nil, fmt.Errorf("opening serial port %s: %w", f.Path, err)
		}
		last = &claimed{Port: port, held: held}
		return last, nil
	}
}

// claimed is an open port that no other panel can use.
type claimed struct {
	serial.Port
	held   *os.File
	closed atomic.Bool
}

// Close closes the port, and then lets others have it.
func (c *claimed) Close() error {
	err := c.Port.Close()
	if c.held != nil {
		err = errors.Join(err, c.held.Close())
	}
	c.closed.Store(true)
	return err
}
