package command

import (
	"errors"
	"flag"
	"fmt"
	"io"

	"beamhelm/app/stopline"
)

const stopUsage = `usage: beamhelm stop

Stops the dish of every panel that you have running, as Esc in its window would,
and prints one line for each. The status says what came of it:
  0  every dish has stopped, confirmed by its counts
  2  wrong usage: nothing was requested
  3  stop was requested, but not every dish is confirmed to have stopped
  4  no running panel was found: nothing was requested
  5  a panel could not be asked, did not answer, or may be hidden by a folder
     that others can write to
It is a computer program's request: people at the dish use the hard-wired stop circuit.
`

// The exit status of `beamhelm stop` beyond those that all commands share.
const (
	stopNotConfirmed = 3
	stopNobody       = 4
	stopNotAsked     = 5
)

// Stop is `beamhelm stop`.
func Stop(args []string, stdout, stderr io.Writer) int {
	return stopBy(stopline.Ask, args, stdout, stderr)
}

// stopBy is Stop with the way in which panels are asked.
func stopBy(ask func() ([]stopline.Answer, error), args []string, stdout, stderr io.Writer) int {
	f := flag.NewFlagSet("stop", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	err := f.Parse(args)
	if err == nil && f.NArg() > 0 {
		err = fmt.Errorf("%q: it takes nothing", f.Arg(0))
	}
	if err != nil {
		if !errors.Is(err, flag.ErrHelp) {
			err = usageError{err}
		}
		return ending("stop", err, stdout, stderr, stopUsage)
	}
	answers, wrong := ask()
	return stopStatus(answers, wrong, stdout, stderr)
}

// stopStatus prints what each panel said and returns the exit status: the worst of all.
func stopStatus(answers []stopline.Answer, wrong error, stdout, stderr io.Writer) int {
	status := 0
	if wrong != nil {
		fmt.Fprintf(stderr, "beamhelm stop: %v\n", wrong)
		status = stopNotAsked
	}
	for _, a := range answers {
		switch {
		case a.Err != nil:
			fmt.Fprintf(stderr, "beamhelm stop: %s: %v\n", a.Path, a.Err)
			status = stopNotAsked
			continue
		case !a.Standing:
			status = max(status, stopNotConfirmed)
		}
		fmt.Fprintln(stdout, a.Words)
	}
	if len(answers) == 0 && wrong == nil {
		fmt.Fprintln(stderr, "beamhelm stop: no running panel was found")
		status = stopNobody
	}
	return status
}
