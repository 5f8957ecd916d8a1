package command

import (
	"fmt"
	"io"
	"time"

	"beamhelm/ephem"
	"beamhelm/ephem/passes"

	"github.com/soniakeys/unit"
)

const passesUsage = `usage: beamhelm passes -target NAME|"RA,Dec" -lat D -lon D -height M -from RFC3339 -to RFC3339
           [-min DEG] [-partner LAT,LON,HEIGHT]... [-airless] [-csv|-json]

Lists when a target is up between two instants: above elevation -min (default 0), the centre of the disc, unless -airless as seen
through air of 1010 hPa, 10 C, 50 %. With -partner (up to 8): when all have it; azimuths and highest are of the first place. A
pass that the span cuts has no time at the cut, and the azimuth there is that at the end of the span.
`

// Passes is `beamhelm passes`: rise, set and highest of a target.
func Passes(args []string, _ io.Reader, stdout, stderr io.Writer, packed []byte) int {
	f := newSkyFlags("passes")
	f.StringVar(&f.target, "target", "", "")
	f.instant(&f.from, "from")
	f.instant(&f.to, "to")
	f.number(&f.minimum, "min")
	f.withPartners(8)
	return ending("passes", listPasses(f, args, stdout, stderr, packed), stdout, stderr, passesUsage)
}

func listPasses(f *skyFlags, args []string, stdout, stderr io.Writer, packed []byte) error {
	if err := f.parse(args, "target", "lat", "lon", "height", "from", "to"); err != nil {
		return err
	}
	known, err := sources()
	if err != nil {
		return err
	}
	body, err := bodyOf(f.target, known)
	if err != nil {
		return usageError{err}
	}
	sky, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		return err
	}
	stationAt := func(site ephem.Site) passes.Station {
		return passes.Station{Site: site, Air: f.air(), Min: unit.AngleFromDeg(f.minimum)}
	}
	var partners []passes.Station
	for _, site := range f.partners {
		partners = append(partners, stationAt(site))
	}
	table := newFigures(stdout, f.form(), []column{
		{"rise_utc", 0}, {"set_utc", 0}, {"highest_utc", 0}, {"highest_el_deg", 6}, {"rise_az_deg", 6},
		{"set_az_deg", 6},
	})
	for _, p := range passes.Shared(sky, body, stationAt(f.site()), partners, f.from, f.to) {
		err := table.row(edge(p.Rise, p.CutRise), edge(p.Set, p.CutSet), tenths(p.Highest), p.HighestEl.Deg(),
			circle(p.RiseAz.Deg(), 6), circle(p.SetAz.Deg(), 6))
		if err != nil {
			return fmt.Errorf("writing: %w", err)
		}
	}
	if err := table.end(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	tellOutside(sky, f.from, f.to, "passes", stderr)
	return nil
}

// edge is the time at which a pass begins or ends, nothing where the span cut it.
func edge(at time.Time, cut bool) cell {
	if cut {
		return nil
	}
	return tenths(at)
}

// tenths writes an instant to a tenth of a second.
func tenths(at time.Time) string {
	return at.UTC().Round(100 * time.Millisecond).Format("2006-01-02T15:04:05.0Z07:00")
}
