// Package command holds the subcommands that need no window, one file each. A
// subcommand takes its arguments and streams and returns the exit status: 0, 1
// for a failure, 2 for wrong usage.
package command

import (
	"fmt"
	"io"
	"strings"
	"time"

	"beamhelm/app/regular"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
	"beamhelm/ephem/rows"
)

const placeUsage = `usage: beamhelm place -target NAME|"RA,Dec" -lat D -lon D -height M -at RFC3339
           [-step DUR -count N] [-airless] [-csv|-json]
       beamhelm place -batch FILE|-

Says where a target stands in the sky of a place. NAME: Moon, Sun, Cas A, Cyg A, Tau A, Vir A, Sgr A*;
RA,Dec: J2000, decimal degrees. Latitude north, longitude east positive, height in m, WGS 84. Unless
-airless, elevation is as seen through air of 1010 hPa, 10 C, 50 %. Right ascension and declination are topocentric,
apparent, of date; distance (km) and range rate (m/s, positive receding) are geometric, of that instant, 0 for sources. The columns _within_ are standard uncertainties, whatever the decimals: UT1 may be 0.2 s from UTC, and the place
is taken as good to 0.1 km; air near the horizon adds to that of the elevation.
-batch reads CSV with the header lat_deg,lon_deg,height_m,target,utc and writes CSV in the same order, airless.
`

// placeColumns are the columns that place writes.
func placeColumns() []column {
	return []column{
		{"target", 0}, {"utc", 0}, {"az_deg", 6}, {"el_deg", 6}, {"distance_km", 6},
		{"range_rate_mps", 6}, {"ra_deg", 6}, {"dec_deg", 6}, {"note", 0}, {"place_within_deg", 6},
		{"distance_within_km", 6},
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
	within := look.Within()
	var distance cell
	if look.DistanceKm > 0 {
		distance = within.DistanceKm
	}
	return []cell{
		target, utc, circle(look.Az.Deg(), 6), air.Refracted(look.El).Deg(), look.DistanceKm,
		look.RangeRateMps, circle(look.RA.Deg(), 6), look.Dec.Deg(), note(look), within.Angle.Deg(), distance,
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
		fmt.Fprintf(stderr, "beamhelm %s: the ephemeris covers %s to %s; outside it a truncated series serves, good "+
			"to 0.005 degree and 12 km\n",
			name, first.Format(time.DateOnly), last.Format(time.DateOnly))
	}
}

const batchHeader = "lat_deg,lon_deg,height_m,target,utc"

// placeBatch reads rows from a file, or from stdin for "-", and writes a row for each.
func placeBatch(sky *ephem.Sky, known catalogue.Catalogue, name string, stdin io.Reader, stdout,
	stderr io.Writer) error {
	text, err := batchText(name, stdin)
	if err != nil {
		return fmt.Errorf("reading the batch: %w", err)
	}
	_, list, err := rows.Read(text, batchHeader)
	if err != nil {
		fmt.Fprintf(stderr, "%s:%v\n", name, err)
		return errTold
	}
	table := newFigures(stdout, asCSV, placeColumns())
	bad := 0
	for _, row := range list {
		cells, err := batchRow(sky, known, row)
		if err != nil {
			bad++
			fmt.Fprintf(stderr, "%s:%d: %v\n", name, row.Line, err)
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

// maxBatchBytes is the most of a batch that is read: about 200,000 rows.
const maxBatchBytes = 16 << 20

func batchText(name string, stdin io.Reader) ([]byte, error) {
	if name == "-" {
		return regular.All(stdin, maxBatchBytes)
	}
	return regular.Read(name, maxBatchBytes)
}

// batchRow computes a row. With an error, the cells hold what was read and no figures.
func batchRow(sky *ephem.Sky, known catalogue.Catalogue, row rows.Row) ([]cell, error) {
	empty := make([]cell, len(placeColumns()))
	if row.Err != nil {
		return empty, row.Err
	}
	target, utc := row.Fields[3], row.Fields[4]
	empty[0], empty[1] = target, utc
	site, err := siteOf(row.Fields[:3])
	if err != nil {
		return empty, err
	}
	body, err := bodyOf(target, known)
	if err != nil {
		return empty, err
	}
	at, err := rows.Instant(utc)
	if err != nil {
		return empty, err
	}
	return placeCells(target, utc, sky.Look(site, body, at), ephem.Air{}), nil
}
