package desk

import (
	"testing"
	"time"
)

// The shared part of the arc agrees with the shared pass that package passes finds by another way.
func TestSharedPartOfTheArc(t *testing.T) {
	b := radioBench(t)
	shared := func() (first, last time.Time, count int) {
		for _, arc := range b.out.Status.Scene.Arcs {
			for _, p := range arc.Points {
				if !p.Shared {
					continue
				}
				if arc.Kind != Moon {
					t.Errorf("the arc of %s is shared", arc.Name)
				}
				if count++; count == 1 {
					first = p.At
				}
				last = p.At
			}
		}
		return first, last, count
	}
	b.after(0)
	if _, _, count := shared(); count != 0 {
		t.Fatalf("%d points are shared with nobody", count)
	}
	b.after(100*time.Millisecond, PartnerTo{Name: "Quarry Ridge"})
	for range 40 {
		b.after(100 * time.Millisecond)
	}
	first, last, count := shared()
	pass := b.out.Status.Plan.Next[0]
	if count == 0 || first.Sub(pass.SharedFrom).Abs() > arcEvery || last.Sub(pass.SharedTo).Abs() > arcEvery {
		t.Errorf("%d points from %v to %v, but the shared pass is from %v to %v", count, first, last, pass.SharedFrom,
			pass.SharedTo)
	}
	b.after(100*time.Millisecond, PartnerTo{})
	if _, _, count := shared(); count != 0 {
		t.Errorf("%d points are still shared", count)
	}
}
