//go:build !race

package desk

import (
	"testing"
	"time"

	"beamhelm/app/desk/radio"
	"beamhelm/app/desk/receiver"
)

// skedsWith are the skeds with partners of the bench's list, once all windows are judged.
func skedsWith(t *testing.T, names ...string) (*bench, *Skeds) {
	t.Helper()
	b := radioBench(t)
	list := "name,locator,polarisation,note\nQuarry Ridge,FN42hn,circular,\nLarch Hollow,JO62qm,horizontal,\n"
	b.s.takeRadio(&b.c, KeptRadio{Kept: radio.Kept{Partners: list, OtherPartners: names}})
	b.after(100*time.Millisecond, SkedsTo{On: true})
	for range 60 {
		b.after(100 * time.Millisecond)
		if s := b.out.Status.Skeds; s != nil && s.Left == 0 {
			break
		}
	}
	return b, b.out.Status.Skeds
}

// Skeds are worked out a window at a step, and come to what they are when worked out at once.
func TestSkedsStepByStep(t *testing.T) {
	b, s := skedsWith(t, "Quarry Ridge", "Larch Hollow")
	if s == nil || s.Left != 0 || len(s.List) < 10 {
		t.Fatalf("skeds %+v", s)
	}
	sun, err := receiver.ExpectedSun(b.c.Settings.Bands[b.s.Band].MHz*1e6, s.From)
	if err != nil {
		t.Fatal(err)
	}
	in := radio.Inputs{At: s.From, Band: b.s.Band, Feed: b.s.Feed, SunFlux: sun.Flux}
	at := radio.AllSkeds(&b.c, &b.s.Radio, &in, s.Days, s.Shortest)
	if len(at.List) != len(s.List) {
		t.Fatalf("%d windows at once, %d step by step", len(at.List), len(s.List))
	}
	for i := range at.List {
		if !at.List[i].Best.Equal(s.List[i].Best) {
			t.Errorf("rank %d: best %v at once, %v step by step", i, at.List[i].Best, s.List[i].Best)
		}
	}
	up := 0
	for i, p := range s.Chart.Points {
		if p.Up {
			up++
			when := s.Chart.Month.Add(time.Duration(i) * 15 * time.Minute)
			in := false
			for _, one := range s.List {
				in = in || !when.Before(one.From) && !when.After(one.To)
			}
			if !in {
				t.Errorf("the chart is up at %v, outside all windows", when)
			}
		}
	}
	if up < 10 {
		t.Errorf("%d points up", up)
	}
}

func TestSkedsFollowWhatIsAsked(t *testing.T) {
	b, first := skedsWith(t, "Quarry Ridge")
	b.after(100*time.Millisecond, SkedsTo{On: true, Minutes: 240})
	for range 60 {
		b.after(100 * time.Millisecond)
	}
	long := b.out.Status.Skeds
	if len(long.List) >= len(first.List) || long.Shortest != 4*time.Hour {
		t.Errorf("%d windows of at least 4 hours, %d in all", len(long.List), len(first.List))
	}
	b.after(100*time.Millisecond, SkedsTo{On: true, Minutes: 24*60 + 1})
	if got := b.out.Status.Skeds.Shortest; got != 4*time.Hour {
		t.Errorf("windows of at least %v", got)
	}
	b.after(100*time.Millisecond, SkedsTo{})
	if b.out.Status.Skeds != nil {
		t.Error("they are worked out with nobody to look at them")
	}
	if _, none := skedsWith(t); none == nil || len(none.Partners) != 0 || none.Left != 0 || len(none.List) != 0 {
		t.Errorf("without partners: %+v", none)
	}
}
