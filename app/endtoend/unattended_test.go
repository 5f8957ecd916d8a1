//go:build planted

package endtoend

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"

	"beamhelm/app/desk"
	"beamhelm/app/settings"
)

// unattended is the program without its window: all else is as ever. Orders are lines that it is given.
type unattended struct {
	*process
	t      *testing.T
	hands  io.WriteCloser
	panics string // the folder in which files make it fail
	told   output // its standard output: the statuses that it was asked for
}

// openUnattended starts it with settings, after change has had its say.
func openUnattended(t *testing.T, home, file string, change func(*exec.Cmd)) *unattended {
	t.Helper()
	return openUnattendedAs(t, home, change, "-settings", file)
}

// openUnattendedAs is the same with other arguments.
func openUnattendedAs(t *testing.T, home string, change func(*exec.Cmd), arguments ...string) *unattended {
	t.Helper()
	u := &unattended{t: t, panics: t.TempDir()}
	u.process = startWith(t, home, func(c *exec.Cmd) {
		c.Env = append(c.Env, "BEAMHELM_WITHOUT_WINDOW=1", "BEAMHELM_PANICS="+u.panics)
		var err error
		if u.hands, err = c.StdinPipe(); err != nil {
			t.Fatal(err)
		}
		c.Stdout = &u.told
		if change != nil {
			change(c)
		}
	}, arguments...)
	return u
}

func (u *unattended) order(words string) {
	u.t.Helper()
	if _, err := fmt.Fprintln(u.hands, words); err != nil {
		u.t.Fatalf("%s: %v", words, err)
	}
}

// plant makes what bears the name fail.
func (u *unattended) plant(name string) {
	u.t.Helper()
	if err := os.WriteFile(filepath.Join(u.panics, name), nil, 0o600); err != nil {
		u.t.Fatal(err)
	}
}

// await waits until a file with that name shows that what was planted has come about.
func (u *unattended) await(name string) {
	u.t.Helper()
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(2 * time.Millisecond) {
		if _, err := os.Stat(filepath.Join(u.panics, name)); err == nil {
			return
		}
		if time.Now().After(end) {
			u.t.Fatalf("%s: not yet", name)
		}
	}
}

// slew gives the position, switches the drives on and slews at full drive. What
// comes too early for the link, or what a busy computer ends, is asked again.
func (u *unattended) slew(e *enclosure) {
	u.t.Helper()
	u.insist(e, "full drive", func(l truthLine) string {
		switch {
		case !l.power:
			return "release\npower"
		case !l.driven():
			return fmt.Sprintf("reference %.3f %.3f\nslew 390 45", l.axes[0], l.axes[1])
		}
		return ""
	}, func(l truthLine) bool { return math.Abs(l.applied[0]) > 0.9 })
}

// track makes the panel believe that the dish stands at the Moon, and tracks it until the beam is on it.
func (u *unattended) track(e *enclosure, s station) {
	u.t.Helper()
	u.insist(e, "drive power", func(truthLine) string { return "power" }, func(l truthLine) bool { return l.power })
	az, el := moonAt(u.t, s, time.Now())
	u.order(fmt.Sprintf("reference %.3f %.3f", az, el))
	asked := time.Time{}
	u.awaitStatus(30*time.Second, "the beginning of tracking", func(s status) bool {
		if s.Activity != desk.Tracking && time.Since(asked) > time.Second {
			asked = time.Now()
			u.order("track")
		}
		return s.Activity == desk.Tracking
	})
	u.awaitStatus(60*time.Second, "tracking", func(s status) bool {
		return s.Activity == desk.Tracking &&
			!s.Acquiring
	})
}

// status is what the program tells of itself on one line.
type status struct {
	Number    uint64
	Link      desk.LinkState
	Activity  desk.Activity
	Acquiring bool
	Locked    bool
	Cause     string
	Permit    bool    // it is requested
	Sky       int64   // seconds since 1970
	Period    float64 // what is left of it, seconds; 0 where none is kept
	EchoWhy   string  // why the own echo can't be measured now
	EchoRuns  bool    // it is being measured
	Echoes    int     // results of earlier measurements
	Alarms    []string
	Events    []string // the newest
}

// says reports that an alarm stands whose words hold these.
func (s status) says(words string) bool {
	return slices.ContainsFunc(s.Alarms, func(alarm string) bool { return strings.Contains(alarm, words) })
}

// running says that the program has not ended.
func (u *unattended) running() bool {
	select {
	case <-u.ended:
		return false
	default:
		return true
	}
}

// status asks the program for it.
func (u *unattended) status() status {
	u.t.Helper()
	s, told := u.tryStatus()
	if !told {
		u.t.Fatalf("it tells no status: %s", u.output.String())
	}
	return s
}

// tryStatus is the same of a program that may have ended.
func (u *unattended) tryStatus() (s status, told bool) {
	u.t.Helper()
	before := len(u.told.String())
	if _, err := fmt.Fprintln(u.hands, "tell"); err != nil {
		return s, false
	}
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		line, _, whole := strings.Cut(u.told.String()[before:], "\n")
		if whole {
			if err := json.Unmarshal([]byte(line), &s); err != nil {
				u.t.Fatalf("%s: %v", line, err)
			}
			return s, true
		}
		if !u.running() {
			break
		}
	}
	return s, false
}

// awaitStatus asks until the status is as wanted.
func (u *unattended) awaitStatus(within time.Duration, what string, wanted func(status) bool) status {
	u.t.Helper()
	for end := time.Now().Add(within); ; time.Sleep(20 * time.Millisecond) {
		s := u.status()
		if wanted(s) {
			return s
		}
		if time.Now().After(end) {
			u.t.Fatalf("no %s within %v: %+v", what, within, s)
		}
	}
}

// insist gives an order until it shows.
func (u *unattended) insist(e *enclosure, what string, order func(truthLine) string, done func(truthLine) bool) {
	u.t.Helper()
	asked := time.Time{}
	e.until(30*time.Second, what, func(l truthLine) bool {
		select {
		case <-u.ended:
			u.t.Fatalf("the program ended: %s", u.output.String())
		default:
		}
		if !done(l) && time.Since(asked) > time.Second {
			asked = time.Now()
			if words := order(l); words != "" {
				u.order(words)
			}
		}
		return done(l)
	})
}

// everything switches on whatever in the settings has a goroutine of its own.
// Nothing answers but the noise meter.
func everything(t *testing.T) func(*settings.Settings) {
	instrument := openInstrument(t)
	free, radio := freePort(t), openSilentPort(t)
	return func(s *settings.Settings) {
		s.Audio.Input = "no such input"
		s.Radio.Family, s.Radio.Port = settings.FramedRadio, radio
		s.Meter.Source, s.Meter.Port, s.Meter.Query, s.Meter.IntervalMS = settings.FromInstrument, instrument, "READ?",
			100
		s.Sound.Alarms, s.Sound.Player = true, "/bin/true"
		s.Camera.URL, s.Camera.IntervalS = "http://127.0.0.1:9/picture.jpg", 1
		s.Publish.MetricsPort, s.Publish.Broker = free, "mqtt://127.0.0.1:9"
		s.Clock.TimeSource = "127.0.0.1:9"
	}
}

// openSilentPort is a serial port at which nothing answers.
func openSilentPort(t *testing.T) string {
	t.Helper()
	near, far, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { near.Close(); far.Close() })
	return far.Name()
}

// openInstrument answers ten questions on each connection, then closes it.
func openInstrument(t *testing.T) string {
	return listen(t, func(connection net.Conn) {
		for range 10 {
			if _, err := connection.Read(make([]byte, 64)); err != nil {
				return
			}
			fmt.Fprintln(connection, "-50.0")
		}
	})
}
