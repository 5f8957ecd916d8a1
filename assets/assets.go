// Package assets holds the files that are built into the program. Each is
// given out as bytes that must not be changed.
package assets

import (
	"embed"
	"io/fs"
)

//go:embed catalogue/sources.csv
var sources []byte

// Sources is the list of radio sources, for package catalogue.
func Sources() []byte { return sources }

//go:embed ephemeris/de405.pack
var ephemeris []byte

// Ephemeris is the ephemeris pack, for ephem.New.
func Ephemeris() []byte { return ephemeris }

//go:embed rehearsals/*.rehearsal
var rehearsals embed.FS

// Rehearsals are the built-in scripts, name.rehearsal each.
func Rehearsals() fs.FS {
	return within(rehearsals, "rehearsals")
}

//go:embed sky408/sky.bin.gz
var sky408 []byte

// Sky408 is the brightness of the whole sky at 408 MHz, for noise.ParseSky.
func Sky408() []byte { return sky408 }

// within is a folder of embedded files.
func within(files embed.FS, name string) fs.FS {
	folder, err := fs.Sub(files, name)
	if err != nil {
		panic(err) // its files are embedded beside the call
	}
	return folder
}

//go:embed handbook/*.md handbook/pictures/*.png
var handbook embed.FS

// Handbook are the pages of the handbook, name.md each, as Markdown, and in pictures what they show.
func Handbook() fs.FS {
	return within(handbook, "handbook")
}
