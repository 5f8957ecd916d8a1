// Package partner holds the stations one works with by way of the Moon: a small list,
// read from and written to CSV.
package partner

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"beamhelm/ephem"
	"beamhelm/ephem/locator"
	"beamhelm/ephem/rows"
)

// header is the first line of a list, longHeader that of one that tells of the stations' call signs and equipment too.
const (
	header     = "name,locator,polarisation,note"
	longHeader = header + ",call_sign,power_w,dish_m,system_noise_k"
)

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
	// CallSign is empty where there is none.
	CallSign string
	Equipment
}

// Equipment is what is known of a station on the band in use; 0 is not known.
type Equipment struct {
	PowerW  float64 // at the feed
	DishM   float64
	SystemK float64 // noise, with the beam on the Moon
}

// Complete says whether all of it is known.
func (e Equipment) Complete() bool { return e.PowerW > 0 && e.DishM > 0 && e.SystemK > 0 }

// limits are the least and the greatest that is taken, in the order of the columns.
var limits = [...]struct {
	name             string
	minimum, maximum float64
}{{"power", 0.001, 30000}, {"dish", 0.3, 100}, {"system noise", 1, 10000}}

// ParseEquipment reads power, dish and system noise; one that is blank isn't known.
func ParseEquipment(power, dish, noise string) (e Equipment, err error) {
	to := [...]*float64{&e.PowerW, &e.DishM, &e.SystemK}
	for i, text := range [...]string{power, dish, noise} {
		if strings.TrimSpace(text) == "" {
			continue
		}
		v, err := rows.Number(strings.TrimSpace(text))
		if err != nil || !(v >= limits[i].minimum && v <= limits[i].maximum) {
			return Equipment{}, fmt.Errorf("their %s must be %v to %v",
				limits[i].name, limits[i].minimum, limits[i].maximum)
		}
		*to[i] = v
	}
	return e, nil
}

// Site returns the middle of the locator's cell, at sea level: 0.3 km of height or 3 km to
// the side turn the Moon by 0.0005 degree.
func (p Partner) Site() (ephem.Site, error) {
	lat, lon, _, _, err := locator.Parse(p.Locator)
	return ephem.Site{Lat: lat, Lon: lon}, err
}

// Read reads a list: CSV with the header name,locator,polarisation,note, after which may stand
// call_sign,power_w,dish_m,system_noise_k. A name must stand once; no partner may stand in the
// station's own cell of a locator of 6 characters or more. Everything is right or nothing is
// returned; the error is a rows.Error.
func Read(text []byte, own ephem.Site) ([]Partner, error) {
	_, list, err := rows.Read(text, header, longHeader)
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
	p := Partner{Name: strings.TrimSpace(fields[0]), Locator: strings.TrimSpace(fields[1]),
		Note: strings.TrimSpace(fields[3])}
	if len(fields) > 4 {
		var err error
		p.CallSign = strings.TrimSpace(fields[4])
		if p.Equipment, err = ParseEquipment(fields[5], fields[6], fields[7]); err != nil {
			return p, err
		}
	}
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

// Write returns a list as Read reads it, with the longer header only where it is needed.
func Write(partners []Partner) []byte {
	long := slices.ContainsFunc(partners, func(p Partner) bool {
		return p.CallSign != "" ||
			p.Equipment != Equipment{}
	})
	var text bytes.Buffer
	text.WriteString(header + "\n")
	if long {
		text.Reset()
		text.WriteString(longHeader + "\n")
	}
	w := csv.NewWriter(&text)
	for _, p := range partners {
		// A line a row: a line end inside a word would break the list.
		line := []string{p.Name, p.Locator, p.Polarisation.String(), oneLine(p.Note)}
		if long {
			line = append(line, oneLine(p.CallSign), known(p.PowerW), known(p.DishM), known(p.SystemK))
		}
		w.Write(line) // a buffer takes all
	}
	w.Flush()
	return text.Bytes()
}

func oneLine(words string) string { return strings.Join(strings.Fields(words), " ") }

// known is a figure as it was entered; nothing for one that isn't known.
func known(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
