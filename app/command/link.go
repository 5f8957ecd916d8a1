package command

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"beamhelm/app/settings"
	"beamhelm/drive/conform"
	"beamhelm/drive/link"
)

const linkUsage = `usage: beamhelm link test [-settings FILE] [-port PATH] [-baud N] [-parity even|odd|none] [-unit N] [-move]

Tries an enclosure against the page of registers, a line for each rule: kept,
BROKEN, doubt, or left out. Port, baud, parity and unit are those of the
settings where they aren't given. Without -move nothing can move: demands are zero and drive power
stays off. The panel must not run meanwhile: one line, one master.

-move switches drive power on, lets the watchdog trip, and turns each axis for half a second with a fifth
of full drive, one way and back. First see that people are clear of the dish,
that both axes have room, and that the hard-wired stop is within reach.

Ends with status 1 where a rule is broken.
`

// Link is `beamhelm link test`.
func Link(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := linkTest(ctx, args, stdout)
	if _, faulty := errors.AsType[*settings.Error](err); faulty {
		fmt.Fprintln(stderr, err)
		err = errTold
	}
	return ending("link", err, stdout, stderr, linkUsage)
}

// linkArguments are the line to be tried, and whether things may move.
func linkArguments(args []string) (line settings.Link, move bool, err error) {
	if len(args) == 0 || args[0] != "test" {
		if len(args) > 0 && (args[0] == "-h" || args[0] == "-help" || args[0] == "--help") {
			return line, false, flag.ErrHelp
		}
		return line, false, usageError{errors.New("link test?")}
	}
	f := flag.NewFlagSet("link", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	file := f.String("settings", "", "")
	port, baud := f.String("port", "", ""), f.Int("baud", 0, "")
	parity, unit := f.String("parity", "", ""), f.Int("unit", 0, "")
	f.BoolVar(&move, "move", false, "")
	switch err := f.Parse(args[1:]); {
	case errors.Is(err, flag.ErrHelp):
		return line, false, err
	case err != nil:
		return line, false, usageError{err}
	case f.NArg() > 0:
		return line, false, usageError{fmt.Errorf("%q: no such argument", f.Arg(0))}
	}
	s, _, err := settings.LoadUsual(settings.UsualPath())
	if *file != "" {
		s, _, err = settings.LoadNamed(*file)
	}
	if err != nil {
		return line, false, err
	}
	line = s.Link
	if *port != "" {
		line.Port = *port
	}
	if *baud != 0 {
		line.Baud = *baud
	}
	if *parity != "" {
		line.Parity = settings.Parity(*parity)
	}
	if *unit != 0 {
		line.Unit = *unit
	}
	switch {
	case line.Port == "":
		err = usageError{errors.New("no port: -port PATH, or link.port in the settings")}
	case line.Unit < 1 || line.Unit > 247:
		err = usageError{fmt.Errorf("unit %d: must be 1 to 247", line.Unit)}
	}
	return line, move, err
}

func linkTest(ctx context.Context, args []string, stdout io.Writer) error {
	line, move, err := linkArguments(args)
	if err != nil {
		return err
	}
	parity, known := link.ParityOf(string(line.Parity))
	if !known {
		return usageError{fmt.Errorf("parity %q: must be even, odd or none", line.Parity)}
	}
	port, err := link.Serial(link.Settings{Path: line.Port, Baud: line.Baud, Parity: parity, StopBits: line.StopBits})()
	if err != nil {
		return err
	}
	defer port.Close()
	bits := 10 + boolean(parity != link.NoParity || line.StopBits == 2)
	config := conform.Config{Unit: byte(line.Unit), Character: time.Second * time.Duration(bits) / time.Duration(line.Baud), Move: move}
	counts := map[conform.Outcome]int{}
	err = conform.Run(ctx, port, config, func(f conform.Finding) {
		counts[f.Outcome]++
		words := ""
		if f.Words != "" {
			words = ": " + f.Words
		}
		fmt.Fprintf(stdout, "%-9s %s%s\n", f.Outcome, f.Rule, words)
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "\n%d kept, %d broken, %d in doubt, %d left out\n", counts[conform.Kept], counts[conform.Broken], counts[conform.Doubted], counts[conform.LeftOut])
	if counts[conform.Broken] > 0 {
		return errTold
	}
	return nil
}

func boolean(b bool) int {
	if b {
		return 1
	}
	return 0
}
