package command

import (
	"bufio"
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
	"time"

	"beamhelm/app/serialline"
	"beamhelm/app/settings"
	"beamhelm/drive/conform"
	"beamhelm/drive/link"
	"beamhelm/drive/rtu"
)

const linkUsage = `usage: beamhelm link test [-settings FILE] [-port PATH] [-baud N] [-parity even|odd|none] [-unit N] [-permit] [-move] [-yes]
       beamhelm link test -list

Tries an enclosure against the page of registers, one line per rule: kept,
BROKEN, doubt, or not tried and why. Port, baud, parity and unit are those of the
settings where they aren't given. The panel must not run meanwhile: one line, one
master. Without -permit and -move nothing can move and nobody can transmit: demands
are zero, drive power stays off, and only the noise source is switched, for 6 s.

-permit gives the transmit permit, a few seconds at a time. See first that the
transmitter is off or can't be keyed, and that people are clear of feed and beam.
-move switches drive power on, lets the watchdog trip, and drives each axis for up
to a second with a fifth of full drive (an axis with fixed speeds by the lowest one
above that, at most a third), one way and back. See first that people are clear of
the dish, that both axes have room, and that the hard-wired stop is within reach.
The test is a computer program: it may hang, and what it tries may be broken.
Both ask before they begin; -yes answers yes beforehand.

-list prints the rules, what each needs, and where the page says it; no port is opened.
Ends with status 1 where a rule is broken.
`

// linkRequest is what was asked of `beamhelm link test`.
type linkRequest struct {
	line               settings.Link
	move, permit, sure bool
	list               bool
}

// Link is `beamhelm link test`.
func Link(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := linkTest(ctx, args, stdin, stdout)
	if _, faulty := errors.AsType[*settings.Error](err); faulty {
		fmt.Fprintln(stderr, err)
		err = errTold
	}
	return ending("link", err, stdout, stderr, linkUsage)
}

// linkArguments are the line to be tried, and what may be done to it.
func linkArguments(args []string) (r linkRequest, err error) {
	if len(args) == 0 || args[0] != "test" {
		if len(args) > 0 && (args[0] == "-h" || args[0] == "-help" || args[0] == "--help") {
			return r, flag.ErrHelp
		}
		return r, usageError{errors.New("link test?")}
	}
	f := flag.NewFlagSet("link", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	file := f.String("settings", "", "")
	port, baud := f.String("port", "", ""), f.Int("baud", 0, "")
	parity, unit := f.String("parity", "", ""), f.Int("unit", 0, "")
	f.BoolVar(&r.move, "move", false, "")
	f.BoolVar(&r.permit, "permit", false, "")
	f.BoolVar(&r.sure, "yes", false, "")
	f.BoolVar(&r.list, "list", false, "")
	switch err := f.Parse(args[1:]); {
	case errors.Is(err, flag.ErrHelp):
		return r, err
	case err != nil:
		return r, usageError{err}
	case f.NArg() > 0:
		return r, usageError{fmt.Errorf("%q: no such argument", f.Arg(0))}
	case r.list:
		return r, nil
	}
	s, _, err := settings.LoadUsual(settings.UsualPath())
	if *file != "" {
		s, _, err = settings.LoadNamed(*file)
	}
	if err != nil {
		return r, err
	}
	r.line = s.Link
	line := &r.line
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
	return r, err
}

func linkTest(ctx context.Context, args []string, stdin io.Reader, stdout io.Writer) error {
	r, err := linkArguments(args)
	if err != nil {
		return err
	}
	if r.list {
		return listRules(stdout)
	}
	line, err := serialline.FromSettings(r.line)
	if err != nil {
		return usageError{err}
	}
	bits := 10 + boolean(line.Parity != link.NoParity || r.line.StopBits == 2)
	config := conform.Config{
		Unit: byte(r.line.Unit), Character: time.Second * time.Duration(bits) / time.Duration(r.line.Baud),
		Move: r.move, Permit: r.permit,
	}
	if err := agreed(r, stdin, stdout); err != nil {
		return err
	}
	port, err := link.Serial(line)()
	if err != nil {
		return err
	}
	defer port.Close()
	return tryRules(ctx, port, config, stdout)
}

// agreed asks whether what the test will do may be done.
func agreed(r linkRequest, stdin io.Reader, stdout io.Writer) error {
	if r.sure || !r.move && !r.permit {
		return nil
	}
	if r.permit {
		fmt.Fprintln(stdout,
			"The transmit permit will be given. Is the transmitter off, and everybody clear of feed and beam?")
	}
	if r.move {
		fmt.Fprintln(stdout, "The dish will move. Is everybody clear of it, do both axes have room, is the "+
			"hard-wired stop within reach?")
	}
	fmt.Fprint(stdout, "Type yes to begin: ")
	answer, err := bufio.NewReader(io.LimitReader(stdin, 100)).ReadString('\n')
	if err != nil && err != io.EOF {
		return fmt.Errorf("reading the answer: %w", err)
	}
	if strings.TrimSpace(answer) != "yes" {
		return errors.New("not begun: the answer was not yes")
	}
	return nil
}

// tryRules runs the test, and prints a line for each rule.
func tryRules(ctx context.Context, port rtu.Line, config conform.Config, stdout io.Writer) error {
	fmt.Fprintf(stdout, "This takes about %v.\n\n", config.Duration())
	counts := map[conform.Outcome]int{}
	began := time.Now()
	err := conform.Run(ctx, port, config, func(f conform.Finding) {
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
	fmt.Fprintf(stdout, "\n%d kept, %d broken, %d in doubt, %d not tried, in %v\n",
		counts[conform.Kept], counts[conform.Broken], counts[conform.Doubted], counts[conform.NotTried],
		time.Since(began).Round(time.Second))
	if counts[conform.Broken] > 0 {
		return errTold
	}
	return nil
}

// listRules prints the rules as a table.
func listRules(stdout io.Writer) error {
	table := tabwriter.NewWriter(stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "RULE\tSECTION\tNEEDS\tWORDS")
	for _, r := range conform.Rules() {
		fmt.Fprintf(table, "%s\t%s\t%v\t%s\n", r.ID, r.Section, r.Needs, r.Words)
	}
	return table.Flush()
}

func boolean(b bool) int {
	if b {
		return 1
	}
	return 0
}
