package step_test

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// endingsPage is the handbook's page, from here; this test keeps the rows between the marks.
const (
	endingsPage  = "../../assets/handbook/endings.md"
	endingsBegin = "<!-- virtual time: begin -->\n"
	endingsEnd   = "<!-- virtual time: end -->\n"
)

// endings are what ends a slew at full drive. What gets through, and what ends it, is said for the page.
func endings() []struct {
	cause, sent string
	begin       func(*rig.Rig)
} {
	return []struct {
		cause, sent string
		begin       func(*rig.Rig)
	}{
		{"Esc, STOP, `beamhelm stop`, the computer was asleep", "zero demand, locked out; drive power stays on", func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Stop}) }},
		{"Drive power switched off", "zero demand, power off", func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Power}) }},
		{"Hold", "the slope down to zero", func(r *rig.Rig) { r.Tick(step.Command{Kind: step.Hold}) }},
		{"A trip: stop circuit opened", "zero demand, power off; the enclosure stops by itself", func(r *rig.Rig) { r.Box.StopOpen = true }},
		{"A trip: drive fault", "zero demand, power off; the enclosure stops by itself", func(r *rig.Rig) { r.Box.DriveFault = true }},
		{"A trip: both end switches of an axis", "zero demand, power off; the enclosure stops by itself", func(r *rig.Rig) { r.Box.BothEnds[0] = true }},
		{"A guard that holds: door open", "the slope down to zero", func(r *rig.Rig) { r.Box.Door = true }},
		{"The hand panel takes control", "zero demand, power off; the enclosure stops by itself", func(r *rig.Rig) { r.Box.HandPanel = true }},
		{"Link lost both ways, program killed, computer dead or asleep", "nothing: the enclosure's watchdog ends it", func(r *rig.Rig) { r.Cut = true }},
		{"Replies lost, requests get through", "zero by the slope after the link-loss time, then zero and power off", func(r *rig.Rig) { r.Deaf = true }},
		{"The window hangs while slewing, jogging or on the way to a target", "after `window_silent_s` the slope down to zero", func(r *rig.Rig) {
			r.Tick(step.Command{Kind: step.WindowAlive})
		}},
	}
}

// timeEnding lets a slew end, and says when nothing was demanded and when nothing was applied any more.
func timeEnding(t *testing.T, begin func(*rig.Rig)) (demand, applied time.Duration) {
	t.Helper()
	r := rig.New(0, 40)
	if !r.PowerOn() || !r.Until(2*time.Second, func() bool { return r.State.Mode == step.Holding }) {
		t.Fatal("no drive power")
	}
	r.Tick(rig.SlewTo(300, 40))
	r.Run(8 * time.Second)
	if r.Box.Axes[0].Applied < 0.9 {
		t.Fatalf("applied %v: no full slew", r.Box.Axes[0].Applied)
	}
	from := r.Inputs.Now
	demand, applied = -1, -1
	begin(r)
	for r.Inputs.Now < from+20*time.Second && (demand < 0 || applied < 0) {
		d := r.Out.Demand
		if demand < 0 && d.Az == 0 && d.El == 0 {
			demand = r.Inputs.Now - from
		}
		if applied < 0 && r.Box.Axes[0].Applied == 0 && r.Box.Axes[1].Applied == 0 {
			applied = r.Inputs.Now - from
		}
		r.Tick()
	}
	return demand, applied
}

// TestEndingsPage measures each ending in virtual time, and keeps the page's rows as measured.
func TestEndingsPage(t *testing.T) {
	var b strings.Builder
	b.WriteString(endingsBegin + "| cause | what reaches the enclosure | nothing demanded after | no drive applied after |\n|---|---|---|---|\n")
	for _, e := range endings() {
		demand, applied := timeEnding(t, e.begin)
		if applied < 0 || applied > 8*time.Second {
			t.Errorf("%s: drive applied for %v", e.cause, applied)
		}
		said := "never"
		if demand >= 0 {
			said = fmt.Sprintf("%.1f s", demand.Seconds())
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %.1f s |\n", e.cause, e.sent, said, applied.Seconds())
	}
	b.WriteString(endingsEnd)
	page, err := os.ReadFile(endingsPage)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, has := strings.Cut(string(page), endingsBegin)
	_, after, hasEnd := strings.Cut(rest, endingsEnd)
	if !has || !hasEnd {
		t.Fatal("the page has no marks for the rows")
	}
	want := before + b.String() + after
	if *update {
		if err := os.WriteFile(endingsPage, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if string(page) != want {
		t.Errorf("the page does not say what was measured (go test ./drive/step -run Endings -update):\n%s", b.String())
	}
}
