//go:build window

package endtoend

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// layout is what the program says of its window: which controls are visible,
// where, with which words.
type layout struct {
	Frame   int
	Focused string
	// Goroutines is how many the program has.
	Goroutines int
	Controls   map[string]control
}

// control is a visible control; its rectangle is in window pixels.
type control struct {
	X, Y, W, H  float64
	Words       string
	On, Enabled bool
}

// panel is the program with its window.
type panel struct {
	*process
	t      *testing.T
	file   string // the layout
	window string // the window's number for xdotool
}

// openPanel starts the program with these arguments and waits for its window.
func openPanel(t *testing.T, home string, arguments ...string) *panel {
	t.Helper()
	p := &panel{t: t, file: filepath.Join(t.TempDir(), "layout.json")}
	p.process = start(t, home, append([]string{"-layout", p.file}, arguments...)...)
	t.Cleanup(func() {
		if t.Failed() {
			p.picture()
		}
	})
	p.await(30*time.Second, "its first frame", func(l layout) bool { return len(l.Controls) > 0 })
	p.window = strings.Fields(xdotool(t, "search", "--sync", "--onlyvisible", "--pid", strconv.Itoa(p.Process.Pid)))[0]
	xdotool(t, "windowactivate", "--sync", p.window)
	return p
}

// picture keeps the screen as it is, for someone to look at.
func (p *panel) picture() {
	folder := os.Getenv("BEAMHELM_PICTURES")
	if folder == "" {
		folder = os.TempDir()
	}
	name := filepath.Join(folder, "beamhelm-"+strings.NewReplacer("/", "-", " ", "-").Replace(p.t.Name())+".png")
	if out, err := exec.Command("import", "-window", "root", name).CombinedOutput(); err != nil {
		p.t.Logf("keeping a picture of the screen: %v %s", err, out)
		return
	}
	p.t.Logf("the screen as it was: %s", name)
}

// look reads the newest layout; empty while there is none.
func (p *panel) look() layout {
	var l layout
	text, err := os.ReadFile(p.file)
	if errors.Is(err, os.ErrNotExist) {
		return l
	}
	if err == nil {
		err = json.Unmarshal(text, &l)
	}
	if err != nil {
		p.t.Fatalf("reading the layout: %v", err)
	}
	return l
}

// await polls the layout until it is as wanted.
func (p *panel) await(within time.Duration, what string, wanted func(layout) bool) layout {
	p.t.Helper()
	deadline := time.Now().Add(within)
	for {
		l := p.look()
		if wanted(l) {
			return l
		}
		select {
		case <-p.ended:
			p.t.Fatalf("the program ended (%v) while waiting for %s", p.err, what)
		default:
		}
		if time.Now().After(deadline) {
			shown, _ := json.Marshal(l)
			p.t.Fatalf("no %s within %v; the window shows %s", what, within, shown)
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// control waits until a control is visible, and laid out, and returns it.
func (p *panel) control(name string) control {
	p.t.Helper()
	return p.await(5*time.Second, name+" to be visible", func(l layout) bool {
		c, visible := l.Controls[name]
		return visible && (c.X != 0 || c.Y != 0)
	}).Controls[name]
}

// click presses the middle of a control.
func (p *panel) click(name string) {
	p.t.Helper()
	p.clickAt(name, 0.5, 0.5)
}

// clickAt presses a control at a share of its width and height from its top left.
func (p *panel) clickAt(name string, x, y float64) {
	p.t.Helper()
	c := p.control(name)
	// From beside it: xdotool waits in vain for a pointer that is there already.
	across, down := strconv.Itoa(int(c.X+x*c.W)), strconv.Itoa(int(c.Y+y*c.H))
	xdotool(p.t, "mousemove", "--window", p.window, strconv.Itoa(int(c.X+x*c.W)-2), down,
		"mousemove", "--window", p.window, "--sync", across, down, "click", "1")
}

// clickUntil clicks a control and waits for what it should bring.
func (p *panel) clickUntil(name, what string, wanted func(layout) bool) {
	p.t.Helper()
	p.click(name)
	p.await(10*time.Second, what+" after a click on "+name, wanted)
}

// tabTo moves the focus with the Tab key until the control has it.
func (p *panel) tabTo(name string) {
	p.t.Helper()
	var seen []string
	for range 80 {
		before := p.look().Focused
		if before == name {
			return
		}
		xdotool(p.t, "key", "--window", p.window, "Tab")
		deadline := time.Now().Add(2 * time.Second)
		for p.look().Focused == before && time.Now().Before(deadline) {
			time.Sleep(5 * time.Millisecond)
		}
		seen = append(seen, p.look().Focused)
	}
	p.t.Fatalf("Tab never reaches %s; it went over %q", name, seen)
}

// xdotool runs one command of that program and returns what it printed.
func xdotool(t *testing.T, arguments ...string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, "xdotool", arguments...).CombinedOutput()
	if err != nil {
		t.Fatalf("xdotool %s: %v: %s", strings.Join(arguments, " "), err, out)
	}
	return string(out)
}
