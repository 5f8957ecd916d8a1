package command

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"text/tabwriter"

	"beamhelm/app/board"
	"beamhelm/drive/firmware"
	"beamhelm/drive/firmware/flash"
)

const enclosureUsage = `usage: beamhelm enclosure pins
       beamhelm enclosure picture [wiring|stop] [-o FILE.svg]
       beamhelm enclosure station
       beamhelm enclosure write  -port PORT [-station FILE]
       beamhelm enclosure verify -port PORT [-station FILE]

The enclosure's own program, for an ATmega2560 board at 16 MHz.

pins     prints every pin of the board, and what its wire goes to
picture  draws the same as SVG; stop: what acts without the chip
station  prints the station's table, unchanged: what is fitted, scales, ramps, the line. Save
         it as a file, change what differs at your dish, and give it by -station
write    writes the program with the station's table to the board at a port, and reads it back
verify   reads the board and compares

write and verify need avrdude and the board's USB port, with the motors' supply off.
`

// Enclosure is `beamhelm enclosure`.
func Enclosure(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return ending("enclosure", enclosure(ctx, args, stdout), stdout, stderr, enclosureUsage)
}

func enclosure(ctx context.Context, args []string, stdout io.Writer) error {
	if len(args) == 0 {
		return usageError{errors.New("pins, picture, station, write or verify?")}
	}
	what, args := args[0], args[1:]
	switch what {
	case "-h", "-help", "--help":
		return flag.ErrHelp
	case "pins":
		if len(args) > 0 {
			return usageError{fmt.Errorf("%q: no such argument", args[0])}
		}
		return printPins(stdout)
	case "station":
		if len(args) > 0 {
			return usageError{fmt.Errorf("%q: no such argument", args[0])}
		}
		_, err := io.WriteString(stdout, firmware.UsualStation().Text())
		return err
	case "picture":
		return drawEnclosure(args, stdout)
	case "write":
		return flashEnclosure(ctx, true, args, stdout)
	case "verify":
		return flashEnclosure(ctx, false, args, stdout)
	}
	return usageError{fmt.Errorf("%q: pins, picture, station, write or verify?", what)}
}

// printPins prints the table of pins, by what they belong to.
func printPins(stdout io.Writer) error {
	w := tabwriter.NewWriter(stdout, 0, 0, 2, ' ', 0)
	group := ""
	for _, p := range firmware.Pins() {
		if p.Group != group {
			group = p.Group
			fmt.Fprintf(w, "%s\t\t\t\n", group)
		}
		fmt.Fprintf(w, "  %s\tP%c%d\t%s\t%s\n", p.Board, p.Port, p.Bit, p.Words, p.Kind.Words())
	}
	return w.Flush()
}

func drawEnclosure(args []string, stdout io.Writer) error {
	drawing := firmware.Wiring
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		switch args[0] {
		case "wiring":
		case "stop":
			drawing = firmware.StopCircuit
		default:
			return usageError{fmt.Errorf("picture %q: wiring or stop?", args[0])}
		}
		args = args[1:]
	}
	f := flag.NewFlagSet("picture", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	name := f.String("o", "", "")
	if err := parsed(f, args); err != nil {
		return err
	}
	if *name == "" {
		_, err := io.WriteString(stdout, drawing())
		return err
	}
	// A file that is there is somebody's: it is not written over.
	file, err := os.OpenFile(*name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.WriteString(file, drawing())
	return errors.Join(err, file.Close())
}

// parsed parses flags and allows nothing behind them.
func parsed(f *flag.FlagSet, args []string) error {
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return err
	case err != nil:
		return usageError{err}
	case f.NArg() > 0:
		return usageError{fmt.Errorf("%q: no such argument", f.Arg(0))}
	}
	return nil
}

func flashEnclosure(ctx context.Context, write bool, args []string, stdout io.Writer) error {
	f := flag.NewFlagSet("write", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	port, name := f.String("port", "", ""), f.String("station", "", "")
	if err := parsed(f, args); err != nil {
		return err
	}
	if *port == "" {
		ports := "none is there now"
		if found := flash.Ports(); len(found) > 0 {
			ports = "there are " + strings.Join(found, ", ")
		}
		return usageError{fmt.Errorf("no port: -port PORT; %s", ports)}
	}
	stage := ""
	holds, err := board.Do(ctx, board.Job{Port: *port, Station: *name, Write: write}, func(p flash.Progress) {
		if p.Stage != stage {
			stage = p.Stage
			fmt.Fprintln(stdout, stage)
		}
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(stdout, holds)
	return err
}
