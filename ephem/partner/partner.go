// Package partner holds the stations one works with by way of the Moon: a small list,
// read from and written to CSV.
package partner

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"

	"beamhelm/ephem"
	"beamhelm/ephem/locator"
	"beamhelm/ephem/rows"
)

// header is the first line of a list.
const header = "name,locator,polarisation,note"

// Polarisation is how a station's feed is polarised.
type Polarisation uint8

// The polarisations. Linear ones are against the station's own horizon.
const (
	Circular Polarisation = iota
	Horizontal
	Vertical
)

// String returns the word that a list has for it.
func (p Polarisation) String() string {
	return [...]string{"circular", "horizontal", "vertical"}[p]
}

// Linear says that a turn of the polarisation matters.
func (p Polarisation) Linear() bool { return p != Circular }

// Partner is a station.
type Partner struct {
	Name         string
	Locator      string
	Polarisation Polarisation
	Note         string
}

// Site returns the middle of the locator's cell, at sea level: 0.3 km of height or 3 km to
// the side turn the Moon by 0.0005 degree.
func (p Partner) Site() (ephem.Site, error) {
	lat, lon, _, _, err := locator.Parse(p.Locator)
	return ephem.Site{Lat: lat, Lon: lon}, err
}

// Read reads a list: CSV with the header name,locator,polarisation,note. A name must stand once; no
// partner may stand in the station's own cell of a locator of 6 characters or
// more. Everything is right or nothing is returned; the error is a rows.Error.
func Read(text []byte, own ephem.Site) ([]Partner, error) {
	_, list, err := rows.Read(text, header)
	if err != nil {
		return nil, err
	}
	seen := map[string]int{}
	var partners []Partner
	for _, row := range list {
		if row.Err != nil {
			return nil, rows.Errorf(row.Line, "%v", row.Err)
		}
		p, err := one(row.Fields, own)
		if err != nil {
			return nil, rows.Errorf(row.Line, "%v", err)
		}
		key := strings.ToLower(p.Name)
		if line := seen[key]; line != 0 {
			return nil, rows.Errorf(row.Line, "%s stands in line %d already", p.Name, line)
		}
		seen[key] = row.Line
		partners = append(partners, p)
	}
	return partners, nil
}

func one(fields []string, own ephem.Site) (Partner, error) {
	p := Partner{Name: strings.TrimSpace(fields[0]), Locator: strings.TrimSpace(fields[1]), Note: strings.TrimSpace(fields[3])}
	if p.Name == "" {
		return p, fmt.Errorf("a partner without a name")
	}
	if _, err := p.Site(); err != nil {
		return p, err
	}
	here, err := locator.Of(own.Lat, own.Lon, len(p.Locator))
	if err == nil && len(p.Locator) >= 6 && strings.EqualFold(here, p.Locator) {
		return p, fmt.Errorf("%s stands at the station's own place, %s", p.Name, here)
	}
	for _, known := range []Polarisation{Circular, Horizontal, Vertical} {
		if strings.EqualFold(strings.TrimSpace(fields[2]), known.String()) {
			p.Polarisation = known
			return p, nil
		}
	}
	return p, fmt.Errorf("polarisation %q is not circular, horizontal or vertical", fields[2])
}

// Write returns a list as Read reads it.
func Write(partners []Partner) []byte {
	var text bytes.Buffer
	text.WriteString(header + "\n")
	w := csv.NewWriter(&text)
	for _, p := range partners {
		// A line a row: a line end inside a note would break the list.
		note := strings.Join(strings.Fields(p.Note), " ")
		w.Write([]string{p.Name, p.Locator, p.Polarisation.String(), note}) // a buffer takes all
	}
	w.Flush()
	return text.Bytes()
}
