package main

import (
	"errors"
	"fmt"
	"os"

	"beamhelm/app/board"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/setup"
	"beamhelm/app/view"
	"beamhelm/drive/firmware/flash"
)

// Firmware implements setup.Keeper: nothing may move, and the link's own port is given up for as long as it takes.
func (s setting) Firmware(ctx offwindow.Context, b setup.Board, told func(stage string, percent int)) (string, error) {
	p := s.session
	if against := view.AgainstFirmware(view.At(p.desk.Status(), 0, 0)); against != "" {
		return "", errors.New(against)
	}
	if samePort(b.Port, p.settings.Link.Port) {
		told("the link gives up the port", 0)
		back, err := p.port.Lend(ctx)
		if err != nil {
			return "", fmt.Errorf("%s: the link doesn't give up the port: %w", b.Port, err)
		}
		defer back()
	}
	p.log.Info("firmware", "port", b.Port, "station", b.Station, "write", b.Write)
	holds, err := board.Do(ctx, board.Job{Port: b.Port, Station: b.Station, Write: b.Write},
		func(now flash.Progress) { told(now.Stage, now.Percent) })
	p.log.Info("firmware ended", "holds", holds, "error", err)
	return holds, err
}

// samePort says whether two paths are one port, by whatever links.
func samePort(a, b string) bool {
	if a == b {
		return true
	}
	one, errOne := os.Stat(a)
	other, errOther := os.Stat(b)
	return errOne == nil && errOther == nil && os.SameFile(one, other)
}
