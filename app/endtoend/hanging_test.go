//go:build window && linux

package endtoend

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/faultydisk"
)

// TestEscStopsWhileADiskHangs: a file that is read or written somewhere that
// never answers leaves Esc and the window as they were, in a slew and while tracking.
func TestEscStopsWhileADiskHangs(t *testing.T) {
	disk := faultydisk.Mount(t)
	disk.Hang()
	s := underTheMoon(t)
	e, p := openBoth(t, t.TempDir(), s, nil)
	keys := openKeyboard(t)
	t.Run("the horizon read in a slew", func(t *testing.T) {
		p.horizon()
		p.enter("setup-horizon-entry", filepath.Join(disk.Folder, "horizon.csv"))
		p.slew(e)
		p.click("setup-horizon")
		p.goesOn("setup-result", "Reading")
		stopped(t, e, p, keys.press(t, "Escape"))
	})
	t.Run("a table written while tracking", func(t *testing.T) {
		p.powerOn(e)
		p.click("moon")
		p.click("track")
		// The slew before may have ended anywhere.
		p.await(3*time.Minute, "tracking", func(l layout) bool { return l.Controls["track"].Words == "Tracking" })
		p.click("pane-plan")
		p.click("plan-export")
		p.enter("plan-path-entry", filepath.Join(disk.Folder, "month.csv"))
		p.click("plan-csv")
		p.goesOn("plan-wrong", "Writing")
		stopped(t, e, p, keys.press(t, "Escape"))
		p.await(2*time.Second, "the sheet to close", func(l layout) bool { return !visible("plan-dialog")(l) })
	})
}

// enter types into an entry in place of what is there.
func (p *panel) enter(name, text string) {
	p.t.Helper()
	for range 3 { // a pane that was just built may miss the first
		p.click(name)
		for end := time.Now().Add(time.Second); time.Now().Before(end) && !focused(name)(p.look()); {
			time.Sleep(10 * time.Millisecond)
		}
	}
	p.await(2*time.Second, "focus on "+name, focused(name))
	xdotool(p.t, "key", "--window", p.window, "ctrl+a")
	xdotool(p.t, "type", "--window", p.window, "--delay", "10", text)
	p.await(5*time.Second, "what was typed", func(l layout) bool { return l.Controls[name].Words == text })
}

// goesOn waits until the window says that something is under way, and checks that it draws on meanwhile.
func (p *panel) goesOn(name, words string) {
	p.t.Helper()
	l := p.await(3*time.Second, words, func(l layout) bool { return strings.Contains(l.Controls[name].Words, words) })
	p.await(3*time.Second, "the window to go on", func(later layout) bool {
		return later.Frame > l.Frame+5 && strings.Contains(later.Controls[name].Words, words)
	})
}

// horizon opens the chapter of Set-up in which a horizon is imported.
func (p *panel) horizon() {
	p.click("view-menu-button")
	p.click("setup")
	p.click("setup-chapter")
	p.click("setup-horizon-and-structures")
}
