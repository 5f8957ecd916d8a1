package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
	"beamhelm/ephem/rows"

	"github.com/soniakeys/unit"
)

// usageError is a mistake in how a subcommand was called.
type usageError struct{ error }

// errTold ends a subcommand that failed and has said why.
var errTold = errors.New("told before")

// ending prints what went wrong, one line, and returns the exit status: 0 for
// nothing, 2 for wrong usage, 1 for a failure.
func ending(name string, err error, stdout, stderr io.Writer, usage string) int {
	var wrong usageError
	switch {
	case err == nil:
		return 0
	case errors.Is(err, errTold):
		return 1
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(stdout, usage)
		return 0
	case errors.As(err, &wrong):
		fmt.Fprintf(stderr, "beamhelm %s: %v (beamhelm %s -h tells how)\n", name, err, name)
		return 2
	}
	fmt.Fprintf(stderr, "beamhelm %s: %v\n", name, err)
	return 1
}

// skyFlags are the flags that the subcommands about the sky share.
type skyFlags struct {
	*flag.FlagSet
	target       string
	lat, lon     float64
	height       float64
	at, from, to time.Time
	step         time.Duration
	count        int
	airless      bool
	csv, json    bool
	minimum, mhz float64
	partners     []ephem.Site
	batch        string
}

// newSkyFlags has the flags of every such subcommand: where, airless, and the form.
func newSkyFlags(name string) *skyFlags {
	f := &skyFlags{FlagSet: flag.NewFlagSet(name, flag.ContinueOnError)}
	f.SetOutput(io.Discard)
	f.number(&f.lat, "lat")
	f.number(&f.lon, "lon")
	f.number(&f.height, "height")
	f.BoolVar(&f.airless, "airless", false, "")
	f.BoolVar(&f.csv, "csv", false, "")
	f.BoolVar(&f.json, "json", false, "")
	return f
}

func (f *skyFlags) number(to *float64, name string) {
	f.Func(name, "", func(text string) (err error) {
		*to, err = rows.Number(text)
		return err
	})
}

func (f *skyFlags) instant(to *time.Time, name string) {
	f.Func(name, "", func(text string) (err error) {
		*to, err = rows.Instant(text)
		return err
	})
}

// steps adds -at, -step and -count.
func (f *skyFlags) steps() {
	f.instant(&f.at, "at")
	f.DurationVar(&f.step, "step", 0, "")
	f.IntVar(&f.count, "count", 1, "")
}

// withPartners adds -partner, which may be given up to a number of times.
func (f *skyFlags) withPartners(maximum int) {
	f.Func("partner", "", func(text string) error {
		if len(f.partners) == maximum {
			return fmt.Errorf("more than %d", maximum)
		}
		partner, err := siteOf(strings.Split(text, ","))
		f.partners = append(f.partners, partner)
		return err
	})
}

// parse reads the arguments and insists on some flags.
func (f *skyFlags) parse(args []string, wanted ...string) error {
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return usageError{err}
	}
	if f.NArg() > 0 {
		return usageError{fmt.Errorf("%q was not expected", f.Arg(0))}
	}
	if f.csv && f.json {
		return usageError{errors.New("-csv and -json exclude each other")}
	}
	if f.batch != "" {
		return nil
	}
	given := f.given()
	for _, name := range wanted {
		if !given[name] {
			return usageError{fmt.Errorf("-%s is missing", name)}
		}
	}
	return f.check(given)
}

// check says which values exclude each other or are out of range.
func (f *skyFlags) check(given map[string]bool) error {
	site := f.site()
	switch {
	case given["lat"] && site.Validate() != nil:
		return usageError{site.Validate()}
	case given["step"] && f.step <= 0:
		return usageError{fmt.Errorf("-step %v is not above 0", f.step)}
	case given["count"] && !(f.count >= 1 && f.count <= 10_000_000):
		return usageError{fmt.Errorf("-count %d is not within 1 to 10000000", f.count)}
	case f.count > 1 && !given["step"]:
		return usageError{errors.New("-count needs -step")}
	case slices.Contains(f.partners, site):
		return usageError{errors.New("the partner's place is the station's own")}
	case given["from"] && given["to"] && !f.from.Before(f.to):
		return usageError{errors.New("-from is not before -to")}
	case given["min"] && !(math.Abs(f.minimum) <= 90):
		return usageError{fmt.Errorf("-min %v is not within -90 to 90 degrees", f.minimum)}
	case given["mhz"] && !(f.mhz >= 1 && f.mhz <= 1e6):
		return usageError{fmt.Errorf("-mhz %v is not within 1 to 1000000", f.mhz)}
	}
	if f.count > 1 && f.step > 0 {
		if years := f.step.Hours() / 24 / 365.25 * float64(f.count-1); float64(f.at.Year())+years > rows.LastYear {
			return usageError{fmt.Errorf("-step %v and -count %d go beyond the year %d", f.step, f.count,
				rows.LastYear)}
		}
	}
	return nil
}

func (f *skyFlags) given() map[string]bool {
	given := map[string]bool{}
	f.Visit(func(one *flag.Flag) { given[one.Name] = true })
	return given
}

func (f *skyFlags) site() ephem.Site {
	return ephem.Site{Lat: unit.AngleFromDeg(f.lat), Lon: unit.AngleFromDeg(f.lon), HeightM: f.height}
}

func (f *skyFlags) air() ephem.Air {
	if f.airless {
		return ephem.Air{}
	}
	return ephem.DefaultAir()
}

func (f *skyFlags) form() form {
	switch {
	case f.csv:
		return asCSV
	case f.json:
		return asJSON
	}
	return asText
}

// siteOf reads latitude, longitude (degrees) and height (m).
func siteOf(words []string) (ephem.Site, error) {
	if len(words) != 3 {
		return ephem.Site{}, fmt.Errorf("%q is not latitude,longitude,height", strings.Join(words, ","))
	}
	var numbers [3]float64
	for i, word := range words {
		x, err := rows.Number(strings.TrimSpace(word))
		if err != nil {
			return ephem.Site{}, fmt.Errorf("%s: %w", []string{"latitude", "longitude", "height"}[i], err)
		}
		numbers[i] = x
	}
	site := ephem.Site{Lat: unit.AngleFromDeg(numbers[0]), Lon: unit.AngleFromDeg(numbers[1]), HeightM: numbers[2]}
	return site, site.Validate()
}

// sources returns the catalogue of radio sources.
func sources() (catalogue.Catalogue, error) {
	return catalogue.Parse(assets.Sources())
}

// bodyOf reads a target: Moon, Sun, a source of the catalogue, or "RA,Dec" in
// J2000 degrees.
func bodyOf(text string, known catalogue.Catalogue) (ephem.Body, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "moon":
		return ephem.MoonBody(), nil
	case "sun":
		return ephem.SunBody(), nil
	}
	if source, found := known.Find(text); found {
		return source.Body(), nil
	}
	first, second, pair := strings.Cut(text, ",")
	if !pair {
		return ephem.Body{}, fmt.Errorf("target %q is not Moon, Sun, %s, or RA,Dec in degrees", text,
			strings.Join(known.Names(), ", "))
	}
	ra, raErr := rows.Number(strings.TrimSpace(first))
	dec, decErr := rows.Number(strings.TrimSpace(second))
	switch {
	case raErr != nil || !(ra >= 0 && ra <= 360):
		return ephem.Body{}, fmt.Errorf("target %q: the right ascension is not within 0 to 360 degrees", text)
	case decErr != nil || !(dec >= -90 && dec <= 90):
		return ephem.Body{}, fmt.Errorf("target %q: the declination is not within -90 to 90 degrees", text)
	}
	return ephem.Star(text, unit.AngleFromDeg(ra), unit.AngleFromDeg(dec)), nil
}

// stamp writes an instant as RFC 3339 in UTC.
func stamp(at time.Time) string { return at.UTC().Format(time.RFC3339Nano) }
