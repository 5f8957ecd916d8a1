package desk

import (
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk/radio"
)

func TestParseDate(t *testing.T) {
	rows := []struct{ text, want, err string }{
		{"2027-04-17 activity weekend", "2027-04-17 activity weekend", ""},
		{" 2027-04-17/2027-04-18   activity  weekend ", "2027-04-17/2027-04-18 activity weekend", ""},
		{"2027-04-17/2027-04-17 one day", "2027-04-17 one day", ""},
		{"", "", "2027-04-17 and words, or 2027-04-17/2027-04-18 and words"},
		{"17.4.2027 weekend", "", "2027-04-17 and words, or 2027-04-17/2027-04-18 and words"},
		{"2027-02-29 no such day", "", "2027-04-17 and words, or 2027-04-17/2027-04-18 and words"},
		{"2027-04-17", "", "its name must have 1 to 40 letters"},
		{"2027-04-17 " + strings.Repeat("x", 41), "", "its name must have 1 to 40 letters"},
		{"2027-04-17 a\x01b", "", "its name must have no control characters"},
		{"2027-04-18/2027-04-17 back", "", "the last day comes before the first"},
		{"2027-04-18/2027-07-17 long", "", "at most 31 days"},
		{"0001-04-18 early", "", "a year from 1900 to 2200"},
	}
	for _, row := range rows {
		d, err := radio.ParseDate(row.text)
		switch {
		case row.err != "" && (err == nil || err.Error() != row.err):
			t.Errorf("%q: %v, want %s", row.text, err, row.err)
		case row.err == "" && (err != nil || d.String() != row.want):
			t.Errorf("%q: %v, %v, want %s", row.text, d, err, row.want)
		}
	}
}

func FuzzParseDate(f *testing.F) {
	f.Add("2027-04-17/2027-04-18 activity weekend")
	f.Fuzz(func(t *testing.T, text string) {
		d, err := radio.ParseDate(text)
		if err != nil {
			return
		}
		if again, err := radio.ParseDate(d.String()); err != nil || again != d {
			t.Errorf("%q became %q: %v", text, d, err)
		}
	})
}

func TestDatesAreMarkedAndKept(t *testing.T) {
	b := radioBench(t)
	day := began.Truncate(24 * time.Hour)
	text := day.Format(time.DateOnly) + " activity weekend"
	b.after(100*time.Millisecond, DatesTo{Date: text, On: true},
		DatesTo{Date: "2027-13-01 nonsense", On: true}, DatesTo{Date: text, On: true})
	for range 40 {
		b.after(100 * time.Millisecond)
	}
	if len(b.out.Status.Dates) != 1 || b.out.Status.Dates[0].String() != text {
		t.Fatalf("dates %v", b.out.Status.Dates)
	}
	if m := b.out.Status.Plan.Marks; len(m) == 0 || m[0].Words.String() != "activity weekend" ||
		m[0].Until != day.AddDate(0, 0, 1) {
		t.Errorf("marks %+v", m)
	}
	marked := 0
	for _, p := range b.out.Status.Plan.Passes {
		if p.Dates != "" {
			marked++
			if p.Rise.After(day.AddDate(0, 0, 1)) || p.Set.Before(day) {
				t.Errorf("the pass of %v is marked", p.Rise)
			}
		}
	}
	if marked == 0 {
		t.Error("no pass is marked")
	}
	kept := b.s.keptRadio()
	kept.Dates = append(kept.Dates, Date{Words: "damaged"})
	again := New(&b.c, nil)
	again.takeRadio(&b.c, kept)
	if len(again.Radio.Month.Dates) != 1 || again.Radio.Month.Dates[0].String() != text {
		t.Errorf("kept: %v", again.Radio.Month.Dates)
	}
	b.after(100*time.Millisecond, DatesTo{Date: text})
	if len(b.out.Status.Dates) != 0 {
		t.Errorf("still %v", b.out.Status.Dates)
	}
}
