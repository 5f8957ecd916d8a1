package main

import (
	"errors"
	"io"
	"net/url"
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"

	"beamhelm"
	"beamhelm/app/panel"
)

// refuse shows in a small window why the program doesn't start, where nobody
// reads what it prints: a start from a desktop would else show nothing at all.
// Where it is the settings file, the window offers ways on; what the program is
// run again with, if one of them is chosen, is returned.
func refuse(err error, stderr io.Writer) (anew []string) {
	if windowless() || !hasDisplay() || isRead(stderr) {
		return nil
	}
	details := beamhelm.Metadata()
	details.ID = "" // see open
	app.SetMetadata(details)
	application := app.New()
	ways := waysOn(err, os.Args, application, func(args []string) { anew = args })
	panel.Refuse(application, whyNot(err), ways)
	return anew
}

// opener opens what an address names in the program that the desktop has for it.
type opener interface{ OpenURL(*url.URL) error }

var _ opener = fyne.App(nil)

// waysOn are what is offered where the settings file can't be used. choose takes the arguments to go on with.
func waysOn(err error, args []string, desktop opener, choose func(args []string)) []panel.Way {
	unusable, is := errors.AsType[unusableError](err)
	if !is {
		return nil
	}
	path, failed := filepath.Abs(unusable.path)
	if failed != nil {
		path = unusable.path
	}
	ways := []panel.Way{{Words: "Open the file", Name: "refusal-open", Tip: "Open " + path + " in an editor",
		Act: func() string {
			address := url.URL{Scheme: "file", Path: filepath.ToSlash(path)}
			if desktop.OpenURL(&address) != nil {
				return "Nothing here opens such a file: correct " + path + " with any text editor, then start again."
			}
			return "The desktop was asked to open " + path + ". Correct it, then start again."
		}}}
	if _, at, why := lastGood(unusable.path); why == nil {
		ways = append(ways, panel.Way{Words: "Use the last good settings", Name: "refusal-last-good",
			Tip: "Start with the settings in force since " + at.UTC().Format("2 Jan 2006 15:04 UTC") +
				", from the records; the file stays as it is",
			Act: func() string { choose(append(args[:len(args):len(args)], "-recorded-settings")); return "" }})
	}
	return append(ways, panel.Way{Words: "Practise", Name: "refusal-practice",
		Tip: "Start with the simulated dish; the file stays as it is",
		Act: func() string { choose(argsForPractice(args, path)); return "" }})
}

// recordedWords say that settings of the records stand in for a file, and what to do.
func recordedWords(path, since string) (words, next string) {
	return "the settings file can't be used: those in force since " + since + " stand in for it, without users and " +
			"password files",
		"Correct " + path + ", or save these in Set-up in its place; then restart."
}

// isRead says that somebody reads a stream: a person at a terminal or a program
// at the other end of a pipe. Desktops give a file, a socket or nothing.
func isRead(stream io.Writer) bool {
	file, is := stream.(*os.File)
	if !is {
		return true // a test's
	}
	about, err := file.Stat()
	if err != nil {
		return false
	}
	if about.Mode()&os.ModeCharDevice != 0 {
		nothing, err := os.Stat(os.DevNull)
		return err != nil || !os.SameFile(about, nothing)
	}
	return about.Mode()&os.ModeNamedPipe != 0
}

// hasDisplay says that there is where a window can be.
func hasDisplay() bool {
	return !needsDisplay || os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
}
