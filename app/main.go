// Command beamhelm is the control panel of a steerable dish used for
// moonbounce: one window, and commands that need none.
package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"beamhelm/app/command"
	"beamhelm/app/keying"
	"beamhelm/assets"
)

const usage = `usage: beamhelm [-settings FILE | -practice] [-from RFC3339] [-seed N]
                [-palette day|dusk|dim] [-demonstrate DURATION [-picture FILE]] [-layout FILE]
       beamhelm COMMAND ...

Without a command the window opens. Without -settings the default settings file
is read; where there is none, or with -practice, the dish is a simulated one: -from is the
moment at which its sky begins, -seed what its wind and noise follow.
-demonstrate presses Track, ends after the duration, prints where beam
and target are and writes the window to the picture. -layout keeps a file of
where the window's controls are, for tests. -version prints the version.

Commands that open no window (beamhelm COMMAND -h for details):
  place      where a target stands in the sky
  passes     when a target can be used
  skeds      the best times shared with partners
  echo       what the path by way of the Moon does to a signal
  budget     what a station hears, and how strong its echo should be
  echotest   find the station's own echoes in a receiver recording
  link       test an enclosure against the register page, rule by rule
  records    what was recorded: list, export, copy
  report     a file to send when asking for help with a fault
  settings   check a settings file, or show the settings in force
  replica    the simulated enclosure on a serial line of its own
  rehearse   play a script of actions and faults
  stop       stop the dish of the running panel
`

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// run is the program; it returns the exit status: 1 for a failure, 2 for wrong usage.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		return subcommand(args[0], args[1:], stdin, stdout, stderr)
	}
	return window(args, stdout, stderr)
}

func subcommand(name string, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	switch name {
	case "place":
		return command.Place(args, stdin, stdout, stderr, assets.Ephemeris())
	case "passes":
		return command.Passes(args, stdin, stdout, stderr, assets.Ephemeris())
	case "skeds":
		return command.Skeds(args, stdout, stderr)
	case "echo":
		return command.Echo(args, stdin, stdout, stderr, assets.Ephemeris())
	case "budget":
		return command.Budget(args, stdin, stdout, stderr, assets.Ephemeris())
	case "echotest":
		return command.Echotest(args, stdout, stderr)
	case "link":
		return command.Link(args, stdin, stdout, stderr)
	case "enclosure":
		return command.Enclosure(args, stdout, stderr)
	case "records":
		return command.Records(args, stdout, stderr)
	case "report":
		return command.Report(args, stdout, stderr)
	case "settings":
		return command.Settings(args, stdout, stderr)
	case "replica":
		return command.Replica(args, stdout, stderr)
	case "rehearse":
		return command.Rehearse(args, stdout, stderr)
	case keying.Command: // not for people: the program starts it for itself
		return command.KeyingLine(args, stdin, stdout, stderr)
	case "stop":
		return command.Stop(args, stdout, stderr)
	}
	fmt.Fprintf(stderr, "beamhelm: no command %q (beamhelm -h lists them)\n", name)
	return 2
}
