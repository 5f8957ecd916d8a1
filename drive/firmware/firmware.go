// Package firmware is the enclosure's own program, for an ATmega2560 board: the
// image as it is written to the board, the table of its pins, and the station's
// table that is filled into the image.
//
// The sources in C stand beside it: core is what the enclosure does, without
// hardware; mega2560 is the board; body and rig try both, in tests only.
// ./build makes the image.
package firmware

import (
	"bytes"
	_ "embed"
	"encoding/binary"
	"fmt"

	"beamhelm/drive/rtu"
)

//go:embed enclosure.hex
var built []byte

// Revision of the image, as register 0005 tells it: major*256 + minor.
const Revision = 0x0100

// stationVersion is that of the table's layout.
const stationVersion = 1

// stationMark stands before the station's table in the image.
var stationMark = []byte("STATION\x00")

// Image is the image as an Intel HEX file, with a station's table in it.
func Image(s *Station) ([]byte, error) {
	code, err := parseHex(built)
	if err != nil {
		return nil, fmt.Errorf("the image that the program carries: %w", err)
	}
	if err := fill(code, s); err != nil {
		return nil, err
	}
	return formatHex(code), nil
}

// fill puts a station's table in its place in the image.
func fill(code []byte, s *Station) error {
	table := s.encode()
	at := bytes.Index(code, stationMark)
	if at < 0 || bytes.Contains(code[at+1:], stationMark) {
		return fmt.Errorf("the image has no one place for the station's table")
	}
	place := code[at+len(stationMark):]
	if len(place) < 6+len(table) || binary.LittleEndian.Uint16(place) != stationVersion ||
		int(binary.LittleEndian.Uint16(place[2:])) != len(table) {
		return fmt.Errorf("the image has another station's table: it must be rebuilt")
	}
	copy(place[4:], table)
	binary.LittleEndian.PutUint16(place[4+len(table):], rtu.CRC(place[:4+len(table)]))
	return nil
}
