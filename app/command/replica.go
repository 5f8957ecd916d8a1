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
	"strconv"
	"strings"
	"syscall"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/practice"
	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/replica/serve"
	"beamhelm/ephem"
)

const replicaUsage = `usage: beamhelm replica [-settings FILE] [-from RFC3339] [-link PATH] [-seed N] [-truth FILE|-] [-late] [-hands]

The simulated enclosure with its dish on a serial line of its own. Prints the
line's path, makes PATH a symbolic link to it, and runs until interrupted. The
dish is that of the settings (without -settings that of practice). Its sky
begins at -from, without it now. -truth writes CSV every 20 ms: the time, where
the beam really looks (az_deg, el_deg: on the sky), where the axes stand,
demands and drives applied (-1 to 1), drive power, and the state register.
-late has replies begin as late as the register page allows, 10 ms after the request.

With -hands a line on the standard input does something at the dish: the name of a fault,
such as stop-circuit-open, hand-panel or az-end-wire-broken end=1 (an end
switch pressed by hand), injects it; clear NAME clears it, clear alone clears all. key and
unkey set the line that keys the transmitter; from the first of them on nothing else keys.
`

// replicaFlags are what the command line asks of the replica.
type replicaFlags struct {
	settings, link, truth string
	from                  time.Time
	hands, late           bool
	seed                  uint64
}

// Replica is `beamhelm replica`.
func Replica(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := replica(ctx, args, stdout)
	if _, faulty := errors.AsType[*settings.Error](err); faulty {
		fmt.Fprintln(stderr, err)
		err = errTold
	}
	return ending("replica", err, stdout, stderr, replicaUsage)
}

func replicaArguments(args []string) (replicaFlags, error) {
	o := replicaFlags{seed: 1}
	f := flag.NewFlagSet("replica", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&o.settings, "settings", "", "")
	f.StringVar(&o.link, "link", "", "")
	f.StringVar(&o.truth, "truth", "", "")
	f.Uint64Var(&o.seed, "seed", o.seed, "")
	f.BoolVar(&o.hands, "hands", false, "")
	f.BoolVar(&o.late, "late", false, "")
	f.Func("from", "", func(text string) error {
		at, err := time.Parse(time.RFC3339, text)
		if err != nil {
			return errors.New("must be a time such as 2027-04-14T16:00:00Z")
		}
		o.from = at.UTC()
		return nil
	})
	err := f.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return o, err
	case err != nil:
		return o, usageError{err}
	case f.NArg() > 0:
		return o, usageError{fmt.Errorf("%q: no such argument", f.Arg(0))}
	}
	return o, nil
}

func replica(ctx context.Context, args []string, stdout io.Writer) error {
	o, err := replicaArguments(args)
	if err != nil {
		return err
	}
	s := settings.Practice()
	if o.settings != "" {
		if s, _, err = settings.LoadNamed(o.settings); err != nil {
			return err
		}
	}
	sky, err := ephem.New(assets.Ephemeris(), station.SkyConfig(s.Clock))
	if err != nil {
		return err
	}
	if o.from.IsZero() {
		o.from = time.Now().UTC()
	}
	dish, err := practice.New(s, sky, practice.Config{From: o.from, Seed: o.seed, Late: o.late})
	if err != nil {
		return err
	}
	served, err := dish.Serve(s.Link.Baud)
	if err != nil {
		return err
	}
	if served.Path == "" {
		return errors.New("this system has no pseudo-terminals: practice in the window works without")
	}
	finish, err := writeTruth(o.truth, stdout, served)
	if err != nil {
		return err
	}
	if o.link != "" {
		if err := relink(o.link, served.Path); err != nil {
			return err
		}
		defer os.Remove(o.link)
	}
	fmt.Fprintln(stdout, served.Path)
	if o.hands {
		go atTheDish(os.Stdin, os.Stderr, dish)
	}
	return errors.Join(served.Run(ctx), finish())
}

// atTheDish does what the lines of a reader say, until it ends.
func atTheDish(from io.Reader, stderr io.Writer, dish *practice.Dish) {
	for lines := bufio.NewScanner(from); lines.Scan(); {
		words := strings.Fields(lines.Text())
		if len(words) == 0 {
			continue
		}
		if err := doAtTheDish(words, dish); err != nil {
			fmt.Fprintf(stderr, "beamhelm replica: %v\n", err)
		}
	}
}

func doAtTheDish(words []string, dish *practice.Dish) error {
	switch words[0] {
	case "clear":
		return dish.Mend(strings.Join(words[1:], " "))
	case "key", "unkey":
		dish.SetSending(false)
		dish.SetKey(words[0] == "key")
		return nil
	}
	f, _, err := plant.Named(words[0])
	for _, word := range words[1:] {
		name, figure, _ := strings.Cut(word, "=")
		value, wrong := strconv.ParseFloat(figure, 64)
		if wrong != nil {
			return fmt.Errorf("%s: must be a name and a number, such as end=1", word)
		}
		if err == nil {
			f, err = f.With(name, value)
		}
	}
	if err != nil {
		return err
	}
	return dish.Put(f)
}

// relink makes path a symbolic link; an old link is replaced, anything else is left alone.
func relink(path, to string) error {
	if info, err := os.Lstat(path); err == nil {
		if info.Mode()&os.ModeSymlink == 0 {
			return fmt.Errorf("link %s: there is something that is not a link", path)
		}
		if err := os.Remove(path); err != nil {
			return fmt.Errorf("link %s: %w", path, err)
		}
	}
	if err := os.Symlink(to, path); err != nil {
		return fmt.Errorf("link %s: %w", path, err)
	}
	return nil
}

// truthEvery is the time between two lines of the truth.
const truthEvery = 20 * time.Millisecond

// writeTruth has the truth written to a file, or to the standard output after
// the path; finish ends it.
func writeTruth(path string, stdout io.Writer, served *practice.Served) (finish func() error, err error) {
	if path == "" {
		return func() error { return nil }, nil
	}
	var to io.Writer = stdout
	closing := func() error { return nil }
	if path != "-" {
		f, err := os.Create(path)
		if err != nil {
			return nil, fmt.Errorf("truth: %w", err)
		}
		to, closing = f, f.Close
	}
	out := bufio.NewWriter(to)
	fmt.Fprintln(out,
		"t_s,utc,az_deg,el_deg,az_axis_deg,el_axis_deg,demand_az,demand_el,applied_az,applied_el,power,state")
	var failed error
	served.Watch(truthEvery, func(e *serve.Enclosure) {
		if failed != nil {
			return
		}
		t, d, m := served.Truth(), e.Demand(), e.Motion()
		power := m.State & 1
		fmt.Fprintf(out, "%.3f,%s,%.5f,%.5f,%.5f,%.5f,%.4f,%.4f,%.4f,%.4f,%d,%d\n", e.Now().Seconds(),
			t.Now.Format("2006-01-02T15:04:05.000Z"),
			t.Azimuth.Deg(), t.Elevation.Deg(), t.Axis[0].Deg(), t.Axis[1].Deg(),
			float64(d.Az)/10000, float64(d.El)/10000, float64(m.Applied[0])/10000, float64(m.Applied[1])/10000, power,
			m.State)
		failed = out.Flush()
	})
	return func() error {
		if err := errors.Join(failed, out.Flush(), closing()); err != nil {
			return fmt.Errorf("writing the truth: %w", err)
		}
		return nil
	}, nil
}
