package view

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
)

// The stack has what the beam loses where it stands now. Source: row 2 of ephem/budget/testdata/authorities/budget.csv:
// an axis 0.2592 degree off the Moon's centre costs 2.683 dB at 5760 MHz with a beam of 0.72866 degree, filling 0.569
// dB.
func TestBudgetOfABeamOffTheMoon(t *testing.T) {
	deg := unit.AngleFromDeg
	var s desk.Status
	s.Radio = &radio.Path{Up: true, AgreedHz: 5760e6}
	b := &s.Radio.Budget
	b.PowerW, b.SystemK, b.SpreadHz, b.PathDB = 40, 110.121, 88.283, 283.964
	b.TransmitDBI, b.ReceiveDBI, b.MoonRadius = 46.7449, 46.7449, deg(0.26161)
	b.TransmitBeam, b.ReceiveBeam = deg(0.72866), deg(0.72866)
	b.Add(5760e6, 0, 0)
	s.Target.Choice.Kind = desk.Moon
	s.Axes[Azimuth].Trusted, s.Axes[Elevation].Trusted = true, true
	s.OffCross, s.OffEl = deg(-0.14), deg(0.21815)
	on := s.Radio.Budget
	off, head := BudgetNow(At(&s, 0, 0))
	if math.Abs(off.PointingDB-2.683) > 0.02 || math.Abs(off.FillingDB-0.569) > 0.02 ||
		math.Abs(on.DensityDBHz-off.DensityDBHz-off.PointingDB) > 1e-9 || !strings.Contains(head, "0.26° off") {
		t.Errorf("%s: %+v", head, off)
	}
	stack := ""
	for _, term := range BudgetTerms(off) {
		stack += term.Name + " " + term.Value + "|"
	}
	if !strings.Contains(stack, "|Pointing −2.7 dB|") {
		t.Errorf("the stack is %s", stack)
	}
	for name, elsewhere := range map[string]func(*desk.Status){
		"another target": func(s *desk.Status) { s.Target.Choice.Kind = desk.Sun },
		"not referenced": func(s *desk.Status) { s.Axes[Azimuth].Trusted = false },
		"far away":       func(s *desk.Status) { s.OffCross = deg(3) },
	} {
		then := s
		elsewhere(&then)
		if got, head := BudgetNow(At(&then, 0, 0)); got.PointingDB != 0 || !strings.Contains(head, "on the Moon") {
			t.Errorf("%s: %s, pointing %.2f dB", name, head, got.PointingDB)
		}
	}
}

// The pass of the echo charts gives the day of its rise and set where it isn't today.
func TestAPassGivesItsDays(t *testing.T) {
	rise := time.Date(2026, 11, 30, 23, 9, 0, 0, time.UTC)
	set := time.Date(2026, 12, 1, 12, 52, 0, 0, time.UTC)
	for at, want := range map[time.Time]string{
		set.Add(-10 * time.Hour):   "Over this pass, 23:09 yesterday to 12:52 UTC",
		rise.Add(10 * time.Minute): "Over this pass, 23:09 to 12:52 tomorrow UTC",
		rise.Add(-2 * time.Hour):   "Over the next pass, 23:09 to 12:52 tomorrow UTC",
	} {
		path := &radio.Path{Pass: &radio.Pass{Rise: rise, Set: set}}
		got := PassWords(Now{Status: &desk.Status{At: at, Radio: path}})
		if words := got.Head.Words + ", " + got.Under.Words; words != want {
			t.Errorf("at %v %q, want %q", at, words, want)
		}
	}
}
