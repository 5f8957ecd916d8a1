//go:build planted

package endtoend

import (
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
)

// clockStep is a computer's clock that is set while the program runs.
type clockStep struct {
	name  string
	short bool
	by    time.Duration
}

// sinceThe1970s is how far before 1970 the clock is set that was never set: a second of 1969 is left.
func sinceThe1970s() time.Duration { return -time.Since(time.Unix(-1, 0)).Truncate(time.Second) }

func clockSteps() []clockStep {
	const day = 24 * time.Hour
	return []clockStep{
		{"an hour on", true, time.Hour},
		{"an hour back", true, -time.Hour},
		{"to before 1970", false, sinceThe1970s()},
		{"a century on", false, 100 * 365 * day},
		{"3 minutes back", false, -3 * time.Minute},
	}
}

func clockStepAttacks() attacks {
	all := attacks{
		short: "clock set", kind: "the computer's clock set while the program runs, by 3 minutes, an hour, a " +
			"century, to before 1970: tracking and slewing; to and fro ten times",
		holds: "tracking ends within 2 s, is told, and nothing moves until Track is pressed again; a slew to a place " +
			"goes on; Stop works; the records are whole",
	}
	for _, s := range clockSteps() {
		all.rows = append(all.rows, attack{name: s.name + ", tracking", short: s.short,
			try: func(t *testing.T) { s.track(t) }},
			attack{name: s.name + ", slewing", try: func(t *testing.T) { s.slew(t) }})
	}
	all.rows = append(all.rows, attack{name: "to and fro", try: clockToAndFro})
	return all
}

func (s clockStep) order() string { return fmt.Sprintf("clock %.0f", s.by.Seconds()) }

// track: what the clock alone changed moves nothing.
func (s clockStep) track(t *testing.T) {
	home := privateFolder(t)
	u, e, _ := openAttacked(t, home, tracking)
	before := u.status()
	at := time.Now()
	u.order(s.order())
	u.awaitStatus(10*time.Second, "a dish that holds and says why", func(now status) bool {
		return now.Activity == desk.Holding && now.says("clock stepped") && now.told("Track again")
	})
	if now := u.status(); math.Abs(float64(now.Sky-before.Sky)-s.by.Seconds()) > 30 || now.Locked || now.Period < 0 {
		t.Errorf("before %+v, after %+v", before, now)
	}
	e.stays(t, at, 6*time.Second, gently)
	e.stays(t, at.Add(2*time.Second), 4*time.Second, standing)
	u.order("track")
	u.awaitStatus(10*time.Second, "an answer to Track", func(now status) bool {
		return now.Activity == desk.Tracking || now.told("not up") || now.told("below") || now.told("rises")
	})
	u.stops(e)
	u.endsInOrder()
	u.recordsWhole(home)
	s.recorded(t, home)
}

// gently says that no axis is driven as in a slew.
func gently(l truthLine) bool { return math.Abs(l.demand[0]) < 0.5 && math.Abs(l.demand[1]) < 0.5 }

// told reports that one of the newest events holds these words.
func (s status) told(words string) bool {
	for _, event := range s.Events {
		if strings.Contains(event, words) {
			return true
		}
	}
	return false
}

// recorded: what was told is among the events of the records, under either time.
func (s clockStep) recorded(t *testing.T, home string) {
	t.Helper()
	list := exec.Command(binary, "records", "export", "-settings", home+"/settings.toml", "-from",
		"1960-01-01T00:00:00Z",
		"-to", "2200-01-01T00:00:00Z", "events")
	list.Env = start(t, home, "version").Env
	out, err := list.CombinedOutput()
	if err != nil || strings.Count(string(out), "clock was set by") != 1 {
		t.Errorf("%v: %s", err, out)
	}
}

// slew: a place of the axes depends on no time.
func (s clockStep) slew(t *testing.T) {
	home := privateFolder(t)
	u, e, _ := openAttacked(t, home, atFullSlew)
	at := time.Now()
	u.order(s.order())
	e.stays(t, at, 3*time.Second, func(l truthLine) bool { return l.driven() && l.power })
	u.awaitStatus(10*time.Second, "a word about the clock", func(now status) bool { return now.says("clock stepped") })
	u.stops(e)
	u.endsInOrder()
	u.recordsWhole(home)
}

// clockToAndFro: a clock that nobody can rely on, under a program that is told to track each time.
func clockToAndFro(t *testing.T) {
	home := privateFolder(t)
	u, e, _ := openAttacked(t, home, tracking)
	at := time.Now()
	for i := range 10 {
		u.order(fmt.Sprintf("clock %d", (1-2*(i%2))*7200))
		u.awaitStatus(10*time.Second, "a dish that holds",
			func(now status) bool { return now.Activity == desk.Holding })
	}
	e.stays(t, at, 4*time.Second, gently)
	u.awaitStatus(10*time.Second, "a good link", func(now status) bool {
		return now.Link == desk.LinkGood &&
			!now.Locked
	})
	u.order("track")
	u.awaitStatus(10*time.Second, "tracking", func(now status) bool { return now.Activity == desk.Tracking })
	u.stops(e)
	u.endsInOrder()
	u.recordsWhole(home)
}
