//go:build linux && planted

package endtoend

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/audio/soundserver"
)

// TestOwnEchoWithAFullDisk: a disk that fills up in a measurement of the own echo doesn't disturb it. That the result
// can't be kept is told once; with room again it is, and the next session has it.
func TestOwnEchoWithAFullDisk(t *testing.T) {
	home := privateFolder(t)
	disk := filepath.Join(home, "state")
	if !smallDisk(t, disk) {
		t.Fatal("this test takes the right to mount")
	}
	x := newTransmitter(t, soundserver.New(t), "")
	x.receive(nil)
	u, e := openKeyed(t, home, underTheMoon(t), x)
	begun := time.Now()
	u.order("echo")
	rose := x.keyed(20*time.Second, begun)
	room := fillDisk(t, disk)
	fell := x.fallen(5*time.Second, rose)
	if lasts := fell.Sub(rose); lasts < 2*time.Second || lasts > 3*time.Second+e.longestSilence(rose, fell) {
		t.Errorf("with a full disk the line was high for %v", lasts)
	}
	again := x.keyed(10*time.Second, fell)
	if off := again.Sub(rose) - 6*time.Second; off.Abs() > 100*time.Millisecond+e.longestSilence(rose, again) {
		t.Errorf("the next cycle came %v off", off)
	}
	u.order("stop")
	x.fallen(2*time.Second, again)
	u.awaitStatus(30*time.Second, "a result", func(s status) bool { return !s.EchoRuns && s.Echoes == 1 })
	const unkept = "keep the own-echoes: "
	for end := time.Now().Add(10 * time.Second); !strings.Contains(u.output.String(),
		unkept); <-time.After(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("nothing is told of the result that can't be kept: %s", u.output.String())
		}
	}
	<-time.After(5 * time.Second) // it is tried every 2 s
	said := u.output.String()
	if n := strings.Count(said, unkept); n != 1 || !strings.Contains(said, "no space left") {
		t.Errorf("told %d times: %s", n, said)
	}
	room()
	var kept []string
	for end := time.Now().Add(20 * time.Second); len(kept) == 0; <-time.After(time.Millisecond) {
		kept, _ = filepath.Glob(disk + "/beamhelm/other/*/own-echoes.json")
		if time.Now().After(end) {
			t.Fatal("the result isn't kept")
		}
	}
	u.awaitStatus(30*time.Second, "a good disk", func(s status) bool { return !s.says("ecord") })
	u.endsInOrder()
	next := openUnattended(t, home, filepath.Join(home, "settings.toml"), nil)
	next.awaitStatus(20*time.Second, "the result in the next session", func(s status) bool { return s.Echoes == 1 })
}
