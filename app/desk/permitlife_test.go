package desk

import (
	"testing"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// permitted is a drive by the practice settings whose enclosure gives the permit.
func permitted(t *testing.T) *rig.Rig {
	t.Helper()
	c, err := station.DriveConfig(settings.Practice())
	if err != nil {
		t.Fatal(err)
	}
	r := rig.NewWith(c, 180, 40)
	r.Tick(step.Permit{On: true, Asked: true})
	if !r.Until(time.Second, func() bool { return r.Enclosure.Permitted }) {
		t.Fatalf("no permit: %+v", r.State.Permit)
	}
	return r
}

// When the desk goes silent the permit lapses in the loop within 2 s and the tick
// in which that is seen; as long as the desk renews it, it stays. What is renewed
// late does not bring it back.
func TestThePermitLapsesWithoutTheDesk(t *testing.T) {
	r := permitted(t)
	renew := func() { r.Tick(step.Permit{On: true}) }
	for range 20 {
		renew()
		if r.Run(permitEvery); !r.Enclosure.Permitted || !r.Out.Demand.Orders.Has(enclosure.OrderPermit) {
			t.Fatalf("lapsed at %v while it was renewed", r.Inputs.Now)
		}
	}
	renew()
	silent := r.Inputs.Now
	if !r.Until(10*time.Second, func() bool { return !r.Enclosure.Permitted }) {
		t.Fatal("the permit goes on without the desk")
	}
	const stated = 2 * time.Second
	if took := r.Inputs.Now - silent; took > stated+r.Config.Tick || took < 3*permitEvery {
		t.Errorf("lapsed after %v, want %v and a tick at most, and room for two renewals that are late", took, stated)
	}
	if r.State.Permit.Requested {
		t.Error("the request stands")
	}
	for range 20 {
		renew()
		if r.Run(permitEvery); r.Enclosure.Permitted {
			t.Fatal("a renewal brought it back")
		}
	}
	r.Tick(step.Permit{On: true, Asked: true})
	if r.Run(time.Second); !r.Enclosure.Permitted {
		t.Errorf("requested anew: %+v", r.State.Permit)
	}
}
