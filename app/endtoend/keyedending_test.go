//go:build linux && planted

package endtoend

import (
	"fmt"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"beamhelm/app/audio/soundserver"
)

// keyedEnding is a way in which a transmission ends in its middle.
type keyedEnding struct {
	cause string
	short bool
	begin func(*unattended, *soundserver.Server, *transmitter)
	// within is how long after it the line has fallen.
	within time.Duration
	// reason is what the operator is told; empty of a program that is gone.
	reason string
}

// kills is how many programs are killed while they key, shortKills how many of them on every check.
const kills, shortKills = 20, 3

func keyedEndings() (rows []keyedEnding) {
	for i := range kills {
		rows = append(rows, keyedEnding{fmt.Sprintf("killed %d", i+1), i < shortKills,
			func(u *unattended, _ *soundserver.Server, _ *transmitter) { u.send(syscall.SIGKILL) },
			200 * time.Millisecond, ""})
	}
	return append(rows,
		keyedEnding{"the tone's output is unplugged", true,
			func(_ *unattended, s *soundserver.Server, x *transmitter) { s.Unplug(x.modules[0]) },
			2500 * time.Millisecond, "no sound"},
		keyedEnding{"the receiver's input is unplugged", false,
			func(_ *unattended, s *soundserver.Server, x *transmitter) { s.Unplug(x.modules[1]) },
			2500 * time.Millisecond, "no sound"},
		keyedEnding{"stopped from outside", false,
			func(u *unattended, _ *soundserver.Server, _ *transmitter) { u.order("stop") },
			300 * time.Millisecond, "Stop was pressed"},
		keyedEnding{"SIGSTOP", false,
			func(u *unattended, _ *soundserver.Server, _ *transmitter) { u.send(syscall.SIGSTOP) },
			500 * time.Millisecond, ""},
		keyedEnding{"SIGTERM", false,
			func(u *unattended, _ *soundserver.Server, _ *transmitter) { u.send(syscall.SIGTERM) },
			300 * time.Millisecond, ""},
		keyedEnding{"a panic in the desk", false,
			func(u *unattended, _ *soundserver.Server, _ *transmitter) { u.plant("desk") },
			500 * time.Millisecond, ""},
		keyedEnding{"the window hangs", false,
			func(u *unattended, _ *soundserver.Server, _ *transmitter) { u.plant("hang window") },
			2 * time.Second, ""},
	)
}

// TestEndingsWhileKeyed: whatever ends a transmission lowers the line of a port, seen from outside the program, in time
// and for good.
func TestEndingsWhileKeyed(t *testing.T) {
	server := soundserver.New(t)
	t.Run("rows", func(t *testing.T) {
		for i, row := range keyedEndings() {
			if !row.short && !everyAttack {
				continue
			}
			t.Run(row.cause, func(t *testing.T) {
				t.Parallel()
				row.try(t, server, fmt.Sprint(i))
			})
		}
	})
}

// openKeyed starts an enclosure and a program with a transmitter, and brings them to where a measurement can begin.
func openKeyed(t *testing.T, home string, s station, x *transmitter) (*unattended, *enclosure) {
	t.Helper()
	write := writeSettings(t, home, s, x.settings)
	e := openEnclosure(t, home, "-settings", write(""))
	x.connect(e)
	u := openUnattended(t, home, write(e.link), nil)
	u.track(e, s)
	u.awaitStatus(30*time.Second, "a measurement that can begin", func(s status) bool { return s.EchoWhy == "" })
	return u, e
}

// transmits begins a measurement, and comes back 0.8 s into its first transmission with the moment at which that began.
// One that a computer with other work ends before by a lost link, as it should, is begun once more.
func (x *transmitter) transmits(u *unattended) (rose time.Time) {
	x.t.Helper()
	for range 4 {
		begun := time.Now()
		u.order("echo")
		rose = time.Time{}
		asks := begun.Add(2 * time.Second)
		for runs := true; runs && time.Since(begun) < 30*time.Second; <-time.After(5 * time.Millisecond) {
			switch now := time.Now(); {
			case !x.port.Now().RTS:
				rose = time.Time{}
				if now.After(asks) {
					runs, asks = u.status().EchoRuns, now.Add(time.Second)
				}
			case rose.IsZero():
				rose = now
			case now.Sub(rose) > 800*time.Millisecond:
				return x.keyed(0, begun)
			}
		}
		u.awaitStatus(30*time.Second, "a measurement that can begin", func(s status) bool { return s.EchoWhy == "" })
	}
	x.t.Fatalf("four measurements ended by themselves: %+v", u.status())
	return rose
}

func (row keyedEnding) try(t *testing.T, server *soundserver.Server, name string) {
	x := newTransmitter(t, server, name)
	u, e := openKeyed(t, privateFolder(t), underTheMoon(t), x)
	x.transmits(u)
	at := time.Now()
	row.begin(u, server, x)
	fell := x.fallen(10*time.Second, at)
	took := fell.Sub(at)
	busy := e.longestSilence(at, fell)
	t.Logf("the line fell after %v; the computer kept others waiting for up to %v", took, busy)
	if took > row.within+busy {
		t.Errorf("the line fell after %v, at most %v", took, row.within)
	}
	if row.reason != "" {
		u.awaitStatus(5*time.Second, "a reason", func(s status) bool {
			return !s.EchoRuns && slices.ContainsFunc(s.Events, func(words string) bool {
				return strings.Contains(words, "Own echoes ended") && strings.Contains(words, row.reason)
			})
		})
	}
	x.staysLow(fell, time.Until(at.Add(7*time.Second))) // the next cycle would have begun
	if row.cause == "SIGSTOP" {
		u.send(syscall.SIGCONT)
	}
}
