//go:build window

package endtoend

import (
	"fmt"
	"maps"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"go.bug.st/serial"
)

// TestKilledAtFullSlew: the panel is killed without warning; the enclosure's
// watchdog ends the motion, and the port is free again at once.
func TestKilledAtFullSlew(t *testing.T) {
	home := t.TempDir()
	e, p := openBoth(t, home, station{30, 0}, nil)
	p.slew(e)
	if err := p.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	killed := time.Now()
	<-p.ended
	// The watchdog's period is 1000 ms unless the panel set another, never above 2000.
	still := e.until(3*time.Second, "rest after the watchdog", func(l truthLine) bool {
		return l.applied == [2]float64{} && !l.power
	})
	took := still.arrived.Sub(killed)
	t.Logf("applied drive was zero %d ms after the kill", took.Milliseconds())
	if took > 2200*time.Millisecond {
		t.Errorf("the enclosure applied drive for %v after the kill", took)
	}
	port, err := serial.Open(e.link, &serial.Mode{BaudRate: 19200})
	if err != nil {
		t.Fatalf("opening the port after the kill: %v", err)
	}
	port.Close()

	again := openPanel(t, home, "-settings", home+"/settings.toml")
	again.await(10*time.Second, "a good link after the kill", goodLink)
	// What the dish did after the last note, nobody has judged.
	again.await(5*time.Second, "a lock-out", func(l layout) bool { return l.Controls["release"].Words == "Release" })
	const unended = "The last session did not end in order"
	// What a computer brings that has no time for the test, and the kill does not.
	busy := []string{"Control loop late: CPU overloaded", "No reply from the enclosure"}
	got := slices.DeleteFunc(again.alarms(), func(words string) bool { return slices.Contains(busy, words) })
	if !slices.Equal(got, []string{unended}) {
		t.Errorf("it warns of %q, want %q alone", got, unended)
	}
}

// TestTwoPanelsDoNotShareADish: a second start for the same dish is refused, in words.
func TestTwoPanelsDoNotShareADish(t *testing.T) {
	home := t.TempDir()
	e, p := openBoth(t, home, station{30, 0}, nil)
	p.slew(e)
	before := time.Now()
	second := start(t, home, "-settings", home+"/settings.toml")
	if status := second.code(t, 10*time.Second); status != 1 ||
		!strings.Contains(second.output.String(), "another panel of this dish is running") {
		t.Errorf("the second ended with %d: %s", status, second.output.String())
	}
	// The first goes on undisturbed.
	time.Sleep(time.Second)
	for _, l := range e.since(before) {
		if !l.driven() || !l.power {
			t.Fatal("the second start disturbed the first")
		}
	}
}

// TestARefusalIsSeen: started from a desktop, where nobody reads what is printed, a second panel says in a window
// whose the dish is, and the keyboard closes it.
func TestARefusalIsSeen(t *testing.T) {
	home := t.TempDir()
	_, p := openBoth(t, home, station{30, 0}, nil)
	nothing, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer nothing.Close()
	second := startWith(t, home, func(c *exec.Cmd) { c.Stdout, c.Stderr = nothing, nothing }, "-settings",
		home+"/settings.toml")
	window := strings.Fields(xdotool(t, "search", "--sync", "--onlyvisible", "--pid",
		strconv.Itoa(second.Process.Pid)))[0]
	if name := xdotool(t, "getwindowname", window); !strings.Contains(name, "does not start") {
		t.Errorf("its window is called %q", name)
	}
	xdotool(t, "windowactivate", "--sync", window)
	// On a busy computer the first press may come before the window takes keys: it is pressed again, as one would.
	for pressed, ended := 0, false; !ended; pressed++ {
		if pressed == 10 {
			t.Fatal("ten presses of Escape do not close it")
		}
		xdotool(t, "key", "Escape")
		select {
		case <-second.ended:
			ended = true
		case <-time.After(2 * time.Second):
		}
	}
	if status := second.code(t, time.Second); status != 1 {
		t.Errorf("it ended with %d", status)
	}
	p.await(5*time.Second, "the first as it was", goodLink)
}

// TestClosingEndsMotion: an ended program leaves no drive and no power.
func TestClosingEndsMotion(t *testing.T) {
	home := t.TempDir()
	e, p := openBoth(t, home, station{30, 0}, nil)
	p.slew(e)
	asked := time.Now()
	if err := p.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	e.until(time.Second, "no demand and no power", func(l truthLine) bool {
		return l.arrived.After(asked) && !l.driven() && !l.power
	})
	if status := p.code(t, 10*time.Second); status != 0 {
		t.Errorf("interrupted, the program ended with %d", status)
	}
}

// alarms opens the list of alarms and warnings, and gives the words of each, by its number.
func (p *panel) alarms() []string {
	p.t.Helper()
	p.clickUntil("worst-alarm", "the list", visible("alarms-dialog"))
	of := map[int]string{}
	for name, c := range p.look().Controls {
		var number int
		if n, _ := fmt.Sscanf(name, "alarm-words-%d", &number); n == 1 {
			of[number] = c.Words
		}
	}
	var all []string
	for _, number := range slices.Sorted(maps.Keys(of)) {
		all = append(all, of[number])
	}
	return all
}
