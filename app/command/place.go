// Package command holds the subcommands that need no window, one file each. A
// subcommand takes its arguments and streams and returns the exit status: 0, 1
// for a failure, 2 for wrong usage.
package command

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
)

const placeUsage = `usage: beamhelm place -target NAME|"RA,Dec" -lat D -lon D -height M -at RFC3339
           [-step DUR -count N] [-airless] [-csv|-json]
       beamhelm place -batch FILE|-

Says where a target stands in the sky of a place. NAME: Moon, Sun, Cas A, Cyg A, Tau A, Vir A, Sgr A*;
RA,Dec: J2000, decimal degrees. Latitude north, longitude east positive, height in m, WGS 84. Unless
-airless, elevation is as seen through air of 1010 hPa, 10 C, 50 %. Right ascension and declination are topocentric,
apparent, of date; distance (km) and range rate (m/s, positive receding) are geometric, of that instant, 0 for sources.
-batch reads CSV with the header lat_deg,lon_deg,height_m,target,utc and writes CSV in the same order, airless.
`

// placeColumns are the columns that place writes.
func placeColumns() []column {
	return []column{
		{"target", 0}, {"utc", 0}, {"az_deg", 6}, {"el_deg", 6}, {"distance_km", 6},
		{"range_rate_mps", 6}, {"ra_deg", 6}, {"dec_deg", 6}, {"note", 0},
	}
}

// Place is `beamhelm place`: azimuth, elevation and more of a target at one or
// more instants. packed is the ephemeris pack.
func Place(args []string, stdin io.Reader, stdout, stderr io.Writer, packed []byte) int {
	f := newSkyFlags("place")
	f.StringVar(&f.target, "target", "", "")
	f.StringVar(&f.batch, "batch", "", "")
	f.steps()
	return ending("place", place(f, args, stdin, stdout, stderr, packed), stdout, stderr, placeUsage)
}

func place(f *skyFlags, args []string, stdin io.Reader, stdout, stderr io.Writer, packed []byte) error {
	if err := f.parse(args, "target", "lat", "lon", "height", "at"); err != nil {
		return err
	}
	known, err := sources()
	if err != nil {
		return err
	}
	sky, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		return err
	}
	if f.given()["batch"] {
		for name := range f.given() {
			if name != "batch" && name != "csv" && name != "airless" {
				return usageError{fmt.Errorf("-%s doesn't go with -batch", name)}
			}
		}
		return placeBatch(sky, known, f.batch, stdin, stdout, stderr)
	}
	body, err := bodyOf(f.target, known)
	if err != nil {
		return usageError{err}
	}
	table := newFigures(stdout, f.form(), placeColumns())
	for i := range f.count {
		at := f.at.Add(time.Duration(i) * f.step)
		look := sky.Look(f.site(), body, at)
		if err := table.row(placeCells(strings.TrimSpace(f.target), stamp(at), look, f.air())...); err != nil {
			return fmt.Errorf("writing: %w", err)
		}
	}
	if err := table.end(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	tellOutside(sky, f.at, f.at.Add(time.Duration(f.count-1)*f.step), "place", stderr)
	return nil
}

func placeCells(target, utc string, look ephem.Look, air ephem.Air) []cell {
	return []cell{
		target, utc, circle(look.Az.Deg(), 6), air.Refracted(look.El).Deg(), look.DistanceKm,
		look.RangeRateMps, circle(look.RA.Deg(), 6), look.Dec.Deg(), note(look),
	}
}

// note is what a reader must know about a place before trusting it.
func note(look ephem.Look) string {
	var notes []string
	if look.Origin == ephem.FromSeries {
		notes = append(notes, look.Origin.String())
	}
	if look.Dubious {
		notes = append(notes, "leap seconds not known")
	}
	return strings.Join(notes, "; ")
}

// tellOutside says once that a span isn't covered by the ephemeris.
func tellOutside(sky *ephem.Sky, from, to time.Time, name string, stderr io.Writer) {
	first, last := sky.Span()
	if !first.IsZero() && (from.Before(first) || to.After(last)) {
		fmt.Fprintf(stderr, "beamhelm %s: the ephemeris covers %s to %s; outside it a truncated series serves, good to 0.005 degree and 12 km\n",
			name, first.Format(time.DateOnly), last.Format(time.DateOnly))
	}
}

const batchHeader = "lat_deg,lon_deg,height_m,target,utc"

// placeBatch reads rows from a file, or from stdin for "-", and writes a row for each.
func placeBatch(sky *ephem.Sky, known catalogue.Catalogue, name string, stdin io.Reader, stdout, stderr io.Writer) error {
	text, err := batchText(name, stdin)
	if err != nil {
		return fmt.Errorf("reading the batch: %w", err)
	}
	lines, err := plainLines(text, batchHeader)
	if err != nil {
		fmt.Fprintf(stderr, "%s:%v\n", name, err)
		return errTold
	}
	table := newFigures(stdout, asCSV, placeColumns())
	bad := 0
	for i, line := range lines[1:] {
		if line == "" {
			continue
		}
		cells, err := batchRow(sky, known, line)
		if err != nil {
			bad++
			fmt.Fprintf(stderr, "%s:%d: %v\n", name, i+2, err)
		}
		if err := table.row(cells...); err != nil {
			return fmt.Errorf("writing: %w", err)
		}
	}
	if err := table.end(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	if bad > 0 {
		return errTold
	}
	return nil
}

func batchText(name string, stdin io.Reader) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(stdin)
	}
	return os.ReadFile(name)
}

// batchRow computes a row. With an error, the cells hold what was read and no figures.
func batchRow(sky *ephem.Sky, known catalogue.Catalogue, line string) ([]cell, error) {
	empty := make([]cell, len(placeColumns()))
	fields, err := csv.NewReader(strings.NewReader(line)).Read()
	if err != nil {
		return empty, errors.New("a quotation mark is in the wrong place")
	}
	if len(fields) != 5 {
		return empty, fmt.Errorf("%d fields, 5 are wanted", len(fields))
	}
	target, utc := fields[3], fields[4]
	empty[0], empty[1] = target, utc
	site, err := siteOf(fields[:3])
	if err != nil {
		return empty, err
	}
	body, err := bodyOf(target, known)
	if err != nil {
		return empty, err
	}
	at, err := instant(utc)
	if err != nil {
		return empty, err
	}
	return placeCells(target, utc, sky.Look(site, body, at), ephem.Air{}), nil
}

// plainLines splits a CSV file of one line a row after looking at its form: no
// byte-order mark, one kind of line end (LF or CR LF), the header. An error begins
// with the number of the line and a colon.
func plainLines(text []byte, header string) ([]string, error) {
	switch {
	case len(bytes.TrimSpace(text)) == 0:
		return nil, fmt.Errorf("1: empty; the header %s is wanted", header)
	case bytes.HasPrefix(text, []byte("\xef\xbb\xbf")):
		return nil, errors.New("1: it begins with a byte-order mark: save it as plain UTF-8")
	case bytes.HasPrefix(text, []byte("\xff\xfe")) || bytes.HasPrefix(text, []byte("\xfe\xff")):
		return nil, errors.New("1: it is UTF-16: save it as plain UTF-8")
	}
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	windows := strings.HasSuffix(lines[0], "\r")
	for i, line := range lines {
		last := i == len(lines)-1 && !bytes.HasSuffix(text, []byte("\n"))
		if strings.HasSuffix(line, "\r") != windows && !last {
			return nil, fmt.Errorf("%d: lines end sometimes with LF, sometimes with CR LF: settle on one", i+1)
		}
		lines[i] = strings.TrimSuffix(line, "\r")
		if strings.Contains(lines[i], "\r") {
			return nil, fmt.Errorf("%d: a CR stands inside a line: end lines with LF or CR LF", i+1)
		}
	}
	switch {
	case lines[0] == header:
		return lines, nil
	case strings.ReplaceAll(lines[0], ";", ",") == header:
		return nil, errors.New("1: fields are separated by semicolons: use commas, and points in decimal numbers")
	}
	return nil, fmt.Errorf("1: the header is %q, not %s", lines[0], header)
}
