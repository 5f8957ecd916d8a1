// Package noise says what a receiver should hear from the sky: the Galaxy behind
// the Moon, the Moon, the Sun, radio sources, air and ground, and what follows for system
// noise, G/T and the Y factor.
package noise

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"strconv"

	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

const (
	// BackgroundK is the cosmic background (Fixsen 2009, from memory: 2.72548 K).
	BackgroundK = 2.725
	// tableHz is the frequency of the table of the sky.
	tableHz = 408e6

	skyRows, skyColumns = 72, 6
	skyStepLongitude    = 5.0
	skyStepLatitude     = 3.0
	skySouth            = -9.0
)

// Sky is the sky's brightness along the ecliptic at 408 MHz, to 9 degrees on both sides.
type Sky struct {
	k [skyRows][skyColumns]float64
}

// ParseSky reads the table: CSV with lines of remarks that begin with #, a header, and 72 rows
// of longitude (ecliptic, J2000, the lower edge of a cell of 5 degrees) and six
// temperatures for cells of 3 degrees of latitude from -9 to 9. Source of the
// program's table: cell means of the survey of Haslam, Salter, Stoffel and Wilson 1982
// (A&AS 47, 1); zero level good to 3 K, scale to 5-10 %.
func ParseSky(text []byte) (*Sky, error) {
	reader := csv.NewReader(bytes.NewReader(text))
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("reading the sky at 408 MHz: %w", err)
	}
	if len(rows) != skyRows+1 || len(rows[0]) != skyColumns+1 || rows[0][0] != "longitude_deg" {
		return nil, errors.New("reading the sky at 408 MHz: not a header and 72 rows of 7 columns")
	}
	sky := &Sky{}
	for i, row := range rows[1:] {
		if row[0] != strconv.Itoa(i*int(skyStepLongitude)) {
			return nil, fmt.Errorf("reading the sky at 408 MHz: row %d is for longitude %s", i+1, row[0])
		}
		for j, word := range row[1:] {
			k, err := strconv.ParseFloat(word, 64)
			if err != nil || !(k > BackgroundK && k < 1e5) {
				return nil, fmt.Errorf("reading the sky at 408 MHz: %q at longitude %s is not a temperature", word, row[0])
			}
			sky.k[i][j] = k
		}
	}
	return sky, nil
}

// At408 is the temperature at a place of the ecliptic (J2000) at 408 MHz, straight
// lines between the middles of the cells. Beyond 7.5 degrees of latitude it stays what it is there.
func (s *Sky) At408(longitude, latitude unit.Angle) float64 {
	along := longitude.Deg()/skyStepLongitude - 0.5
	across := (latitude.Deg()-skySouth)/skyStepLatitude - 0.5
	across = max(0, min(across, skyColumns-1))
	row, column := math.Floor(along), min(math.Floor(across), skyColumns-2)
	partRow, partColumn := along-row, across-column
	j := int(column)
	strip := func(row float64) float64 {
		cells := &s.k[((int(row)%skyRows)+skyRows)%skyRows]
		return cells[j]*(1-partColumn) + cells[j+1]*partColumn
	}
	return strip(row)*(1-partRow) + strip(row+1)*partRow
}

// Through is At408 as a beam of some half-power width sees it: the mean under a
// Gaussian beam, over what the table holds.
func (s *Sky) Through(longitude, latitude, halfPower unit.Angle) float64 {
	if halfPower.Deg() <= 0.5 {
		return s.At408(longitude, latitude)
	}
	centre := space.Direction(longitude, latitude)
	var sum, weights float64
	const step = 0.5
	reach := 1.25 * halfPower.Deg()
	for b := max(skySouth+step/2, latitude.Deg()-reach); b < -skySouth; b += step {
		wide := reach / math.Cos(b*math.Pi/180)
		for l := longitude.Deg() - wide; l <= longitude.Deg()+wide; l += step {
			at := [2]unit.Angle{unit.AngleFromDeg(l), unit.AngleFromDeg(b)}
			off := space.Angle(centre, space.Direction(at[0], at[1])).Rad() / halfPower.Rad()
			if off > 1.25 {
				continue
			}
			weight := math.Exp(-4*math.Ln2*off*off) * math.Cos(b*math.Pi/180)
			sum += weight * s.At408(at[0], at[1])
			weights += weight
		}
	}
	if weights == 0 {
		return s.At408(longitude, latitude)
	}
	return sum / weights
}

// Scaled carries a temperature at 408 MHz to another frequency: the part above the
// background falls with frequency to the power 2.6 below 1 GHz and 2.75 from there up
// (2.76 within 0.11 at 0.4 to 7.5 GHz: Platania et al. 1998). In the plane of the Galaxy it is
// too little above 2 GHz.
func Scaled(at408K, hz float64) float64 {
	power := 2.75
	if hz < 1e9 {
		power = 2.6
	}
	return (at408K-BackgroundK)*math.Pow(hz/tableHz, -power) + BackgroundK
}

// Ecliptic returns longitude and latitude (ecliptic and equinox of J2000) of an ICRF
// direction, the frame bias of 0.02″ left out.
func Ecliptic(v space.Vector) (longitude, latitude unit.Angle) {
	const obliquity = 84381.406 / 3600 * math.Pi / 180 // IAU 2006
	s, c := math.Sincos(obliquity)
	return space.Vector{X: v.X, Y: v.Y*c + v.Z*s, Z: v.Z*c - v.Y*s}.Spherical()
}
