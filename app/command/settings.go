package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"beamhelm/app/camera"
	"beamhelm/app/desk/station"
	"beamhelm/app/noisemeter"
	"beamhelm/app/publish"
	"beamhelm/app/regular"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/ephem"
)

const settingsUsage = `usage: beamhelm settings check FILE
       beamhelm settings show [-settings FILE]

check says what is wrong with a settings file, a line each: FILE:LINE: key: what is wrong, what is allowed.
show writes the settings in force as a commented file; without one those of practice, as a beginning for your own.
`

// Settings is `beamhelm settings`: checking a settings file and showing the
// settings in force.
func Settings(args []string, stdout, stderr io.Writer) int {
	return settingsFrom(settings.UsualPath(), args, stdout, stderr)
}

// settingsFrom is Settings with the file that is read when none is named.
func settingsFrom(usual string, args []string, stdout, stderr io.Writer) int {
	err := settingsDo(usual, args, stdout)
	if _, faulty := errors.AsType[*settings.Error](err); faulty {
		// Faults in a file speak for themselves, a line each.
		fmt.Fprintln(stderr, err)
		err = errTold
	}
	return ending("settings", err, stdout, stderr, settingsUsage)
}

func settingsDo(usual string, args []string, stdout io.Writer) error {
	f := flag.NewFlagSet("settings", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	word := ""
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		word, args = args[0], args[1:]
	}
	load, path := settings.LoadUsual, usual
	if word == "show" {
		f.Func("settings", "", func(file string) error {
			load, path = settings.LoadNamed, file
			return nil
		})
	}
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return err
	case err != nil:
		return usageError{err}
	case word == "check" && f.NArg() == 1:
		return settingsCheck(f.Arg(0), stdout)
	case word == "check":
		return usageError{errors.New("check takes one FILE")}
	case word == "show" && f.NArg() > 0:
		return usageError{fmt.Errorf("%q was not expected", f.Arg(0))}
	case word == "show":
		s, source, err := load(path)
		if err != nil {
			return err
		}
		return settingsShow(s, source, usual, stdout)
	case word == "":
		return usageError{errors.New("check or show?")}
	}
	return usageError{fmt.Errorf("%q is neither check nor show", word)}
}

func settingsCheck(file string, stdout io.Writer) error {
	s, source, err := settings.LoadNamed(file)
	if err != nil {
		return err
	}
	for _, renamed := range source.Renamed {
		if _, err := fmt.Fprintf(stdout, "%s:%d: %s\n", file, renamed.Line, renamed); err != nil {
			return err
		}
	}
	if err := startable(s); err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	_, err = fmt.Fprintf(stdout, "%s: nothing wrong: %s, bands: %d\n", file, s.Station.Name, len(s.Bands))
	return err
}

// startable finds what a start with these settings would: nothing of it is
// opened, but the files that they name must be there to be read.
func startable(s settings.Settings) error {
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		return err
	}
	_, err = station.NewConfig(s, sky, nil, false)
	_, noCamera := camera.FromSettings(s.Camera)
	_, noMeter := noisemeter.FromSettings(s, nil)
	all := []error{err, noCamera, noMeter, publish.FromSettings(s.Publish, "").Validate()}
	for key, path := range map[string]string{
		"camera.password_file": s.Camera.PasswordFile, "publish.password_file": s.Publish.PasswordFile,
		"publish.ca_file": s.Publish.CAFile,
	} {
		if path == "" {
			continue
		}
		if f, err := regular.Open(path); err != nil {
			all = append(all, fmt.Errorf("%s: %w", key, err))
		} else {
			f.Close()
		}
	}
	return errors.Join(all...)
}

func settingsShow(s settings.Settings, source settings.Source, usual string, stdout io.Writer) error {
	from := "# From " + source.Path + "\n"
	if source.Practice {
		from = fmt.Sprintf(
			"# PRACTICE: there is no %s, so the simulated dish is used.\n# These are its settings; they describe no "+
				"real place.\n", usual)
	}
	_, err := fmt.Fprintf(stdout, "%s%s", from, s.Text())
	return err
}
