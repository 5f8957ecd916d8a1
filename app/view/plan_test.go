package view

import (
	"math"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

func TestHertz(t *testing.T) {
	rows := []struct {
		hz, within float64
		want       string
	}{
		{5760003208.4, 0.1, "5 760 003 208 Hz"}, {-733, 1, "−733 Hz"}, {999.6, 1, "1 000 Hz"}, {0, 1, "0 Hz"},
		// A partner by a locator of four characters, at 10 GHz.
		{-24718.3, 130, "−24 720 Hz"}, {1467, 50, "1 470 Hz"}, {1467, 0, Missing},
	}
	for _, row := range rows {
		if got := Hertz(row.hz, row.within); got != row.want {
			t.Errorf("%v: %q, want %q", row.hz, got, row.want)
		}
	}
	if got := SignedHertz(1467, 1) + SignedHertz(3, 50); got != "+1 467 Hz0 Hz" {
		t.Errorf("%q", got)
	}
}

func TestCountdown(t *testing.T) {
	for left, want := range map[time.Duration]string{time.Minute: "1:00", 59001 * time.Millisecond: "1:00",
		200 * time.Millisecond: "0:01", -1: "0:00"} {
		if got := Countdown(left); got != want {
			t.Errorf("%v: %q, want %q", left, got, want)
		}
	}
}

func TestPlanSpot(t *testing.T) {
	p := &desk.Plan{Month: time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC), Days: 30}
	rows := []struct {
		row  int
		part float64
		want time.Time
	}{
		{0, 0, p.Month}, {13, 0.75, time.Date(2027, 4, 14, 18, 0, 0, 0, time.UTC)},
		{99, 0, time.Date(2027, 4, 30, 0, 0, 0, 0, time.UTC)}, {-1, -1, p.Month},
	}
	for _, row := range rows {
		if got := PlanSpot(p, row.row, row.part); !got.Equal(row.want) {
			t.Errorf("row %d, part %v: %v, want %v", row.row, row.part, got, row.want)
		}
	}
}

func TestArmedWords(t *testing.T) {
	at := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	now := func(a desk.Armed) Now { return At(&desk.Status{At: at, Armed: a}, 0, 0) }
	a := desk.Armed{Has: true, Target: "the Moon", Rise: at.Add(20 * time.Hour), Set: at.Add(30 * time.Hour),
		Leaves: at.Add(20*time.Hour - 2*time.Minute)}
	if got := ArmedWords(now(a)).Words; got != "Armed: the Moon, 12:00 tomorrow to 22:00; starts 11:58 tomorrow" {
		t.Errorf("%q", got)
	}
	a.Question = true
	if got := ArmedWords(now(a)); got.Tone != Attention {
		t.Errorf("a question is shown as %+v", got)
	}
	if got := ArmedShort(now(desk.Armed{})); got != "" {
		t.Errorf("nothing armed: %q", got)
	}
}

func TestPlanReadOut(t *testing.T) {
	month := time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC)
	nan := float32(math.NaN())
	p := &desk.Plan{Month: month, Days: 30, Of: desk.BodyChoice{Kind: desk.Moon}, Points: []desk.PlanPoint{
		{Az: unit.AngleFromDeg(101), El: unit.AngleFromDeg(30), PartnerEl: unit.AngleFromDeg(12),
			Up: true, Shared: true, Merit: 0.62, PathDB: 1.5, NoiseDB: 2},
		{Az: unit.AngleFromDeg(200), El: unit.AngleFromDeg(-4), PathDB: nan, NoiseDB: nan},
		{Az: unit.AngleFromDeg(105), El: unit.AngleFromDeg(33), Up: true, Merit: 0.9, PathDB: 0.5, NoiseDB: 0},
	}}
	rows := map[time.Duration]string{
		0:                 "1 Apr 00:00 UTC: az 101°, el 30°, there 12°, degradation +3.0 dB",
		20 * time.Minute:  "1 Apr 00:15 UTC: not up, az 200°, el −4°",
		30 * time.Minute:  "1 Apr 00:30 UTC: az 105°, el 33°, degradation 0.0 dB",
		45 * time.Minute:  "",
		-10 * time.Minute: "",
	}
	for after, want := range rows {
		if got := PlanReadOut(p, month.Add(after)); got != want {
			t.Errorf("%v: %q, want %q", after, got, want)
		}
	}
	p.Of = desk.BodyChoice{} // skeds: the whole loss, and nothing outside their windows
	if got := PlanReadOut(p, month.Add(30*time.Minute)); got != "1 Apr 00:30 UTC: az 105°, el 33°, loss 0.5 dB" {
		t.Errorf("skeds: %q", got)
	}
	if got := PlanReadOut(p, month.Add(20*time.Minute)); got != "1 Apr 00:15 UTC: in no window" {
		t.Errorf("skeds: %q", got)
	}
}

// A pass tells its highest elevation and by how much its path is longer than the Moon's shortest.
func TestPassFigures(t *testing.T) {
	up := desk.PlanPass{HighestEl: unit.AngleFromDeg(54), AbovePerigeeDB: 0.31, Merit: 0.7}
	sun := desk.PlanPass{HighestEl: unit.AngleFromDeg(36), Merit: math.NaN()}
	now := At(&desk.Status{Scene: &desk.Scene{}}, 1, 0)
	now.Plan = &desk.Plan{Next: []desk.PlanPass{up, sun}}
	lines := PassFigures(now, 2)
	if len(lines) != 2 || lines[0].Value.Words != "54°" || lines[0].Note.Words != "path +0.3 dB" ||
		lines[1].Note.Words != "" {
		t.Errorf("%+v", lines)
	}
}
