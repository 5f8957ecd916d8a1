// Package noise says what a receiver should hear from the sky: the Galaxy, the
// Moon, the Sun, radio sources, air and ground, and what follows for system
// noise, G/T and the Y factor.
package noise

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"math"

	"beamhelm/ephem/space"

	"github.com/soniakeys/unit"
)

const (
	// BackgroundK is the cosmic background (Fixsen 2009, from memory: 2.72548 K).
	BackgroundK = 2.725
	// tableHz is the frequency of the table of the sky.
	tableHz = 408e6
	// skyIndex is by which power of the frequency the sky above the background falls: 2.695 on the mean of the
	// whole sky, with a spread of 0.12, from 408 to 2326 MHz (Platania et al. 2003). In the plane of the
	// Galaxy it is too much above 2 GHz, where a few kelvin at most are lost.
	skyIndex = 2.70

	skyRows, skyColumns = 361, 720
	skyStep             = 0.5 // degrees
	// TableBeam is the half-power width with which the table is as smooth as it is: what
	// a narrower beam sees isn't known better.
	TableBeam = 0.97 * degree
)

// Sky is the sky's brightness at 408 MHz, all of it, with the background, without the Sun, the Moon
// and the four strong sources of StrongSources.
type Sky struct {
	steps [skyRows * skyColumns]uint8
	k     [256]float64 // the temperature of a step
}

// ParseSky reads the table: gzip, within it 361 rows from the south pole (declination, ICRS) of 720 bytes
// (right ascension from 0), half a degree apart, each 50 times the natural logarithm of a temperature over 11 K. Source
// of the program's table: the survey of Haslam, Salter, Stoffel and Wilson 1982 (A&AS 47, 1) as
// Platania et al. 2003 (A&A 410, 847) cleared it of stripes, resampled; zero level good to 3 K, scale to 5-10 %.
func ParseSky(packed []byte) (*Sky, error) {
	reader, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("reading the sky at 408 MHz: %w", err)
	}
	sky := &Sky{}
	if _, err := io.ReadFull(reader, sky.steps[:]); err != nil {
		return nil, fmt.Errorf("reading the sky at 408 MHz: %w", err)
	}
	// The reader checks the sum of the file only at its end.
	if n, err := reader.Read(make([]byte, 1)); n != 0 || err != io.EOF {
		return nil, errors.New("reading the sky at 408 MHz: it is damaged, or not 361 rows of 720")
	}
	for i := range sky.k {
		sky.k[i] = 11 * math.Exp(float64(i)/50)
	}
	return sky, nil
}

// At408 is the temperature at 408 MHz in an ICRF direction, straight lines between the nodes of the table.
func (s *Sky) At408(towards space.Vector) float64 {
	ra, dec := towards.Spherical()
	along, up := ra.Deg()/skyStep, (dec.Deg()+90)/skyStep
	row := min(int(up), skyRows-2)
	column := int(along)
	partColumn, partRow := along-float64(column), up-float64(row)
	column %= skyColumns
	next := (column + 1) % skyColumns
	strip := func(row int) float64 {
		cells := s.steps[row*skyColumns : (row+1)*skyColumns]
		return s.k[cells[column]]*(1-partColumn) + s.k[cells[next]]*partColumn
	}
	return strip(row)*(1-partRow) + strip(row+1)*partRow
}

// Through is At408 as a beam of some half-power width sees it: the mean under a Gaussian
// beam. A beam narrower than TableBeam sees the table itself.
func (s *Sky) Through(towards space.Vector, halfPower unit.Angle, fineness Fineness) float64 {
	g := fineness.grid()
	return s.through(towards, halfPower, g.skyRings, g.skyRing)
}

// skyRing is the widest distance between two rings of Through, half a node of the table or less.
const skyRing = 0.2 * degree

// through takes as many rings as are given, or more where they would be wider apart than widest.
func (s *Sky) through(towards space.Vector, halfPower unit.Angle, rings int, widest float64) float64 {
	b := halfPower.Rad()
	if b <= TableBeam {
		return s.At408(towards)
	}
	kernel := math.Sqrt(b*b - TableBeam*TableBeam) // what the table lacks of the beam
	h := 2 * kernel / max(float64(rings), math.Ceil(2*kernel/widest))
	u, v := across(towards)
	sum, weights := 0.0, 0.0
	for t := h / 2; t < 2*kernel; t += h {
		sin, cos := math.Sincos(t)
		n := max(6, int(math.Round(2*math.Pi*sin/h)))
		ring := 0.0
		for i := range n {
			sb, cb := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			ring += s.At408(towards.Times(cos).Plus(u.Times(sin * cb)).Plus(v.Times(sin * sb)))
		}
		weight := math.Exp(-4*math.Ln2*t*t/(kernel*kernel)) * sin
		sum += weight * ring / float64(n)
		weights += weight
	}
	return sum / weights
}

// across returns two unit vectors square to one and to each other.
func across(v space.Vector) (a, b space.Vector) {
	pole := space.Vector{Z: 1}
	if math.Abs(v.Z) > 0.9 {
		pole = space.Vector{X: 1}
	}
	a = pole.Cross(v).Unit()
	return a, v.Cross(a)
}

// Scaled carries a temperature at 408 MHz to another frequency.
func Scaled(at408K, hz float64) float64 { return skyAt(hz).scaled(at408K) }

// skyScale carries temperatures to one frequency.
type skyScale float64

func skyAt(hz float64) skyScale { return skyScale(math.Pow(hz/tableHz, -skyIndex)) }

func (s skyScale) scaled(at408K float64) float64 {
	return (at408K-BackgroundK)*float64(s) + BackgroundK
}

// Ecliptic returns longitude and latitude (ecliptic and equinox of J2000) of an ICRF
// direction, the frame bias of 0.02″ left out.
func Ecliptic(v space.Vector) (longitude, latitude unit.Angle) {
	const obliquity = 84381.406 / 3600 * math.Pi / 180 // IAU 2006
	s, c := math.Sincos(obliquity)
	return space.Vector{X: v.X, Y: v.Y*c + v.Z*s, Z: v.Z*c - v.Y*s}.Spherical()
}
