package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"time"

	"beamhelm/app/keying"
)

const keyingLineUsage = `usage: beamhelm keying-line -port PORT -line rts|dtr -limit SECONDS

The panel starts this for itself. It owns the line that keys the transmitter, and drops it when
its input ends or says nothing for 0.3 s.
`

// KeyingLine is the process that owns the line by which the transmitter is keyed.
func KeyingLine(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	f := flag.NewFlagSet("keying-line", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	port, line := f.String("port", "", ""), f.String("line", keying.RTS, "")
	limit := f.Float64("limit", 0, "")
	err := f.Parse(args)
	longest := keying.MaxLimit.Seconds()
	switch {
	case errors.Is(err, flag.ErrHelp):
	case err != nil:
		err = usageError{err}
	case f.NArg() > 0 || *port == "" || *line != keying.RTS && *line != keying.DTR ||
		!(*limit > 0 && *limit <= longest):
		err = usageError{fmt.Errorf("a port, a line and a limit up to %g s are needed", longest)}
	default:
		owned, wrong := keying.Port(*port, *line == keying.DTR)
		if wrong != nil {
			keying.Refuse(stdout, wrong)
			return 1
		}
		err = keying.Own(stdin, stdout, owned, time.Duration(*limit*float64(time.Second)))
	}
	return ending("keying-line", err, stdout, stderr, keyingLineUsage)
}
