package alarm

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

var nan = math.NaN()

func TestReadingOverTime(t *testing.T) {
	supply := Limits{AlarmLow: 20, WarningLow: 22, WarningHigh: 29, AlarmHigh: 31, Hysteresis: 0.3,
		Hold: 2 * time.Second}
	onlyHigh := Limits{AlarmLow: nan, WarningLow: nan, WarningHigh: 8, AlarmHigh: nan}
	for _, c := range []struct {
		name   string
		limits Limits
		values []float64 // one a second
		grades string
	}{
		{"inside", supply, []float64{24, 24, 28.9}, "NNN"},
		{"a dip shorter than the hold", supply, []float64{24, 21.9, 24, 21.9, 24}, "NNNNN"},
		{"a dip that holds", supply, []float64{24, 21.9, 21.8, 21.9, 21.9}, "NNNWW"},
		{"back, but not by the hysteresis", supply, []float64{21, 21, 21, 22.1, 22.29, 22.31}, "NNWWWN"},
		{"from warning on to alarm", supply, []float64{21, 21, 21, 19, 19, 19}, "NNWWWA"},
		{"alarm falls to warning", supply, []float64{19, 19, 19, 20.1, 20.4, 25}, "NNAAWN"},
		{"worse while it waits counts from the first crossing", supply, []float64{21, 19, 19}, "NNA"},
		{"less bad while it waits starts anew", supply, []float64{19, 21, 21, 21}, "NNNW"},
		{"not read changes nothing", supply, []float64{21, 21, 21, nan, nan, 25}, "NNWWWN"},
		{"too high", supply, []float64{29.1, 29.1, 29.1, 31.5, 31.5, 31.5}, "NNWWWA"},
		{"only one limit, no hold", onlyHigh, []float64{-1e9, 8, 8.1, 1e9}, "NNWW"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var j Judged
			got := ""
			for i, v := range c.values {
				j = j.Next(c.limits, v, time.Unix(int64(i), 0))
				got += string("NnWA"[j.Grade])
			}
			if got != c.grades {
				t.Errorf("%v gave %s, want %s", c.values, got, c.grades)
			}
		})
	}
}

func TestCrossedNamesTheLimit(t *testing.T) {
	l := Limits{AlarmLow: 20, WarningLow: 22, WarningHigh: 29, AlarmHigh: 31, Hysteresis: 0.3}
	for _, c := range []struct {
		value float64
		grade Grade
		want  string
	}{
		{21.8, Warning, "22 true true"}, {22.2, Warning, "22 true true"}, {19, Alarm, "20 true true"},
		{30, Warning, "29 false true"}, {35, Alarm, "31 false true"}, {25, Normal, "0 false false"},
	} {
		limit, minimum, ok := l.Crossed(c.value, c.grade)
		if got := fmt.Sprint(limit, minimum, ok); got != c.want {
			t.Errorf("%v at grade %d: %s, want %s", c.value, c.grade, got, c.want)
		}
	}
}

// words writes a list as one line: number, key, s for seen, a minus for over.
func words(l List) string {
	var out []string
	for _, e := range l.Entries {
		w := fmt.Sprintf("%d%s", e.Number, e.Key)
		if e.Acknowledged {
			w += "s"
		}
		if !e.Stands {
			w += "-"
		}
		if !e.ShelvedUntil.IsZero() {
			w += "m"
		}
		out = append(out, w)
	}
	return strings.Join(out, " ")
}

func TestListThroughItsTransitions(t *testing.T) {
	now := time.Unix(0, 0)
	warn := Condition{Key: "w", Grade: Warning}
	bad := Condition{Key: "b", Grade: Alarm}
	var l List
	step := func(want string, fresh int, standing ...Condition) {
		t.Helper()
		var news []Entry
		l, news = l.Update(now, standing)
		if words(l) != want || len(news) != fresh {
			t.Fatalf("list %q with %d new, want %q with %d", words(l), len(news), want, fresh)
		}
	}
	step("1w", 1, warn)
	step("1w", 0, warn)
	step("2b 1w", 1, warn, bad)
	step("2b 1w-", 0, bad)      // cleared, not seen
	step("2b 1w", 0, bad, warn) // comes back under its own number
	l = l.See(2)
	step("2bs 1w", 0, bad, warn)
	step("1w", 0, warn) // seen and over: gone
	l = l.See(-1)
	worse := warn
	worse.Grade = Alarm
	step("1w", 0, worse) // worse: not seen any more
	step("1w-", 0)
	l = l.See(1)
	if words(l) != "" {
		t.Fatalf("still there: %s", words(l))
	}
	step("3w", 1, warn)
}

func TestMutedThroughItsTransitions(t *testing.T) {
	begin := time.Unix(0, 0)
	until := begin.Add(time.Hour)
	warn := Condition{Key: "w", Grade: Warning}
	worse := Condition{Key: "w", Grade: Alarm}
	none := []Condition(nil)
	for _, c := range []struct {
		name  string
		after time.Duration
		now   []Condition
		want  string
	}{
		{"stands on", time.Minute, []Condition{warn}, "1wsm"},
		{"cleared while muted it stays, or its return would be new", time.Minute, none, "1ws-m"},
		{"comes back while muted", 59 * time.Minute, []Condition{warn}, "1wsm"},
		{"worse ends it", time.Minute, []Condition{worse}, "1w"},
		{"time is up and it stands", time.Hour, []Condition{warn}, "1w"},
		{"time is up as it clears: not seen", time.Hour, none, "1w-"},
	} {
		l, _ := List{}.Update(begin, []Condition{warn})
		l, fresh := l.Shelve(1, until).Update(begin.Add(c.after), c.now)
		if words(l) != c.want || len(fresh) > 0 {
			t.Errorf("%s: %q with %d new, want %q", c.name, words(l), len(fresh), c.want)
		}
	}
	l, _ := List{}.Update(begin, []Condition{warn})
	l, _ = l.Shelve(1, until).Update(begin.Add(time.Minute), none)
	if l, _ = l.See(-1).Update(begin.Add(2*time.Minute), none); words(l) != "1ws-m" {
		t.Errorf("seen while muted and cleared: %q", words(l))
	}
	if l, _ = l.Update(until, none); words(l) != "" {
		t.Errorf("cleared long before the time is up: %q, want nothing", words(l))
	}
}

func TestManyChangesInASecondAreOneLine(t *testing.T) {
	now := time.Unix(0, 0)
	flutter, other := Condition{Key: "f", Grade: Warning}, Condition{Key: "o", Grade: Warning}
	var l List
	news := 0
	for i := range 200 {
		standing := []Condition{other}
		if i%2 == 0 {
			standing = append(standing, flutter)
		}
		var fresh []Entry
		l, fresh = l.Update(now.Add(time.Duration(i)*5*time.Millisecond), standing)
		news += len(fresh)
	}
	if words(l) != "1o 2f-" || news != 2 {
		t.Errorf("%q and %d new after 200 changes, want two lines that were new once", words(l), news)
	}
}
