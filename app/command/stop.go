package command

import (
	"errors"
	"flag"
	"fmt"
	"io"

	"beamhelm/app/stopline"
)

const stopUsage = `usage: beamhelm stop

Stops the dish of the panel that you have running, as Esc in its window would.
It is a computer program's request: people at the dish use the hard-wired stop circuit.
`

// Stop is `beamhelm stop`.
func Stop(args []string, stdout, stderr io.Writer) int {
	return ending("stop", stop(args, stdout), stdout, stderr, stopUsage)
}

func stop(args []string, stdout io.Writer) error {
	f := flag.NewFlagSet("stop", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return usageError{err}
	}
	if f.NArg() > 0 {
		return usageError{fmt.Errorf("%q: it takes nothing", f.Arg(0))}
	}
	words, err := stopline.Ask(stopline.Path())
	if err != nil {
		return err
	}
	fmt.Fprintln(stdout, words)
	return nil
}
