package view

import (
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// A target lower than the structure before it is not said to be reached.
func TestTargetBehindAStructure(t *testing.T) {
	s := &desk.Status{At: time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC), Activity: desk.Tracking,
		Acquiring: true, Off: unit.AngleFromDeg(4.05), ArrivesIn: time.Minute,
		Power: desk.PowerOn, Scene: &desk.Scene{Structures: []desk.Structure{{Name: "mast",
			From: unit.AngleFromDeg(195), To: unit.AngleFromDeg(210), Min: unit.AngleFromDeg(24)}}}}
	s.Link.State, s.Link.Heard = desk.LinkGood, true
	live := func() Now {
		now := At(s, 1, 0)
		now.Live = true
		return now
	}
	s.Target.Name, s.Target.Az, s.Target.El = "200.0°, 20.0°", unit.AngleFromDeg(200), unit.AngleFromDeg(20)
	if got := Activity(live()).Under.Words; got != "kept above mast, 4.1° off" {
		t.Errorf("%q", got)
	}
	s.Target.El = unit.AngleFromDeg(30)
	if got := Activity(live()).Under.Words; got == "" || got == "kept above mast, 4.1° off" {
		t.Errorf("above it: %q", got)
	}
}
