//go:build window

package endtoend

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// From an empty home to tracking the Moon, by mouse and keyboard: practice
// first, the settings of a dish of one's own, the commissioning, the Moon.
func TestFromNothingToTheMoon(t *testing.T) {
	home := t.TempDir()
	s := underTheMoon(t)
	e := openEnclosure(t, home, "-settings", writeSettings(t, home, s)(""))
	if err := os.Remove(filepath.Join(home, "settings.toml")); err != nil {
		t.Fatal(err)
	}
	p := openPanel(t, home)
	p.setUp(e, s)
	p.commission(e)
	p.clickUntil("moon", "the Moon as the target", func(l layout) bool { return l.Controls["moon"].On })
	p.powerOn(e)
	p.click("track")
	e.until(4*time.Minute, "the beam on the Moon", func(l truthLine) bool {
		az, el := moonAt(t, s, time.Now())
		time.Sleep(200 * time.Millisecond)
		return apart(l.az, l.el, az, el) < 1 // the mount is not perfect, and nothing was peaked
	})
}

// setUp makes the settings of a dish of one's own out of those of practice.
func (p *panel) setUp(e *enclosure, s station) {
	p.t.Helper()
	p.click("view-menu-button")
	p.click("setup")
	p.fill("setup-station.name", "End to end")
	p.fill("setup-station.latitude_deg", "91")
	p.await(5*time.Second, "a wrong latitude marked", func(l layout) bool {
		return strings.Contains(l.Controls["setup-about-station.latitude_deg"].Words, "must be") &&
			!l.Controls["setup-save"].Enabled
	})
	p.fill("setup-station.latitude_deg", fmt.Sprint(s.lat))
	p.fill("setup-station.longitude_deg", fmt.Sprint(s.lon))
	p.fill("setup-station.height_m", "100")
	p.click("setup-chapter")
	p.click("setup-link-to-the-enclosure")
	p.fill("setup-link.port", e.link)
	p.click("setup-save")
	p.click("setup-save-now")
	p.await(30*time.Second, "the program again, with a good link of its own", func(l layout) bool {
		return goodLink(l) && strings.Contains(l.Controls["station"].Words, "End to end") && !visible("practice")(l)
	})
	p.window = strings.Fields(xdotool(p.t, "search", "--sync", "--onlyvisible", "--pid",
		strconv.Itoa(p.Process.Pid)))[0]
	xdotool(p.t, "windowactivate", "--sync", p.window)
}

// fill types over what stands in an entry.
func (p *panel) fill(name, words string) {
	p.t.Helper()
	// What is marked or no longer marked moves the rows below it: look where the entry is now.
	for tries := 0; p.look().Focused != name; tries++ {
		if tries == 4 {
			p.t.Fatalf("no focus on %s", name)
		}
		p.click(name)
		for range 20 {
			if time.Sleep(50 * time.Millisecond); p.look().Focused == name {
				break
			}
		}
	}
	xdotool(p.t, "key", "--window", p.window, "ctrl+a")
	xdotool(p.t, "type", "--window", p.window, "--delay", "15", "--", words)
}

// commission goes through every step.
func (p *panel) commission(e *enclosure) {
	p.t.Helper()
	p.click("view-menu-button")
	p.click("commissioning")
	p.clickUntil("commission-done", "the cautions", visible("commission-agree-0"))
	p.click("commission-done")
	p.await(5*time.Second, "a refusal", func(l layout) bool {
		return strings.Contains(
			l.Controls["commission-result"].Words, "not yet")
	})
	for i := range 7 {
		name := fmt.Sprintf("commission-agree-%d", i)
		if i == 1 { // with the keyboard
			p.tabTo(name)
			xdotool(p.t, "key", "--window", p.window, "space")
		} else {
			p.click(name)
		}
		p.await(5*time.Second, name+" confirmed", func(l layout) bool { return l.Controls[name].On })
	}
	p.done(1)
	p.await(time.Minute, "half a minute of good link", func(l layout) bool { return goodLink(l) })
	p.doneWithin(90*time.Second, 2)
	p.powerOn(e)
	time.Sleep(2 * time.Second) // until the panel shows it too
	e.put("stop-circuit-open", 2*time.Second)
	e.put("hand-panel az=0", 2*time.Second)
	p.doneWithin(20*time.Second, 3)
	p.powerOn(e)
	p.click("commission-drive-10") // the lowest, which is chosen first, moves nothing yet
	for _, axis := range []string{"az", "el"} {
		before := e.now().axes
		p.hold("commission-push-"+axis+"-1", 5*time.Second)
		if now := e.now().axes; now[0] <= before[0] && now[1] <= before[1] {
			p.t.Errorf("pushed %s: %v, before %v", axis, now, before)
		}
		p.click("commission-saw-" + axis)
	}
	p.doneWithin(20*time.Second, 4)
	for _, axis := range []string{"az", "el"} {
		for _, end := range []string{"1", "-1"} {
			e.put(axis+"-end-wire-broken end="+end, 2*time.Second)
		}
	}
	p.doneWithin(20*time.Second, 5)
	p.powerOn(e)
	p.measure(e)
	p.doneWithin(20*time.Second, 7)
	p.trust(e)
	p.doneWithin(20*time.Second, 8)
	for step := 8; step <= 9; step++ {
		p.click("commission-leave")
		p.fill("commission-why-entry", "the Sun is down")
		p.clickUntil("commission-leave-now", "the next step", func(l layout) bool {
			return strings.HasPrefix(l.Controls["commission-step"].Words, strconv.Itoa(step+1)+" ")
		})
	}
	p.writeReport()
}

// measure goes through the steps of counts and speeds.
func (p *panel) measure(e *enclosure) {
	p.t.Helper()
	p.click("commission-drive-50")
	for i, axis := range []string{"az", "el"} {
		p.click("commission-rotation-" + axis)
		from := e.now().axes[i]
		p.hold("commission-push-"+axis+"-1", 12*time.Second)
		p.fill("commission-rotation-"+axis+"-entry", fmt.Sprintf("%.2f", e.now().axes[i]-from))
		p.click("commission-rotation-end-" + axis)
	}
	p.doneWithin(20*time.Second, 6)
	for _, axis := range []string{"az", "el"} {
		for _, drive := range []string{"25", "100", "10"} {
			p.click("commission-drive-" + drive)
			p.hold("commission-push-"+axis+"-0", 7*time.Second)
		}
	}
}

// hold keeps a button pressed, and waits until the dish stands again.
func (p *panel) hold(name string, lasts time.Duration) {
	p.t.Helper()
	c := p.await(10*time.Second, name+" to be enabled",
		func(l layout) bool { return l.Controls[name].Enabled }).Controls[name]
	xdotool(p.t, "mousemove", "--window", p.window, strconv.Itoa(int(c.X+c.W/2)), strconv.Itoa(int(c.Y+c.H/2)),
		"mousedown", "1")
	time.Sleep(lasts)
	xdotool(p.t, "mouseup", "1")
	time.Sleep(5 * time.Second)
}

// done ends a step whose wishes are met, and waits for the step after it.
func (p *panel) done(next int) {
	p.t.Helper()
	p.doneWithin(5*time.Second, next)
}

func (p *panel) doneWithin(within time.Duration, next int) {
	p.t.Helper()
	deadline := time.Now().Add(within)
	for {
		p.click("commission-done")
		for range 20 {
			l := p.look()
			if strings.HasPrefix(l.Controls["commission-step"].Words, strconv.Itoa(next)+" ") {
				return
			}
			time.Sleep(50 * time.Millisecond)
		}
		if time.Now().After(deadline) {
			p.t.Fatalf("no step %d: %q", next, p.look().Controls["commission-result"].Words)
		}
	}
}

// put has something done at the dish for a while.
func (e *enclosure) put(what string, lasts time.Duration) {
	e.t.Helper()
	say := func(line string) {
		if _, err := io.WriteString(e.dish, line+"\n"); err != nil {
			e.t.Fatal(err)
		}
	}
	say(what)
	time.Sleep(lasts)
	say("clear " + strings.Fields(what)[0])
	time.Sleep(2 * time.Second)
}

// writeReport has the report written, as text and as a picture.
func (p *panel) writeReport() {
	p.t.Helper()
	folder := p.t.TempDir()
	for _, form := range []string{"text", "png"} {
		p.click("commission-report")
		p.fill("commission-report-path-entry", filepath.Join(folder, "report"))
		p.clickUntil("commission-"+form, "no sheet",
			func(l layout) bool { return !visible("commission-report-dialog")(l) })
	}
	text, err := os.ReadFile(filepath.Join(folder, "report.txt"))
	if err != nil || !strings.Contains(string(text), "the Sun is down") || strings.Count(string(text), ": done ") != 8 {
		p.t.Errorf("the report: %v\n%s", err, text)
	}
	if info, err := os.Stat(filepath.Join(folder, "report.png")); err != nil || info.Size() < 10000 {
		p.t.Errorf("the picture: %v", err)
	}
}
