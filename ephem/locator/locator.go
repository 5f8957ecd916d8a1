// Package locator reads and writes Maidenhead locators of 4, 6, 8 and 10
// characters. Origin is 90 degrees south, 180 degrees west, on WGS 84; each
// pair is longitude, then latitude: letters A to R for 20 by 10 degrees, digits
// for 2 by 1, letters a to x for 5 by 2.5 minutes, digits for 30 by 15 seconds
// and letters a to x for 1.25 by 0.625 seconds. Pairs one to three are those of
// IARU Region 1 (Lillehammer 1999); the fourth is common practice, the fifth
// goes on in the same way.
package locator

import (
	"fmt"
	"math"
	"strings"

	"github.com/soniakeys/unit"
)

// pairs are, for each pair of characters, in how many parts it divides, and the first of its characters.
var pairs = [...]struct {
	parts int
	first byte
}{{18, 'A'}, {10, '0'}, {24, 'a'}, {10, '0'}, {24, 'a'}}

// cells is the number of cells around the circle with so many pairs.
func cells(count int) int {
	n := 1
	for _, p := range pairs[:count] {
		n *= p.parts
	}
	return n
}

// Of returns the locator of a place, north and east positive, with 4, 6, 8 or
// 10 characters. The north pole belongs to the last row, 180 degrees east to
// the first column.
func Of(lat, lon unit.Angle, characters int) (string, error) {
	if characters < 4 || characters > 10 || characters%2 != 0 {
		return "", fmt.Errorf("a locator of %d characters: must be 4, 6, 8 or 10", characters)
	}
	if !(math.Abs(lat.Deg()) <= 90) || !(math.Abs(lon.Deg()) <= 180) {
		return "", fmt.Errorf("no locator for latitude %v, longitude %v: must be within 90 and 180 degrees", lat.Deg(),
			lon.Deg())
	}
	count := characters / 2
	n := cells(count)
	column := cell((lon.Deg()+180)/360, n) % n
	row := min(cell((lat.Deg()+90)/180, n), n-1)
	out := make([]byte, characters)
	for i := count - 1; i >= 0; i-- {
		p := pairs[i]
		out[2*i], out[2*i+1] = p.first+byte(column%p.parts), p.first+byte(row%p.parts)
		column, row = column/p.parts, row/p.parts
	}
	return string(out), nil
}

// cell is the cell in which a share of the whole lies. A place that is written
// exactly on an edge belongs above it, whatever its last bits are.
func cell(share float64, n int) int {
	x := share * float64(n)
	if near := math.Round(x); math.Abs(x-near) < 1e-6 {
		return int(near)
	}
	return int(math.Floor(x))
}

// Parse returns the middle of a locator's cell and half its height and width.
// Capitals don't matter; nothing but a locator is accepted.
func Parse(text string) (lat, lon, halfLat, halfLon unit.Angle, err error) {
	if len(text) < 4 || len(text) > 10 || len(text)%2 != 0 {
		return 0, 0, 0, 0, fmt.Errorf("locator %q: must have 4, 6, 8 or 10 characters", text)
	}
	count := len(text) / 2
	column, row := 0, 0
	for i, p := range pairs[:count] {
		for k, to := range [...]*int{&column, &row} {
			v, ok := digit(text[2*i+k], p.first, p.parts)
			if !ok {
				return 0, 0, 0, 0, fmt.Errorf("locator %q: character %d must be %c to %c", text, 2*i+k+1, p.first,
					p.first+byte(p.parts-1))
			}
			*to = *to*p.parts + v
		}
	}
	n := float64(cells(count))
	lat = unit.AngleFromDeg((float64(row)+0.5)/n*180 - 90)
	lon = unit.AngleFromDeg((float64(column)+0.5)/n*360 - 180)
	return lat, lon, unit.AngleFromDeg(90 / n), unit.AngleFromDeg(180 / n), nil
}

func digit(c, first byte, parts int) (value int, ok bool) {
	if first != '0' {
		c, first = strings.ToLower(string(c))[0], 'a'
	}
	value = int(c) - int(first)
	return value, value >= 0 && value < parts
}
