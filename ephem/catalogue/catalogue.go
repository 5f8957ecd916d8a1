// Package catalogue reads the list of radio sources.
package catalogue

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamhelm/ephem"

	"github.com/soniakeys/unit"
)

// Source is a radio source of the list.
type Source struct {
	Name string
	// RA and Dec, ICRS (J2000).
	RA, Dec unit.Angle
	// Words say what it is.
	Words string
}

// Body returns the source as a body of the sky.
func (s Source) Body() ephem.Body { return ephem.Star(s.Name, s.RA, s.Dec) }

// Catalogue is a list of sources with different names.
type Catalogue []Source

// Parse reads a list: CSV with the header name,ra_deg,dec_deg,words. Coordinates are
// ICRS (J2000) in decimal degrees.
func Parse(text []byte) (Catalogue, error) {
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("reading the list of sources: %w", err)
	}
	if len(rows) == 0 || strings.Join(rows[0], ",") != "name,ra_deg,dec_deg,words" {
		return nil, fmt.Errorf("reading the list of sources: the header is not name,ra_deg,dec_deg,words")
	}
	var all Catalogue
	for _, row := range rows[1:] {
		ra, raErr := strconv.ParseFloat(row[1], 64)
		dec, decErr := strconv.ParseFloat(row[2], 64)
		switch {
		case raErr != nil || !(ra >= 0 && ra < 360) || decErr != nil || !(math.Abs(dec) <= 90):
			return nil, fmt.Errorf(
				"reading the list of sources: %s: %s,%s is not a right ascension and declination in degrees", row[0],
				row[1], row[2])
		case plain(row[0]) == "":
			return nil, fmt.Errorf("reading the list of sources: a source without a name")
		}
		if _, twice := all.Find(row[0]); twice {
			return nil, fmt.Errorf("reading the list of sources: %s stands twice", row[0])
		}
		all = append(all, Source{row[0], unit.AngleFromDeg(ra), unit.AngleFromDeg(dec), row[3]})
	}
	return all, nil
}

// Find returns the source of a name. Capitals, blanks and a star at the end don't matter.
func (c Catalogue) Find(name string) (Source, bool) {
	for _, s := range c {
		if plain(s.Name) == plain(name) {
			return s, true
		}
	}
	return Source{}, false
}

// Names returns the names in the order of the list.
func (c Catalogue) Names() []string {
	names := make([]string, len(c))
	for i, s := range c {
		names[i] = s.Name
	}
	return names
}

func plain(name string) string {
	return strings.TrimSuffix(strings.ToLower(strings.ReplaceAll(name, " ", "")), "*")
}
