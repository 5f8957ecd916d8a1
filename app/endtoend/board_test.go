//go:build window

package endtoend

import (
	"strings"
	"testing"
	"time"

	"beamhelm/drive/firmware/rig"
)

// TestFirmwareIsWrittenFromTheWindow: Set-up writes the firmware to a board, at
// the second press, never with drive power on; the port of its own link is given
// up for it and taken back.
func TestFirmwareIsWrittenFromTheWindow(t *testing.T) {
	e, p := openBoth(t, t.TempDir(), station{30, 0}, nil)
	told := func(part string) func(layout) bool {
		return func(l layout) bool { return strings.Contains(l.Controls["firmware-result"].Words, part) }
	}
	// A fast computer writes the whole board between two frames: a page in the middle waits until the window has
	// shown how far it is.
	shown := make(chan struct{})
	loader := &rig.Loader{At: func(page int) {
		if page == 30 {
			select {
			case <-shown:
			case <-t.Context().Done():
			}
		}
	}}
	port := loader.Open(t)
	p.click("view-menu-button")
	p.click("setup")
	p.click("setup-chapter")
	p.click("setup-link-to-the-enclosure")
	p.click("setup-firmware")
	p.fill("firmware-port", port)

	p.clickUntil("firmware-write", "a question", told("Press again to write"))
	if loader.Pages > 0 {
		t.Error("written at the first press")
	}
	p.await(5*time.Second, "the second press to count", func(l layout) bool {
		return l.Controls["firmware-write"].Words == "Write now, motors isolated"
	})
	begun := time.Now()
	p.clickUntil("firmware-write", "how far it is", told(" %"))
	close(shown)
	p.await(time.Minute, "the board's firmware", told("The board holds this image: revision 1.0"))
	t.Logf("%d pages in %v", loader.Pages, time.Since(begun).Round(time.Millisecond))
	if !strings.Contains(string(loader.Flash), "STATION\x00") || loader.Pages < 50 {
		t.Errorf("%d pages came", loader.Pages)
	}

	// Its own port: no boot loader is there, and the link comes back.
	p.fill("firmware-port", e.link)
	p.clickUntil("firmware-verify", "the link to stand back", func(l layout) bool { return !goodLink(l) })
	p.await(40*time.Second, "why it failed", told("▲"))
	p.await(10*time.Second, "a good link", goodLink)
	p.clickUntil("firmware-close", "no sheet", func(l layout) bool { return !visible("firmware-dialog")(l) })

	p.powerOn(e)
	p.click("setup-firmware")
	p.await(5*time.Second, "what is against it", told("Drive power is on"))
	for _, name := range []string{"firmware-write", "firmware-verify"} {
		if p.control(name).Enabled {
			t.Errorf("%s with drive power on", name)
		}
	}
}
