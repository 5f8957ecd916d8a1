// Package assets holds the files that are built into the program. Each is
// given out as bytes that must not be changed.
package assets

import _ "embed"

//go:embed catalogue/sources.csv
var sources []byte

// Sources is the list of radio sources, for package catalogue.
func Sources() []byte { return sources }

//go:embed ephemeris/de405.pack
var ephemeris []byte

// Ephemeris is the ephemeris pack, for ephem.New.
func Ephemeris() []byte { return ephemeris }
