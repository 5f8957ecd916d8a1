// Package board brings the enclosure's firmware to its board, for the command
// line and the window alike: the station file, the image made of it, the
// transfer, and what is told of them.
package board

import (
	"context"
	"fmt"

	"beamhelm/app/regular"
	"beamhelm/drive/firmware"
	"beamhelm/drive/firmware/flash"
)

// Job is what is to be done.
type Job struct {
	// Port of the board, its USB port rather than the enclosure's line.
	Port string
	// Station file, empty for the unchanged table.
	Station string
	// Write the firmware and read it back; else only read the board and compare.
	Write bool
}

// maxStationBytes is the largest station file that is read.
const maxStationBytes = 1 << 20

// Do does a job, which takes up to two minutes, and returns what the board
// holds then. The end of the context aborts it. told, where set, hears how far it is.
func Do(ctx context.Context, j Job, told func(flash.Progress)) (string, error) {
	station := firmware.UsualStation()
	if j.Station != "" {
		text, err := regular.Read(j.Station, maxStationBytes)
		if err != nil {
			return "", err
		}
		if station, err = firmware.ParseStation(string(text)); err != nil {
			return "", fmt.Errorf("%s: %w", j.Station, err)
		}
	}
	image, err := firmware.Image(station)
	if err != nil {
		return "", err
	}
	action := flash.Verify
	if j.Write {
		action = flash.Write
	}
	if err := flash.Do(ctx, action, j.Port, image, told); err != nil {
		return "", err
	}
	return fmt.Sprintf("The board holds this image: revision %s, unit %d at %d baud.", Revision(),
		station.Values("unit")[0], station.Values("baud")[0]), nil
}

// Revision of the firmware that the program carries, such as "1.0".
func Revision() string { return fmt.Sprintf("%d.%d", firmware.Revision>>8, firmware.Revision&0xFF) }
