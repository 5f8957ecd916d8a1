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
	supply := Limits{AlarmLow: 20, WarningLow: 22, WarningHigh: 29, AlarmHigh: 31, Hysteresis: 0.3, Hold: 2 * time.Second}
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
		limit, least, ok := l.Crossed(c.value, c.grade)
		if got := fmt.Sprint(limit, least, ok); got != c.want {
			t.Errorf("%v at grade %d: %s, want %s", c.value, c.grade, got, c.want)
		}
	}
}

// words writes a list as one line: number, key, s for seen, a minus for over.
func words(l List) string {
	var out []string
	for _, e := range l.Entries {
		w := fmt.Sprintf("%d%s", e.Number, e.Key)
		if e.Seen {
			w += "s"
		}
		if !e.Stands {
			w += "-"
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
