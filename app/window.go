package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"time"

	"fyne.io/fyne/v2/app"

	"beamhelm"
	_ "beamhelm/app/early"
	"beamhelm/app/panel"
	"beamhelm/app/settings"
	"beamhelm/ending"
)

// options are what the command line asks of the window.
type options struct {
	settings    string
	named       bool
	from        time.Time
	fromGiven   bool
	seed        uint64
	palette     string
	demonstrate time.Duration
	picture     string
	layout      string
	practice    bool
	recorded    bool
	version     bool
}

// practiceBegins is the moment at which the practice sky begins.
func practiceBegins() time.Time { return time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC) }

func parse(args []string) (options, error) {
	o := options{from: practiceBegins(), seed: 1}
	f := flag.NewFlagSet("beamhelm", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.Func("settings", "", func(path string) error { o.settings, o.named = path, true; return nil })
	f.Func("from", "", func(text string) error {
		at, err := time.Parse(time.RFC3339, text)
		if err != nil {
			return errors.New("must be a time such as 2027-04-14T16:00:00Z")
		}
		o.from, o.fromGiven = at.UTC(), true
		return nil
	})
	f.Uint64Var(&o.seed, "seed", o.seed, "")
	f.Func("palette", "", func(name string) error {
		if name != "day" && name != "dusk" && name != "dim" {
			return errors.New("must be day, dusk or dim")
		}
		o.palette = name
		return nil
	})
	f.DurationVar(&o.demonstrate, "demonstrate", 0, "")
	f.StringVar(&o.picture, "picture", "", "")
	f.StringVar(&o.layout, "layout", "", "")
	f.BoolVar(&o.practice, "practice", false, "")
	f.String("back-to", "", "")                            // read by backTo as the window leaves practice
	f.BoolVar(&o.recorded, "recorded-settings", false, "") // chosen where the program would not start
	f.BoolVar(&o.version, "version", false, "")
	if err := f.Parse(args); err != nil {
		return o, err
	}
	switch {
	case f.NArg() > 0:
		return o, fmt.Errorf("%q: no such argument", f.Arg(0))
	case o.demonstrate < 0 || o.demonstrate > time.Hour:
		return o, fmt.Errorf("-demonstrate %v: must be up to an hour", o.demonstrate)
	case o.picture != "" && o.demonstrate == 0:
		return o, errors.New("-picture goes with -demonstrate")
	case o.practice && o.named:
		return o, errors.New("-practice has settings of its own: leave -settings out")
	}
	return o, nil
}

// window opens the window and lets the panel run until it is closed.
func window(args []string, stdout, stderr io.Writer) int {
	o, err := parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(stdout, usage)
		return 0
	case err != nil:
		fmt.Fprintf(stderr, "beamhelm: %v (beamhelm -h tells how)\n", err)
		return 2
	case o.version:
		fmt.Fprintln(stdout, "beamhelm", beamhelm.Metadata().Version)
		return 0
	}
	s, err := begin(o, stderr)
	if err != nil {
		fmt.Fprintln(stderr, whyNot(err))
		return goOn(refuse(err, stderr), stderr)
	}
	if err := open(s, o, stdout); err != nil {
		fmt.Fprintln(stderr, whyNot(err))
		return 1
	}
	return 0
}

// goOn runs the program again with what the operator has chosen instead, if anything was; it returns the exit code.
func goOn(args []string, stderr io.Writer) int {
	if args == nil {
		return 1
	}
	path, err := os.Executable()
	if err == nil {
		err = again(path, args)
	}
	if err != nil {
		fmt.Fprintln(stderr, whyNot(err))
		return 1
	}
	return 0
}

// whyNot is an error as it is told: faults of the settings have a line each, with its file.
func whyNot(err error) string {
	if _, faults := errors.AsType[*settings.Error](err); faults {
		return err.Error()
	}
	return fmt.Sprintf("beamhelm: %v", err)
}

// open opens the window of a session and runs it.
func open(s *session, o options, stdout io.Writer) error {
	if windowless() {
		s.attendedByLines()
		return nil
	}
	if !hasDisplay() {
		return errors.New("there is no display: DISPLAY and WAYLAND_DISPLAY are empty (./run starts a virtual one)")
	}
	// Without its own name the window library keeps no preferences: ours are
	// kept elsewhere, and its file is reread half written when the program ends.
	details := beamhelm.Metadata()
	details.ID = ""
	app.SetMetadata(details)
	application := app.New()
	layout := newLayoutFile(o.layout)
	config := s.windowConfig(o)
	config.Shown = func() {
		ending.Here("window callback")
		layout.shown()
		s.looks(layout.window)
	}
	if s.camera != nil {
		config.Camera = s.camera
	}
	w := panel.New(application, s.orders, config)
	drawFlat()
	layout.window = w
	s.close = w.Close
	tour := newTour(o, s.desk, w)
	s.run()
	tour.start()
	ending.Do("window", w.Run)
	ending.Do("end", s.end)
	if err := s.openAgain(); err != nil {
		return err
	}
	return tour.report(stdout)
}
