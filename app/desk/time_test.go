package desk

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/watching"
)

// A time source that does not answer is a notice in one line, and ends with it.
func TestTimeSourceTrouble(t *testing.T) {
	b := newBench(t)
	step := func(trouble string) *Status {
		b.at, b.now = b.at.Add(time.Second), b.now+time.Second
		b.loop.Now = b.now
		out := Step(&b.c, &b.s, &Inputs{At: b.at, Now: b.now, Loop: &b.loop, NoiseDB: math.NaN(),
			Around: watching.Around{TimeTrouble: trouble}})
		return out.Status
	}
	find := func(s *Status) *Alarm {
		for i := range s.Alarms {
			if s.Alarms[i].Words.String() == "Time source ntp.invalid: no such host" {
				return &s.Alarms[i]
			}
		}
		return nil
	}
	if a := find(step("time source ntp.invalid: no such host")); a == nil || a.Grade != Notice || !a.Stands ||
		a.Next.Code == "" {
		t.Fatalf("alarm %+v", a)
	}
	if a := find(step("")); a != nil && a.Stands {
		t.Errorf("it stands on: %+v", a)
	}
}
