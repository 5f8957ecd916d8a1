//go:build planted

package endtoend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
)

// swallow lets nothing through.
func swallow([]byte) [][]byte { return nil }

// badCable is a cable that does harm.
type badCable struct {
	name           string
	short          bool
	request, reply tampering
	// ends: the dish is without drive and power within a time; otherwise it may go on.
	ends time.Duration
}

func badCables() []badCable {
	chance := rand.New(rand.NewPCG(1, 2)) // used by one direction of one cable at a time
	spoil := func(share float64) tampering {
		return func(p []byte) [][]byte {
			p = append([]byte(nil), p...)
			for i := range p {
				if chance.Float64() < share {
					p[i] ^= 1 << chance.IntN(8)
				}
			}
			return [][]byte{p}
		}
	}
	var last []byte
	return []badCable{
		{"replies lost", true, nil, swallow, 2600 * time.Millisecond},
		{"requests lost", true, swallow, nil, stoppedByWatchdog},
		{"1 % of the bytes of replies spoilt", true, nil, spoil(0.01), 0},
		{"1 % of the bytes of requests spoilt", false, spoil(0.01), nil, 0},
		{"replies twice", false, nil, func(p []byte) [][]byte { return [][]byte{p, p} }, 0},
		{"requests twice", false, func(p []byte) [][]byte { return [][]byte{p, p} }, nil, 0},
		{"replies of the time before", false, nil, func(p []byte) [][]byte {
			before := last
			last = append([]byte(nil), p...)
			return [][]byte{before}
		}, 0},
		{"replies of another unit", false, nil, func(p []byte) [][]byte {
			return [][]byte{append([]byte{p[0] + 1}, p[1:]...)}
		}, 2600 * time.Millisecond},
		{"replies by halves", false, nil, func(p []byte) [][]byte { return [][]byte{p[:len(p)/2]} },
			2600 * time.Millisecond},
		{"noise beside replies", false, nil, func(p []byte) [][]byte {
			return [][]byte{{byte(chance.Uint32()), byte(chance.Uint32())}, p, {0, 0xFF}}
		}, 0},
	}
}

func cableAttacks() attacks {
	all := attacks{
		short: "cable", kind: "a half-dead cable in a slew: one direction lost, 1 % of the bytes spoilt, replies " +
			"late, doubled, halved, of another unit, the port gone and back",
		holds: "nothing demanded but what was ordered; without replies no drive within 2.6 s, without requests by " +
			"the watchdog; what it stopped stays stopped; good again afterwards",
	}
	for _, cable := range badCables() {
		all.rows = append(all.rows, attack{name: cable.name, short: cable.short, try: cable.try})
	}
	all.rows = append(all.rows, attack{name: "replies late", try: func(t *testing.T) {
		u, e, line := openAttacked(t, privateFolder(t), atFullSlew)
		late := func(p []byte) [][]byte {
			time.Sleep(400 * time.Millisecond) // as long as the line holds it
			return [][]byte{p}
		}
		badCable{name: "late", reply: late}.on(t, u, e, line)
	}}, attack{name: "the port gone and back", short: true, try: replugged})
	return all
}

func (c badCable) try(t *testing.T) {
	u, e, line := openAttacked(t, privateFolder(t), atFullSlew)
	c.on(t, u, e, line)
}

// on spoils a line in a slew towards greater azimuth, and mends it after a while.
func (c badCable) on(t *testing.T, u *unattended, e *enclosure, line *relay) {
	at := time.Now()
	line.tamper(c.request, c.reply)
	if c.ends > 0 {
		took := e.lasting(at, 20*time.Second, "the end of motion", unpowered)
		if busy := e.longestSilence(at, time.Now()); took > c.ends+busy {
			t.Errorf("drive or power for %v", took)
		}
	}
	e.stays(t, at, 4*time.Second, ordered)
	line.tamper(nil, nil)
	mended := time.Now()
	u.awaitStatus(20*time.Second, "a good link", func(s status) bool { return s.Link == desk.LinkGood })
	if c.ends > 0 {
		e.stays(t, mended, 3*time.Second, unpowered)
	} else {
		u.stops(e)
		e.stays(t, time.Now(), time.Second, standing)
	}
	u.endsInOrder()
}

// ordered says that nothing is demanded beside what was: azimuth up, elevation towards 45 degrees from wherever the
// Moon of the moment has the simulated dish begin.
func ordered(l truthLine) bool {
	off := 45 - l.axes[1]
	return l.demand[0] >= -0.05 && (math.Abs(off) < 3 || l.demand[1]*off >= -0.05*math.Abs(off))
}

// replugged: a serial adapter is pulled in a slew and comes back under its name.
func replugged(t *testing.T) {
	home := privateFolder(t)
	s := station{30, 0}
	write := writeSettings(t, home, s)
	e := openEnclosure(t, home, "-settings", write(""))
	first := openRelay(t, e.link, 0)
	name := filepath.Join(home, "ttyDish")
	if err := os.Symlink(first.port, name); err != nil {
		t.Fatal(err)
	}
	u := openUnattended(t, home, write(name), nil)
	u.slew(e)
	at := time.Now()
	first.unplug()
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	took := e.lasting(at, 20*time.Second, "the end of motion", unpowered)
	if busy := e.longestSilence(at, time.Now()); took > stoppedByWatchdog+busy {
		t.Errorf("drive or power for %v", took)
	}
	first.end()
	u.awaitStatus(20*time.Second, "a lost link", func(s status) bool { return s.Link != desk.LinkGood })
	second := openRelay(t, e.link, 0)
	if err := os.Symlink(second.port, name); err != nil {
		t.Fatal(err)
	}
	again := time.Now()
	u.awaitStatus(30*time.Second, "a good link", func(s status) bool { return s.Link == desk.LinkGood })
	e.stays(t, again, 3*time.Second, unpowered)
	u.endsInOrder()
}

// instanceAttacks are other panels of the same dish, alive and dead.
func instanceAttacks() attacks {
	return attacks{
		short: "instances", kind: "a second panel by the same port, by a link to it, five at once; locks left by a " +
			"killed one, folders in their place",
		holds: "one panel alone has the dish, the others end with status 1 and one line that says why; the dish " +
			"moves on undisturbed; what a dead one left does not block a new start",
		rows: []attack{
			{name: "second", short: true, tries: 2, try: secondPanel},
			{name: "five at once", tries: 5, try: fiveAtOnce},
			{name: "left locks", try: leftLocks},
			{name: "folders for locks", try: foldersForLocks},
		},
	}
}

const refusal = "another panel of this dish is running"

func secondPanel(t *testing.T) {
	home := privateFolder(t)
	u, e, line := openAttacked(t, home, atFullSlew)
	at := time.Now()
	// The same dish by another file of settings, and another name of the port.
	other := filepath.Join(home, "other")
	if err := os.Mkdir(other, 0o700); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(home, "link")
	if err := os.Symlink(line.port, link); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{filepath.Join(home, "settings.toml"), writeSettings(t, other, station{30, 0})(link)} {
		second := openUnattended(t, home, file, nil)
		if status := second.code(t, 20*time.Second); status != 1 ||
			!strings.Contains(second.output.String(), fmt.Sprintf("%s: process %d", refusal, u.Process.Pid)) ||
			strings.Count(second.output.String(), "\n") != 1 {
			t.Errorf("%s: status %d: %s", file, status, second.output.String())
		}
	}
	e.stays(t, at, time.Second, func(l truthLine) bool { return l.driven() && l.power })
	u.endsInOrder()
}

func fiveAtOnce(t *testing.T) {
	home := privateFolder(t)
	write := writeSettings(t, home, station{30, 0})
	e := openEnclosure(t, home, "-settings", write(""))
	file := write(e.link)
	ended := make(chan *unattended, 5)
	var all []*unattended
	for range 5 {
		u := openUnattended(t, home, file, nil)
		all = append(all, u)
		go func() { <-u.ended; ended <- u }()
	}
	for range 4 {
		select {
		case u := <-ended:
			if !strings.Contains(u.output.String(), refusal) || u.ProcessState.ExitCode() != 1 {
				t.Errorf("%v: %s", u.ProcessState, u.output.String())
			}
		case <-time.After(30 * time.Second):
			t.Fatal("more than one panel has the dish")
		}
	}
	for _, u := range all {
		select {
		case <-u.ended:
		default:
			atRest.bring(u, e, station{})
			u.endsInOrder()
			return
		}
	}
	t.Error("none has the dish")
}

func leftLocks(t *testing.T) {
	home := privateFolder(t)
	u, e, line := openAttacked(t, home, atRest)
	if err := u.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-u.ended
	again := openUnattended(t, home, writeSettings(t, home, station{30, 0})(line.port), nil)
	atRest.bring(again, e, station{})
	again.endsInOrder()
}

func foldersForLocks(t *testing.T) {
	home := privateFolder(t)
	store := storeOf(t, home, filepath.Join(home, "settings.toml"))
	if err := os.MkdirAll(filepath.Join(store, "panel.lock"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(home, "state/beamhelm/ports"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	u, _, _ := openAttacked(t, home, atRest)
	if !strings.Contains(u.output.String(), "keep a second panel of this dish out") {
		t.Errorf("it told %s", u.output.String())
	}
	u.endsInOrder()
}
