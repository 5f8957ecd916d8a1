package desk

import (
	"testing"
	"time"

	"beamhelm/app/message"
)

// That a replay has ended is told with its reason, and is nothing else: it starts nothing, and leaves what is under
// way.
func TestTheEndOfAReplayIsToldAndNothingElse(t *testing.T) {
	for by, code := range map[ReplayEnd]message.Code{ReplayByMotion: "replay.motion", ReplayByAlarm: "replay.alarm",
		ReplayByTrip: "replay.trip", ReplayByPass: "replay.pass", ReplayByCommand: "replay.command"} {
		b := newBench(t)
		b.after(time.Second)
		b.after(time.Second, Track{On: true})
		before := b.out.Status.Activity
		b.after(time.Second, ReplayEnded{By: by})
		if !b.said(code) || b.out.Status.Activity != before {
			t.Errorf("%s: told %v, %v after %v", code, b.said(code), b.out.Status.Activity, before)
		}
	}
	o := ReplayEnded{}
	if by := interventionOf(o); starts(o) || NeedsLive(o) || slewsUnsaid(o) || by.Series || by.Check || by.Survey ||
		by.Moves || by.Directs || by.Why.Code != "" {
		t.Error("it is more than told")
	}
}
