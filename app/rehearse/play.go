package rehearse

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/station"
	"beamhelm/app/practice"
	"beamhelm/app/settings"
	"beamhelm/drive"
	"beamhelm/drive/badcable"
	"beamhelm/drive/guard"
	"beamhelm/drive/link"
	"beamhelm/drive/mount"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/step"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
)

// World is a desk, a loop, a line and a simulated enclosure in one virtual time.
type World struct {
	Desk *desk.Runner
	Loop *drive.Loop
	Dish *practice.Dish
	Line *badcable.Line

	quality badcable.Config
	from    time.Time
	tick    time.Duration
	now     step.Nanos
	events  []string
	event   uint64
	jogging desk.Jog
	jogEnd  step.Nanos
	found   [guard.CodeCount]bool

	silent, deskless bool // what the computer suffers
	noReadings       bool // the line brings motion only
	late             step.Nanos
	source           source
}

// NewWorld puts a world together; nothing in it has happened yet.
func NewWorld(s settings.Settings, sky *ephem.Sky, sources catalogue.Catalogue, script Script) (*World, error) {
	s = script.change(s)
	return newWorld(s, s, sky, sources, script)
}

// newWorld is the same of a dish that other settings than the desk's describe.
func newWorld(s, dishes settings.Settings, sky *ephem.Sky, sources catalogue.Catalogue, script Script) (*World, error) {
	dish, err := practice.New(dishes, sky, practice.Config{
		Without: script.without(),
		From:    script.From, Seed: script.Seed, HasPlace: script.HasBeam,
		Place: mount.AxisAngles{Az: unit.AngleFromDeg(script.Az), El: unit.AngleFromDeg(script.El)},
	})
	if err != nil {
		return nil, err
	}
	config, err := station.NewConfig(s, sky, sources, true)
	if err != nil {
		return nil, err
	}
	good := badcable.Default()
	good.Baud, good.Seed = s.Link.Baud, script.Seed
	line, err := badcable.NewLine(dish.Slave(), good)
	if err != nil {
		return nil, err
	}
	w := &World{Dish: dish, Line: line, quality: good, from: script.From, tick: config.Drive.Tick}
	kept := desk.Kept{}
	kept.Receiver.Reports = []string{practice.SolarFlux(script.From)}
	if !script.Untrusted {
		kept.References = dish.References()
	}
	memory := link.NewMemory(line, byte(s.Link.Unit))
	w.Loop, err = drive.New(lossy{memory, &w.noReadings},
		drive.Config{Step: config.Drive, Kept: step.Kept{References: kept.References}})
	if err != nil {
		return nil, err
	}
	status := func() desk.Line {
		status := memory.Status()
		return desk.Line{Trouble: status.Trouble, Errors: status.Quiet.Errors() + status.Keyed.Errors(),
			Keyed: status.Keyed.Errors(), Split: status.WithoutReadWrite}
	}
	w.Desk = desk.NewRunner(config, w.Loop, w.clock,
		desk.RunnerConfig{Kept: kept, Port: "rehearsal", Line: status, Time: &w.source})
	return w, nil
}

func (w *World) clock() (time.Time, step.Nanos) { return w.from.Add(w.now), w.now }

// Now is the virtual time since the beginning.
func (w *World) Now() time.Duration { return w.now }

// Advance lets a tick pass.
func (w *World) Advance() { _ = w.advance(func(time.Duration) error { return nil }) }

// advance lets a tick pass; between lets happen what comes before the next one, when its own exchange is over.
func (w *World) advance(between func(end time.Duration) error) error {
	if !w.silent {
		w.Desk.Alive()
	}
	if w.now < w.jogEnd {
		w.Desk.Ask(w.jogging)
	}
	w.stepDesk()
	w.Loop.LateTick(w.now, w.from.Add(w.now), w.late)
	w.late = 0
	status := w.Loop.Status()
	for _, f := range status.Findings[:status.FindingCount] {
		w.found[f.Code] = true
	}
	w.found[status.Lock.Cause.Code] = true
	w.found[status.Permit.Because] = true
	if err := between(w.now + w.tick); err != nil {
		return err
	}
	w.now += w.tick
	w.Line.RunTo(w.now)
	w.stepDesk()
	return nil
}

func (w *World) stepDesk() {
	if !w.deskless {
		w.Desk.Step()
	}
}

// Found reports whether a guard has found something since the beginning.
func (w *World) Found(c guard.Code) bool { return w.found[c] }

// News are the events since the last call.
func (w *World) News() []desk.Event {
	news := w.Desk.EventsSince(w.event, nil)
	for _, e := range news {
		w.event = e.Number
		w.events = append(w.events, strings.ToLower(e.Words.String()))
	}
	return news
}

// Moment is what an expectation is judged by, now.
func (w *World) Moment() *Moment {
	w.News()
	s := w.Desk.Status()
	truth := w.Dish.Truth()
	motion, demand := w.Dish.Slave().Enclosure().Motion(), w.Dish.Slave().Enclosure().Demand()
	m := &Moment{
		Status: s, TrueAz: truth.Axis[0].Deg(), TrueEl: truth.Axis[1].Deg(),
		TrueOff:   mount.Between(truth.Azimuth, truth.Elevation, s.Target.Az, s.Target.El).Deg(),
		AppliedAz: float64(motion.Applied[0]) / 10000, AppliedEl: float64(motion.Applied[1]) / 10000,
		DemandAz: float64(demand.Az) / 10000, DemandEl: float64(demand.El) / 10000,
		Powered: truth.Powered, Events: w.events,
	}
	return m
}

// Play plays a script and writes what happens. It reports whether every
// expectation came true.
func Play(script Script, s settings.Settings, sky *ephem.Sky, sources catalogue.Catalogue, out io.Writer) (bool,
	error) {
	w, err := NewWorld(s, sky, sources, script)
	if err != nil {
		return false, fmt.Errorf("%s: %w", script.Name, err)
	}
	return w.play(script, out)
}

// play plays a script in a new world.
func (w *World) play(script Script, out io.Writer) (bool, error) {
	fmt.Fprintf(out, "%s: %s\n", script.Name, script.Title)
	next, failed := 0, 0
	play := func() error {
		ok, err := w.line(script.Lines[next], out)
		if err != nil {
			return fmt.Errorf("%s:%d: %w", script.Name, script.Lines[next].Number, err)
		}
		if !ok {
			failed++
		}
		next++
		return nil
	}
	// A fault may come and go between two ticks.
	between := func(end time.Duration) error {
		for next < len(script.Lines) && script.Lines[next].At < end && script.Lines[next].ofFault() {
			w.Line.RunTo(script.Lines[next].At)
			if err := play(); err != nil {
				return err
			}
		}
		return nil
	}
	for {
		for next < len(script.Lines) && script.Lines[next].At <= w.now {
			if err := play(); err != nil {
				return false, err
			}
		}
		if w.now >= script.End {
			break
		}
		if err := w.advance(between); err != nil {
			return false, err
		}
		w.tell(out)
	}
	if failed > 0 {
		fmt.Fprintf(out, "%s: %d expectations failed\n", script.Name, failed)
		return false, nil
	}
	fmt.Fprintf(out, "%s: all expectations came true\n", script.Name)
	return true, nil
}

func (w *World) tell(out io.Writer) {
	for _, e := range w.News() {
		fmt.Fprintf(out, "%8.1f  event   %s\n", e.At.Sub(w.from).Seconds(), e.Words)
	}
}

// line does what a line says; ok is false where an expectation failed.
func (w *World) line(l Line, out io.Writer) (ok bool, err error) {
	fmt.Fprintf(out, "%8.1f  %-7s %s", max(w.now, l.At).Seconds(), l.Verb, strings.Join(l.Words, " "))
	defer fmt.Fprintln(out)
	switch l.Verb {
	case "do":
		o, err := order(l.Words)
		if err != nil {
			return true, err
		}
		switch o := o.(type) {
		case desk.Jog:
			w.jogging, w.jogEnd = o, w.now+time.Second
		case desk.Stop:
			w.jogEnd = 0
		}
		w.Desk.Ask(o)
		return true, nil
	case "fault":
		return true, w.fault(l.Words)
	case "clear":
		return true, w.mend(l.Words)
	case "computer":
		t, err := computer(l.Words)
		w.suffer(t)
		return true, err
	case "expect":
		e, err := expectation(l.Words)
		if err != nil {
			return false, err
		}
		is, ok := e.judge(w.Moment())
		if ok {
			fmt.Fprintf(out, "   yes: %s", short(is))
		} else {
			fmt.Fprintf(out, "   NO: it is %s", is)
		}
		return ok, nil
	}
	return true, nil
}

func short(words string) string {
	if len(words) > 60 {
		return words[:57] + "..."
	}
	return words
}

// fault puts a fault of the dish, or one of the line: 'line unplugged', 'line
// without readings', 'line hangs SECONDS', 'line spoilt PART-OF-BYTES', 'sending off'. After a name
// follow PARAMETER=VALUE.
func (w *World) fault(words []string) error {
	switch words[0] {
	case "line":
		return w.spoil(words[1:])
	case "sending":
		w.Dish.SetSending(last(words) != "off")
		return nil
	}
	f, _, err := plant.Named(words[0])
	if err != nil {
		return err
	}
	for _, setting := range words[1:] {
		name, text, _ := strings.Cut(setting, "=")
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) {
			return fmt.Errorf("%s: must be PARAMETER=FIGURE", setting)
		}
		if f, err = f.With(name, v); err != nil {
			return err
		}
	}
	return w.Dish.Put(f)
}

func (w *World) spoil(words []string) error {
	text := strings.Join(words, " ")
	amount, err := strconv.ParseFloat(last(append([]string{"0"}, words...)), 64)
	switch {
	case text == "unplugged":
		w.Line.Unplug()
		return nil
	case text == "without readings":
		w.noReadings = true
		return nil
	case strings.HasPrefix(text, "hangs ") && err == nil && amount >= 0 && amount <= 3600:
		w.Line.Hang(time.Duration(amount * float64(time.Second)))
		return nil
	case strings.HasPrefix(text, "spoilt ") && err == nil && amount >= 0 && amount <= 1:
		w.quality.SpoiltBytes = amount
		return w.Line.Spoil(w.quality)
	}
	return fmt.Errorf("line %s: must be unplugged, without readings, hangs SECONDS or spoilt PART", text)
}

func (w *World) mend(words []string) error {
	switch words[0] {
	case "line":
		w.Line.Plug()
		w.noReadings = false
		w.quality.SpoiltBytes = 0
		return w.Line.Spoil(w.quality)
	case "all":
		w.Line.Plug()
		w.noReadings = false
		return w.Dish.Mend("")
	}
	return w.Dish.Mend(words[0])
}

// lossy is a link that can lose the readings alone.
type lossy struct {
	*link.Memory
	noReadings *bool
}

// Exchange implements drive.Exchanger.
func (l lossy) Exchange(q drive.Request) drive.Reply {
	if *l.noReadings && (q.Ask == drive.AskReadings || q.Ask == drive.AskMoreReadings) {
		return drive.Reply{Err: errors.New("the readings are lost")}
	}
	return l.Memory.Exchange(q)
}
