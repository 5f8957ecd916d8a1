//go:build window

package endtoend

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// use is what the program uses at a moment.
type use struct {
	memoryMiB                        float64
	descriptors, threads, goroutines int
}

func (p *panel) use() use {
	p.t.Helper()
	var u use
	process := fmt.Sprintf("/proc/%d", p.Process.Pid)
	text, err := os.ReadFile(process + "/status")
	if err != nil {
		p.t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		name, value, _ := strings.Cut(line, ":")
		figure, _ := strconv.ParseFloat(strings.Fields(value + " 0")[0], 64)
		switch name {
		case "VmRSS":
			u.memoryMiB = figure / 1024
		case "Threads":
			u.threads = int(figure)
		}
	}
	all, err := os.ReadDir(process + "/fd")
	if err != nil {
		p.t.Fatal(err)
	}
	u.descriptors, u.goroutines = len(all), p.look().Goroutines
	return u
}

// median of a figure over some uses.
func median[T int | float64](all []use, of func(use) T) T {
	values := make([]T, len(all))
	for i, u := range all {
		values[i] = of(u)
	}
	slices.Sort(values)
	return values[len(values)/2]
}

// onTheMoon is how near it the beam is, degrees: the axes move when they are off
// by 0.065 beamwidths, each: 0.18 degree here.
const onTheMoon = 0.27

// TestSoak tracks the Moon while every pane is looked at again and again:
// memory, descriptors, threads and goroutines stay level, and the beam is on the
// Moon at each look.
func TestSoak(t *testing.T) {
	s := underTheMoon(t)
	e, p := openBoth(t, t.TempDir(), s, nil)
	p.powerOn(e)
	p.click("moon")
	p.click("track")
	e.until(60*time.Second, "beam on the Moon", func(l truthLine) bool {
		az, el := moonAt(t, s, l.arrived)
		return apart(l.az, l.el, az, el) < 0.15
	})
	panes := []string{"health", "noise", "survey", "echo", "plan", "records"}
	for _, pane := range panes { // what is made once is made now
		p.click("pane-" + pane)
		time.Sleep(2 * time.Second)
	}
	begun := time.Now()
	var uses []use
	for i := 0; time.Since(begun) < soakLasts; i++ {
		p.click("pane-" + panes[i%len(panes)])
		time.Sleep(soakLasts / 48)
		uses = append(uses, p.use())
		l := e.now()
		if az, el := moonAt(t, s, l.arrived); apart(l.az, l.el, az, el) > onTheMoon {
			t.Fatalf("after %v the beam is %.3f degrees off the Moon", time.Since(begun), apart(l.az, l.el, az, el))
		}
	}
	fourth := len(uses) / 4
	first, last := uses[:fourth], uses[len(uses)-fourth:]
	t.Logf("%v, %d looks; at first and at last: memory %.0f and %.0f MiB, descriptors %d and %d, threads %d and %d, "+
		"goroutines %d and %d", soakLasts, len(uses),
		median(first, func(u use) float64 { return u.memoryMiB }),
		median(last, func(u use) float64 { return u.memoryMiB }),
		median(first, func(u use) int { return u.descriptors }), median(last, func(u use) int { return u.descriptors }),
		median(first, func(u use) int { return u.threads }), median(last, func(u use) int { return u.threads }),
		median(first, func(u use) int { return u.goroutines }), median(last, func(u use) int { return u.goroutines }))
	if a, b := median(first, func(u use) float64 { return u.memoryMiB }),
		median(last, func(u use) float64 { return u.memoryMiB }); b > 1.15*a+10 {
		t.Errorf("memory grew from %.0f to %.0f MiB", a, b)
	}
	for name, of := range map[string]func(use) int{
		"descriptors": func(u use) int { return u.descriptors },
		"threads":     func(u use) int { return u.threads },
		"goroutines":  func(u use) int { return u.goroutines },
	} {
		if a, b := median(first, of), median(last, of); b > a+3 {
			t.Errorf("%s grew from %d to %d", name, a, b)
		}
	}
}
