package drive

import (
	"testing"
	"time"

	"beamhelm/drive/step"
)

// An enclosure that can't be driven is asked again who it is: once its firmware is put right, the link is good and the
// lock-out can be ended.
func TestStrangerIsAskedAgain(t *testing.T) {
	v := newVirtual(t)
	v.powerOn(t)
	v.line.box.WrongMap = true
	v.line.box.Restart()
	v.run(5 * time.Second)
	if s := v.Status(); s.Link.State != step.LinkRefused || !s.Lock.Locked || s.Lock.Releasable {
		t.Fatalf("another map: link %v, lock %+v", s.Link.State, s.Lock)
	}
	asked := 0
	for _, r := range v.line.asked() {
		if r.Ask == AskIdentity {
			asked++
		}
	}
	if asked > 6 {
		t.Errorf("asked %d times in five seconds who it is", asked)
	}
	v.line.box.WrongMap = false
	v.run(identifyAgain + time.Second)
	if s := v.Status(); s.Link.State != step.LinkGood {
		t.Fatalf("put right: link %v", s.Link.State)
	}
	v.Ask(step.Release{})
	v.run(time.Second)
	if s := v.Status(); s.Lock.Locked {
		t.Errorf("put right and released: %+v, %v", s.Lock, v.EventsSince(0))
	}
}
