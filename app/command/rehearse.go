package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"beamhelm/app/regular"
	"beamhelm/app/rehearse"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
)

const rehearseUsage = `usage: beamhelm rehearse [-settings FILE] FILE|NAME
       beamhelm rehearse -list

Plays a script of operator actions and faults through the real desk, drive loop
and line against the simulated enclosure, in virtual time. Prints what happens;
the status is 1 when an expectation in the script fails. NAME is one of those
that -list prints.

A script has one instruction per line; # begins a comment:
  title WORDS                     from RFC3339          seed NUMBER
  beam azimuth DEGREES elevation DEGREES                referenced no
  dish|closed|permit|enclosure ...                      end SECONDS
  at SECONDS do ACTION            at SECONDS say WORDS
  at SECONDS fault|clear NAME ...  (the simulated dish's faults, as the window lists them)
  at SECONDS computer ...         at SECONDS expect ...
ACTION: stop, release, hold, track [off], power on|off, park, wind-stow, snow-stow,
  working on|off, permit on|off, beam-on-target, trim back|zero, cold-sky, cancel, acknowledge,
  slew AZIMUTH ELEVATION (- leaves an axis alone), nudge CROSS ELEVATION, jog RIGHT UP,
  target moon|sun|source NAME|place AZIMUTH ELEVATION|radec RA DEC, band INDEX [FEED],
  reference azimuth|elevation DEGREES
A word that isn't known is told with what may stand in its place.
`

// Rehearse is `beamhelm rehearse`.
func Rehearse(args []string, stdout, stderr io.Writer) int {
	err := rehearsal(args, stdout)
	if _, faulty := errors.AsType[*settings.Error](err); faulty {
		fmt.Fprintln(stderr, err)
		err = errTold
	}
	return ending("rehearse", err, stdout, stderr, rehearseUsage)
}

func rehearsal(args []string, stdout io.Writer) error {
	f := flag.NewFlagSet("rehearse", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	list := f.Bool("list", false, "")
	file := f.String("settings", "", "")
	err := f.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return err
	case err != nil:
		return usageError{err}
	case *list && f.NArg() == 0:
		_, err := fmt.Fprintln(stdout, strings.Join(rehearsals(), "\n"))
		return err
	case *list || f.NArg() != 1:
		return usageError{errors.New("it takes one FILE or NAME, or -list alone")}
	}
	script, err := script(f.Arg(0))
	if err != nil {
		return err
	}
	return playScript(script, *file, stdout)
}

func playScript(script rehearse.Script, file string, stdout io.Writer) error {
	s := settings.Practice()
	var err error
	if file != "" {
		if s, _, err = settings.LoadNamed(file); err != nil {
			return err
		}
	}
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		return err
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		return err
	}
	ok, err := rehearse.Play(script, s, sky, sources, stdout)
	if err == nil && !ok {
		err = errTold // the transcript says what failed
	}
	return err
}

// rehearsals are the names of those that are built in.
func rehearsals() []string {
	entries, err := fs.ReadDir(assets.Rehearsals(), ".")
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), rehearsalEnding))
	}
	return names
}

const rehearsalEnding = ".rehearsal"

// script reads a built-in rehearsal by name, or else a file.
func script(name string) (rehearse.Script, error) {
	if f, err := assets.Rehearsals().Open(path.Clean(name) + rehearsalEnding); err == nil {
		defer f.Close()
		return rehearse.Read(name, f)
	}
	f, err := regular.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return rehearse.Script{}, fmt.Errorf("%s: no file and no built-in rehearsal of this name (-list prints them)",
			name)
	}
	if err != nil {
		return rehearse.Script{}, fmt.Errorf("read the script: %w", err)
	}
	defer f.Close()
	return rehearse.Read(name, f)
}
