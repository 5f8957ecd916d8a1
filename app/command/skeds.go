package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/receiver"
	"beamhelm/app/desk/station"
	"beamhelm/app/diary"
	"beamhelm/app/mode"
	"beamhelm/app/practice"
	"beamhelm/app/regular"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/rows"
)

const skedsUsage = `usage: beamhelm skeds -with NAME [-with NAME]... [-settings FILE | -practice] [-partners FILE] [-band NAME]
           [-mode WORDS] [-from RFC3339] [-days N] [-shortest MINUTES] [-csv|-json|-ics]

Ranks the times of the coming days (28 without -days, up to 366) at which the station and all of the named partners have the Moon,
above tracking.min_elevation_deg at each, at least MINUTES long (30) and with the Sun 5 degrees or sun.keep_away_deg away. The
partners are those of the panel's list, or of a list in a file: CSV, name,locator,polarisation,note. Band: the first of
the settings, unless named; mode: that of the panel.
Each window has its best time, to the minute, and for it losses in dB that add up; the figure of merit is their sum below 0:
  distance       path loss beyond that at the mean perigee, 363300 km
  noise          rise of the system noise over that under a cold sky at 40 degrees, the Moon's own left out; at the worse end; a
                 partner without a known dish hears with the station's antenna, over level ground
  air            at both ends, beyond that at the zenith
  polarisation   of the feeds as they are, in the worse direction; below 3 GHz with Faraday rotation as expected by local time
  spread         5 log10 of the spread, limb to limb, and the Doppler drift of a period (a minute at most), over what the
                 mode tolerates
Degradation is distance and noise. With several partners a window is worth what it is with the one that loses most. -csv and
-json have all columns, a line for each partner of a window; -ics is a calendar.
`

// Skeds is `beamhelm skeds`: the best times shared with partners.
func Skeds(args []string, stdout, stderr io.Writer) int {
	err := skedsDo(args, stdout, time.Now())
	if _, faulty := errors.AsType[*settings.Error](err); faulty {
		fmt.Fprintln(stderr, err)
		err = errTold
	}
	return ending("skeds", err, stdout, stderr, skedsUsage)
}

// skedsFlags are its flags.
type skedsFlags struct {
	*flag.FlagSet
	settings, partners, band, mode string
	with                           []string
	practice, csv, json, ics       bool
	from                           time.Time
	days, shortest                 int
}

func skedsAsked(args []string, now time.Time) (*skedsFlags, error) {
	f := &skedsFlags{FlagSet: flag.NewFlagSet("skeds", flag.ContinueOnError), from: now.UTC()}
	f.SetOutput(io.Discard)
	f.StringVar(&f.settings, "settings", "", "")
	f.StringVar(&f.partners, "partners", "", "")
	f.StringVar(&f.band, "band", "", "")
	f.StringVar(&f.mode, "mode", "", "")
	f.BoolVar(&f.practice, "practice", false, "")
	f.BoolVar(&f.csv, "csv", false, "")
	f.BoolVar(&f.json, "json", false, "")
	f.BoolVar(&f.ics, "ics", false, "")
	f.IntVar(&f.days, "days", radio.SkedDays, "")
	f.IntVar(&f.shortest, "shortest", 30, "")
	f.Func("with", "", func(name string) error {
		f.with = append(f.with, name)
		return nil
	})
	f.Func("from", "", func(text string) (err error) {
		f.from, err = rows.Instant(text)
		return err
	})
	forms := 0
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return nil, err
	case err != nil:
		return nil, usageError{err}
	}
	for _, is := range []bool{f.csv, f.json, f.ics} {
		if is {
			forms++
		}
	}
	switch {
	case f.NArg() > 0:
		return nil, usageError{fmt.Errorf("%q was not expected", f.Arg(0))}
	case f.settings != "" && f.practice:
		return nil, usageError{errors.New("-settings or -practice, not both")}
	case forms > 1:
		return nil, usageError{errors.New("-csv, -json and -ics exclude each other")}
	case f.days < 1 || f.days > radio.MaxSkedDays:
		return nil, usageError{fmt.Errorf("-days %d: must be 1 to %d", f.days, radio.MaxSkedDays)}
	case f.shortest < 0 || f.shortest > 24*60:
		return nil, usageError{fmt.Errorf("-shortest %d: must be 0 to 1440", f.shortest)}
	}
	return f, nil
}

func skedsDo(args []string, stdout io.Writer, now time.Time) error {
	f, err := skedsAsked(args, now)
	if err != nil {
		return err
	}
	c, source, err := f.config()
	if err != nil {
		return err
	}
	state, in, err := f.state(&c, source)
	if err != nil {
		return err
	}
	found := radio.AllSkeds(&c, state, in, f.days, time.Duration(f.shortest)*time.Minute)
	if f.ics {
		place := desk.Station{Name: c.Settings.Station.Name, Lat: c.Site().Lat, Lon: c.Site().Lon}
		_, err := stdout.Write(diary.SkedCalendar(found, place, now))
		return err
	}
	return f.write(stdout, found)
}

// config is the station of the settings.
func (f *skedsFlags) config() (c station.Config, source settings.Source, err error) {
	s := settings.Practice()
	source.Practice = f.practice
	switch {
	case f.settings != "":
		s, source, err = settings.LoadNamed(f.settings)
	case !f.practice:
		s, source, err = settings.LoadUsual(settings.UsualPath())
	}
	if err != nil {
		return c, source, err
	}
	sky, err := ephem.New(assets.Ephemeris(), station.SkyConfig(s.Clock))
	if err != nil {
		return c, source, err
	}
	if c, err = station.NewConfig(s, sky, nil, source.Practice); err != nil {
		return c, source, err
	}
	c.Galaxy, err = noise.ParseSky(assets.Sky408())
	return c, source, err
}

// state is the radio side with the partners, band and mode that are asked for.
func (f *skedsFlags) state(c *station.Config, source settings.Source) (*radio.State, *radio.Inputs, error) {
	memory, err := f.remembered(source)
	if err != nil {
		return nil, nil, err
	}
	state := radio.New(c, memory)
	if f.mode != "" {
		known := []string{}
		chosen := slices.IndexFunc(mode.All(), func(m mode.Mode) bool {
			known = append(known, m.Words)
			return strings.EqualFold(m.Words, f.mode)
		})
		if chosen < 0 {
			return nil, nil, usageError{fmt.Errorf("mode %q is not one of: %s", f.mode, strings.Join(known, "; "))}
		}
		state.SetMode(chosen)
	}
	var names []string
	for _, p := range state.Partners {
		names = append(names, p.Name)
	}
	for _, name := range f.with {
		i := slices.IndexFunc(names, func(known string) bool { return strings.EqualFold(known, name) })
		if i < 0 {
			return nil, nil, usageError{fmt.Errorf("no partner %q in the list: %s", name, strings.Join(names, ", "))}
		}
		state.SetOtherPartner(names[i], true)
	}
	if len(f.with) == 0 {
		return nil, nil, usageError{fmt.Errorf("-with is missing; the list has: %s", strings.Join(names, ", "))}
	}
	in := &radio.Inputs{At: f.from}
	if f.band != "" {
		in.Band = slices.IndexFunc(c.Settings.Bands,
			func(b settings.Band) bool { return strings.EqualFold(b.Name, f.band) })
	}
	if in.Band < 0 {
		return nil, nil, usageError{fmt.Errorf("no band %q in the settings", f.band)}
	}
	if sun, err := receiver.ExpectedSun(c.Settings.Bands[in.Band].MHz*1e6, in.At); err == nil {
		in.SunFlux = sun.Flux
	}
	return &state, in, nil
}

// remembered is what the panel keeps of the radio side, with nobody chosen and the list of the file, if one is named.
func (f *skedsFlags) remembered(source settings.Source) (radio.Kept, error) {
	store, err := kept.UsualStore(source)
	if err != nil {
		return radio.Kept{}, err
	}
	memory, err := kept.Look(store, kept.Radio, desk.KeptRadio{})
	if err != nil && f.partners == "" {
		return radio.Kept{}, err
	}
	k := memory.Kept
	k.Partner, k.OtherPartners = "", nil
	switch {
	case f.partners != "":
		text, err := regular.Read(f.partners, maxBatchBytes)
		if err != nil {
			return k, fmt.Errorf("reading the partners: %w", err)
		}
		k.Partners = string(text)
	case k.Partners == "" && source.Practice:
		k.Partners = practice.Partners()
	}
	return k, nil
}

// shortColumns are those of the text: what fits a screen.
func shortColumns() []string {
	return []string{"rank", "best_utc", "from_utc", "to_utc", "merit_db", "partner", "el_deg", "partner_el_deg",
		"degradation_db", "polarisation_db", "spread_hz", "sun_deg", "doppler_rate_hz_per_s"}
}

// write writes the table.
func (f *skedsFlags) write(stdout io.Writer, found *desk.Skeds) error {
	form := asText
	switch {
	case f.csv:
		form = asCSV
	case f.json:
		form = asJSON
	}
	var columns []column
	var places []int
	for i, c := range diary.SkedColumns() {
		if form != asText || slices.Contains(shortColumns(), c.Name) {
			columns, places = append(columns, column{c.Name, c.Decimals}), append(places, i)
		}
	}
	table := newFigures(stdout, form, columns)
	for _, row := range diary.SkedRows(found) {
		cells := make([]cell, len(places))
		for i, place := range places {
			cells[i] = row[place]
		}
		if err := table.row(cells...); err != nil {
			return fmt.Errorf("writing: %w", err)
		}
	}
	if err := table.end(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}
