//go:build !race

// Without the race detector, which makes it slow: nothing here runs beside anything.

package desk

import (
	"slices"
	"testing"
	"time"

	"beamhelm/app/desk/radio"
)

// A moment that all have is one that each of them has: the passes shared with two
// lie within those shared with either.
func TestPassesSharedWithSeveral(t *testing.T) {
	shared := func(names ...string) *Plan {
		b := radioBench(t)
		b.s.takeRadio(&b.c,
			KeptRadio{Kept: radio.Kept{Partners: "name,locator,polarisation,note\nQuarry " +
				"Ridge,FN42hn,circular,\nLarch Hollow,JO62qm,horizontal,\n"}})
		for i, name := range names {
			var o Order = OtherPartnersTo{Name: name, On: true}
			if i == 0 {
				o = PartnerTo{Name: name}
			}
			b.after(100*time.Millisecond, o)
		}
		for range 40 {
			b.after(100 * time.Millisecond)
		}
		if got := b.out.Status.PlanWith; !slices.Equal(got, names) {
			t.Fatalf("shared with %v, want %v", got, names)
		}
		return b.out.Status.Plan
	}
	one, other, both := shared("Quarry Ridge"), shared("Larch Hollow"), shared("Quarry Ridge", "Larch Hollow")
	if both.Partner != "Quarry Ridge, Larch Hollow" {
		t.Errorf("the plan is shared with %q", both.Partner)
	}
	count := 0
	for i := range both.Points {
		if both.Points[i].Shared != (one.Points[i].Shared && other.Points[i].Shared) {
			t.Fatalf("point %d: both %v, one %v, other %v", i, both.Points[i].Shared, one.Points[i].Shared,
				other.Points[i].Shared)
		}
		if both.Points[i].Shared {
			count++
		}
	}
	for i, p := range both.Passes {
		if p.Shared > one.Passes[i].Shared || p.Shared > other.Passes[i].Shared {
			t.Errorf("pass %d: %v with both, %v and %v with each", i, p.Shared, one.Passes[i].Shared,
				other.Passes[i].Shared)
		}
	}
	if count == 0 {
		t.Error("nothing is ever shared with both")
	}
}

func TestCompanyIsKeptAndUnknownNamesAreRefused(t *testing.T) {
	b := radioBench(t)
	b.after(0, OtherPartnersTo{Name: "Wattle Plain", On: true},
		OtherPartnersTo{Name: "Nowhere", On: true})
	if got := b.out.Status.PlanWith; !slices.Equal(got, []string{"Wattle Plain"}) {
		t.Fatalf("with %v", got)
	}
	again := New(&b.c, nil)
	again.takeRadio(&b.c, b.s.keptRadio())
	if got := again.Radio.PlanPartners(); !slices.Equal(got, []string{"Wattle Plain"}) {
		t.Errorf("kept %v", got)
	}
	b.after(0, OtherPartnersTo{Name: "Wattle Plain"})
	if got := b.out.Status.PlanWith; len(got) != 0 {
		t.Errorf("still with %v", got)
	}
}
