package step_test

import (
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// A Stop ends the request for the permit also where nothing moves, and whatever
// is ordered behind it in the same tick: renewing doesn't bring it back, a new request does.
func TestStopAtRestEndsThePermit(t *testing.T) {
	requested := step.Permit{On: true, Asked: true}
	for name, behind := range map[string][]step.Command{
		"alone":                  nil,
		"a motion behind it":     {rig.SlewTo(30, 40)},
		"the hold there":         {step.Hold{}},
		"drive power off and on": {step.Power{}, step.Power{On: true, Asked: true}},
	} {
		r := rig.New(0, 40)
		if !r.PowerOn() || !r.Until(2*time.Second, func() bool { return r.State.Mode == step.Holding }) {
			t.Fatal("no drive power")
		}
		r.Tick(requested)
		r.Run(time.Second)
		if !r.Out.Demand.Orders.Has(enclosure.OrderPermit) || !r.Enclosure.Permitted {
			t.Fatalf("%s: no permit before: %+v", name, r.State.Permit)
		}
		r.Tick(append([]step.Command{step.Stop{}}, behind...)...)
		if r.Out.Demand.Orders.Has(enclosure.OrderPermit) || r.State.Permit.Requested {
			t.Errorf("%s: the permit stays on through a Stop", name)
		}
		for range 30 {
			r.Tick(step.Permit{On: true})
			if r.Out.Demand.Orders.Has(enclosure.OrderPermit) {
				t.Fatalf("%s: the permit comes back without a request", name)
			}
		}
		if name != "alone" {
			continue
		}
		r.Tick(requested)
		if r.Run(time.Second); !r.Enclosure.Permitted {
			t.Errorf("%s: requested anew, no permit: %+v", name, r.State.Permit)
		}
	}
}
