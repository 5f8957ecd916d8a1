package journal

import (
	"math"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/message"
)

// Each result is recorded once, and those of an earlier session not again.
func TestResultsAreNewOnce(t *testing.T) {
	at := time.Date(2027, 4, 14, 20, 0, 0, 0, time.UTC)
	var r results
	s := &desk.Status{}
	s.Check.Last = &desk.CheckResult{At: at, Verdict: message.Text("No fault found")}
	if n := r.news(s); len(n) != 0 {
		t.Errorf("of the session before: %v", n)
	}
	s.Check.Last = &desk.CheckResult{At: at.Add(time.Hour), Verdict: message.Text("One thing wants looking at"),
		Lines: []desk.CheckLine{{What: "Elevation", Words: message.Text("3.4 A"), Grade: desk.Warning},
			{What: "Link", Words: message.Text("good")}}}
	s.Peak.Last = &desk.PeakResult{At: at, Target: "Sun", Band: "1296 MHz", Feed: "horn", SignalDB: math.NaN()}
	s.Receiving.Last = &desk.ReceiverResult{At: at, Target: "Sun", Why: message.Text("the level drifts")}
	s.Receiving.Dip.Last = &desk.DipResult{At: at, Band: "1296 MHz", Feed: "horn",
		Why: message.Text("point 3 is unusable")}
	s.Survey.At = at
	var said []string
	for _, n := range r.news(s) {
		said = append(said, string(n.Kind)+" "+n.Words)
	}
	want := "peak Sun, 1296 MHz horn: cross-elevation +0.000°, elevation +0.000°|receiver Sun,  : of no use, the " +
		"level drifts|sky dip sky dip, 1296 MHz horn, azimuth 0°: of no use, point 3 is unusable|survey a mount " +
		"model fitted to 0 peaks is in use|night One thing wants looking at; Elevation 3.4 A"
	if got := strings.Join(said, "|"); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if n := r.news(s); len(n) != 0 {
		t.Errorf("twice: %v", n)
	}
}
