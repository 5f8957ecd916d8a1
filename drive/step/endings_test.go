package step_test

import (
	"cmp"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/guard"
	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// endingsPage is the handbook's page, from here; this test keeps the rows between the marks.
const (
	endingsPage  = "../../assets/handbook/endings.md"
	endingsBegin = "<!-- virtual time: begin -->\n"
	endingsEnd   = "<!-- virtual time: end -->\n"
)

// never stands for what did not come about.
const never = time.Duration(-1)

// ended is how long after its cause each thing had ended; never where it goes on.
type ended struct {
	demand, applied, permit time.Duration
	idle                    bool // nothing was driven when the cause fell
	found                   bool // by the guard that should
	powered                 bool // drive power is ordered still
	locked                  guard.Code
	told                    []step.Event
}

// setOut brings a rig to what the ending begins from, with a permit that was requested.
func (e *ending) setOut(t *testing.T) *rig.Rig {
	t.Helper()
	c := step.Default()
	c.PermitLife = 2 * time.Second // as at every station
	r := rig.NewWith(c, 0, 40)
	if e.ready != nil {
		e.ready(r)
	}
	r.Tick(step.Permit{On: true, Asked: true})
	if e.from != unpowered && (!r.PowerOn() || !r.Until(2*time.Second,
		func() bool { return r.State.Mode == step.Holding })) {
		t.Fatalf("%s: no drive power", e.cause)
	}
	going := r.Inputs.Now
	for r.Inputs.Now < going+8*time.Second {
		e.renew(r, r.Inputs.Now-going)
	}
	fake := r.Enclosure
	full := fake.Axes[0].Applied > 0.9
	if full != (e.from == slewing) || r.State.Mode == step.Following != (e.from == following) || !fake.Permitted {
		t.Fatalf("%s: %v, applied %v, permitted %v: %v", e.cause, r.State.Mode, fake.Axes[0].Applied, fake.Permitted,
			r.Told)
	}
	return r
}

// renew is a tick in which the desk gives what it has to renew, by the time since the dish was set going.
func (e *ending) renew(r *rig.Rig, since time.Duration) {
	commands := []step.Command{step.Permit{On: true}}
	switch {
	case e.from == slewing && since == 0:
		commands = append(commands, rig.SlewTo(300, 40))
	case e.from == following && since%time.Second == 0:
		r.Follow(since.Seconds(), 40, 1, 0)
		if since == 0 {
			commands = append(commands, step.Follow{Asked: true})
		}
	}
	r.Tick(commands...)
}

// time lets it end, and says when.
func (e *ending) time(t *testing.T) ended {
	t.Helper()
	r := e.setOut(t)
	from := r.Inputs.Now
	is := ended{demand: never, applied: never, permit: never, idle: e.from == holding || e.from == unpowered}
	r.AfterTick = func(r *rig.Rig) { is.found = is.found || r.State.Guard.Stands(e.code) }
	e.begin(r)
	first := func(was *time.Duration, so bool) {
		if *was == never && so {
			*was = r.Inputs.Now - from
		}
	}
	for r.Inputs.Now < from+max(20*time.Second, e.long) {
		if r.Inputs.Now > from {
			first(&is.demand, r.Out.Demand.Az == 0 && r.Out.Demand.El == 0)
		}
		first(&is.applied, r.Enclosure.Axes[0].Applied == 0 && r.Enclosure.Axes[1].Applied == 0)
		first(&is.permit, !r.Enclosure.Permitted)
		if e.each != nil {
			e.each(r, r.Inputs.Now-from)
		}
		switch permit := (step.Permit{On: true}); {
		case e.hangs:
			r.Tick()
		case e.alone:
			r.Tick(permit)
		default:
			e.renew(r, 8*time.Second+r.Inputs.Now-from)
		}
	}
	is.powered, is.locked, is.told = r.Out.Demand.Orders.Has(enclosure.OrderPower), r.State.Lock.Cause.Code, r.Told
	return is
}

// judge looks whether it ended as it must.
func (e *ending) judge(t *testing.T, is *ended) {
	t.Helper()
	row := guard.RowOf(e.code)
	trips := e.code != guard.None && row.Response >= guard.Trip
	switch long := max(e.long, 8*time.Second); {
	case e.code != guard.None && !is.found:
		t.Errorf("%s, %s: not found; told %v", e.code, e.cause, is.told)
	case trips && (is.locked != e.code || is.powered != (row.Response == guard.Trip)):
		t.Errorf("%s, %s: locked out by %v, power ordered %v", e.code, e.cause, is.locked, is.powered)
	case (trips || row.EndsPermit || row.Response == guard.Withdraw) && (is.permit == never || is.permit > long):
		t.Errorf("%s, %s: the permit stays for %v", e.code, e.cause, is.permit)
	case row.Response > guard.Withdraw && !is.idle && (is.applied == never || is.applied > long):
		t.Errorf("%s, %s: drive applied for %v", e.code, e.cause, is.applied)
	}
}

// cells are what the page says of it, from the time without demand on.
func (is *ended) cells() string {
	drive := func(after time.Duration) string {
		switch {
		case is.idle:
			return "none before"
		case after == never:
			return "goes on"
		}
		return fmt.Sprintf("%.1f s", after.Seconds())
	}
	permit := "stays on"
	if is.permit != never {
		permit = fmt.Sprintf("%.1f s", is.permit.Seconds())
	}
	return fmt.Sprintf("%s | %s | %s |", drive(is.demand), drive(is.applied), permit)
}

// sentBy says what a guard's response sends to the enclosure.
func sentBy(row guard.Row) string {
	switch row.Response {
	case guard.Withdraw:
		return "permit off; motion goes on"
	case guard.Block:
		return "zero in that direction"
	case guard.Pause:
		return "the slope down to zero"
	case guard.Rest:
		return "the slope down to zero"
	case guard.Trip:
		return "zero demand, locked out"
	case guard.TripPower:
		return "zero demand, power off, locked out"
	}
	return "nothing"
}

// endsSomething reports that a guard ends motion or the permit by itself. The stow is the desk's.
func endsSomething(row guard.Row) bool {
	return row.EndsPermit || row.Response >= guard.Withdraw && row.Response != guard.Stow
}

// TestEndingsPage measures each ending in virtual time, and keeps the page's rows as measured.
func TestEndingsPage(t *testing.T) {
	var b strings.Builder
	const heads = "nothing demanded after | no drive applied after | transmit permit off after |\n" +
		"|---|---|---|---|---|\n"
	b.WriteString(endingsBegin + "| cause | what reaches the enclosure | " + heads)
	for _, e := range endings() {
		is := e.time(t)
		e.judge(t, &is)
		fmt.Fprintf(&b, "| %s | %s | %s\n", e.cause, e.sent, is.cells())
	}
	b.WriteString("\n| guard: cause | what reaches the enclosure | " + heads)
	has := map[guard.Code]bool{}
	for _, e := range guardEndings() {
		is := e.time(t)
		e.judge(t, &is)
		has[e.code] = true
		row := guard.RowOf(e.code)
		if row.Response == guard.Withdraw {
			is.demand, is.applied = never, never // what the course asks of the axes is no end
		}
		fmt.Fprintf(&b, "| **%s**: %s | %s | %s\n", row.Name, e.cause, cmp.Or(e.sent, sentBy(row)), is.cells())
	}
	var tell []string
	for _, row := range guard.Rows() {
		if !endsSomething(row) {
			tell = append(tell, row.Name)
		} else if !has[row.Code] {
			t.Errorf("%s ends motion or the permit, and no ending by it is measured", row.Name)
		}
	}
	fmt.Fprintf(&b, "\nThese end nothing by themselves: %s. The wind has the desk stow the dish after its countdown.\n",
		strings.Join(tell, ", "))
	b.WriteString(endingsEnd)
	comparePage(t, b.String())
}

// comparePage compares the rows with the page's, or writes them.
func comparePage(t *testing.T, rows string) {
	t.Helper()
	page, err := os.ReadFile(endingsPage)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, has := strings.Cut(string(page), endingsBegin)
	_, after, hasEnd := strings.Cut(rest, endingsEnd)
	if !has || !hasEnd {
		t.Fatal("the page has no marks for the rows")
	}
	want := before + rows + after
	if *update {
		if err := os.WriteFile(endingsPage, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if string(page) != want {
		t.Errorf("the page does not say what was measured (go test ./drive/step -run Endings -update):\n%s", rows)
	}
}
