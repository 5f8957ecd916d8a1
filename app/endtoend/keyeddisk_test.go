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
	told, had, room := fillsWhileKeyed(u, e, x, disk)
	for tries := 1; room == nil; tries++ {
		if tries == 4 {
			t.Fatal("four measurements ended by themselves")
		}
		told, had, room = fillsWhileKeyed(u, e, x, disk)
	}
	found := u.awaitStatus(30*time.Second, "a result", func(s status) bool { return !s.EchoRuns && s.Echoes > had })
	const unkept = "keep the own-echoes: "
	for end := time.Now().Add(10 * time.Second); !strings.Contains(u.output.String()[told:],
		unkept); <-time.After(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("nothing is told of the result that can't be kept: %s", u.output.String())
		}
	}
	<-time.After(5 * time.Second) // it is tried every 2 s
	said := u.output.String()[told:]
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
	next.awaitStatus(20*time.Second, "the result in the next session",
		func(s status) bool { return s.Echoes >= found.Echoes })
}

// fillsWhileKeyed begins a measurement, fills the disk in the middle of its first transmission, sees that this one and
// the next come as they would without, and stops it. It returns what makes room again, how much the program had said
// and how many results there were before. No room: a computer with other work has ended the measurement by a lost link,
// as it should, and there is room again.
func fillsWhileKeyed(u *unattended, e *enclosure, x *transmitter, disk string) (told, had int, room func()) {
	u.t.Helper()
	told, had = len(u.output.String()), u.status().Echoes
	rose := x.transmits(u)
	room = fillDisk(u.t, disk)
	var rises []time.Time
	for len(rises) < 2 {
		if rises = x.rises(rose.Add(-time.Millisecond)); len(rises) < 2 && !u.status().EchoRuns {
			room()
			u.awaitStatus(30*time.Second, "a measurement that can begin",
				func(s status) bool { return s.EchoWhy == "" })
			return 0, 0, nil
		}
		if time.Since(rose) > 20*time.Second {
			u.t.Fatalf("no second transmission: %+v", u.status())
		}
		<-time.After(20 * time.Millisecond)
	}
	fell := x.fallen(0, rose)
	if lasts := fell.Sub(rose); lasts < 2*time.Second || lasts > 3*time.Second+e.longestSilence(rose, fell) {
		u.t.Errorf("with a full disk the line was high for %v", lasts)
	}
	again := rises[1]
	if off := again.Sub(rose) - 6*time.Second; off.Abs() > 100*time.Millisecond+e.longestSilence(rose, again) {
		u.t.Errorf("the next cycle came %v off", off)
	}
	u.order("stop")
	x.fallen(2*time.Second, again)
	return told, had, room
}
