// Package serialline opens the serial line that the settings name.
package serialline

import (
	"fmt"

	"beamhelm/app/settings"
	"beamhelm/drive/link"
)

// FromSettings is the line of the settings. It opens nothing; the error is that of
// a parity that there is not.
func FromSettings(l settings.Link) (link.Settings, error) {
	parity, known := link.ParityOf(string(l.Parity))
	if !known {
		return link.Settings{}, fmt.Errorf("parity %q: must be even, odd or none", l.Parity)
	}
	return link.Settings{Path: l.Port, Baud: l.Baud, Parity: parity, StopBits: l.StopBits}, nil
}

// Master is how the enclosure of the settings is spoken to.
func Master(l settings.Link) link.Config {
	c := link.Default()
	c.Unit = byte(l.Unit)
	return c
}
