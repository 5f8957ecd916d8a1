//go:build planted

package endtoend

import (
	"fmt"
	"io"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"beamhelm/app/settings"
)

// unattended is the program without its window: all else is as ever. Orders are lines that it is given.
type unattended struct {
	*process
	t      *testing.T
	hands  io.WriteCloser
	panics string // the folder in which files make it fail
}

// openUnattended starts it with settings, after change has had its say.
func openUnattended(t *testing.T, home, file string, change func(*exec.Cmd)) *unattended {
	t.Helper()
	u := &unattended{t: t, panics: t.TempDir()}
	u.process = startWith(t, home, func(c *exec.Cmd) {
		c.Env = append(c.Env, "BEAMHELM_WITHOUT_WINDOW=1", "BEAMHELM_PANICS="+u.panics)
		var err error
		if u.hands, err = c.StdinPipe(); err != nil {
			t.Fatal(err)
		}
		if change != nil {
			change(c)
		}
	}, "-settings", file)
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
// comes too early for the link is asked again.
func (u *unattended) slew(e *enclosure) {
	u.t.Helper()
	u.insist(e, "drive power", func(truthLine) string { return "power" }, func(l truthLine) bool { return l.power })
	u.insist(e, "a slew", func(l truthLine) string {
		return fmt.Sprintf("reference %.3f %.3f\nslew 390 45", l.axes[0], l.axes[1])
	}, truthLine.driven)
	e.until(20*time.Second, "full drive", func(l truthLine) bool { return math.Abs(l.applied[0]) > 0.9 })
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
			u.order(order(l))
		}
		return done(l)
	})
}

// everything switches on whatever in the settings has a goroutine of its own.
// Nothing answers but the noise meter.
func everything(t *testing.T) func(*settings.Settings) {
	instrument := openInstrument(t)
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer free.Close()
	return func(s *settings.Settings) {
		s.Meter.Source, s.Meter.Port, s.Meter.Query, s.Meter.IntervalMS = settings.FromInstrument, instrument, "READ?", 100
		s.Sound.Alarms, s.Sound.Player = true, "/bin/true"
		s.Camera.URL, s.Camera.IntervalS = "http://127.0.0.1:9/picture.jpg", 1
		s.Publish.MetricsPort, s.Publish.Broker = free.Addr().(*net.TCPAddr).Port, "mqtt://127.0.0.1:9"
		s.Clock.TimeSource = "127.0.0.1:9"
	}
}

// openInstrument answers ten questions on each connection, then closes it.
func openInstrument(t *testing.T) string {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	go func() {
		for {
			connection, err := listener.Accept()
			if err != nil {
				return
			}
			go func() {
				defer connection.Close()
				for range 10 {
					if _, err := connection.Read(make([]byte, 64)); err != nil {
						return
					}
					fmt.Fprintln(connection, "-50.0")
				}
			}()
		}
	}()
	return listener.Addr().String()
}
