package serve

import (
	"testing"
	"time"

	"beamhelm/drive/conform"
)

// tried are the findings of a test of an enclosure, broken as m says.
func tried(t *testing.T, m mutant, c conform.Config) ([]conform.Finding, time.Duration) {
	t.Helper()
	config := Default()
	if m.config != nil {
		m.config(&config)
	}
	e, err := New(newTestDish(), config)
	if err != nil {
		t.Fatal(err)
	}
	if m.begin != nil {
		m.begin(e)
	}
	slave := NewSlave(e)
	slave.delay += m.late
	slave.bank = &spoilt{Enclosure: e, mutant: m}
	w := newWire(slave)
	w.request, w.reply, w.early = m.request, m.reply, m.early
	c.Unit, c.Character, c.Clock = 1, w.char, w
	if m.instant {
		w.char = 0
	}
	var found []conform.Finding
	if err := conform.Run(t.Context(), w, c, func(f conform.Finding) { found = append(found, f) }); err != nil &&
		!m.endsBadly {
		t.Errorf("the test of it ends with: %v", err)
	}
	return found, w.now
}

// Each enclosure that is broken in one rule is found broken by that rule and by no other one.
func TestEachBrokenRuleIsFound(t *testing.T) {
	needs := map[string]conform.Need{}
	for _, r := range conform.Rules() {
		needs[r.ID] = r.Needs
	}
	all := mutants()
	tells := map[string]int{}
	for _, m := range all {
		t.Run(m.name, func(t *testing.T) {
			need, known := needs[m.breaks]
			if !known {
				t.Fatalf("there is no rule %q", m.breaks)
			}
			if m.needs != conform.Nothing {
				need = m.needs
			}
			configs := []conform.Config{{}, {Move: true, Permit: true}}
			if need != conform.Nothing {
				configs = append(configs, conform.Config{Permit: true}, conform.Config{Move: true})
			}
			for _, c := range configs {
				found, _ := tried(t, m, c)
				able := need == conform.Nothing || c.Move && need == conform.Moving ||
					c.Permit && need == conform.Permitting || (c.Move || c.Permit) && need == conform.Either
				told := false
				for _, f := range found {
					told = told || f.ID == m.breaks && f.Outcome == conform.Broken
					if f.Outcome == conform.Broken && f.ID != m.breaks && f.ID != m.inPermitOnly {
						t.Errorf("move %v, permit %v: %s is called broken: %s", c.Move, c.Permit, f.ID, f.Words)
					}
				}
				if able && !told && !(c.Permit && !c.Move && m.inPermitOnly != "") {
					t.Errorf("move %v, permit %v: %s is not called broken", c.Move, c.Permit, m.breaks)
				}
			}
			tells[m.breaks]++
		})
	}
	for id, need := range needs {
		if tells[id] == 0 && need != conform.Hands {
			t.Errorf("no enclosure is broken in rule %q: nothing shows that it can be told", id)
		}
	}
	t.Logf("%d broken enclosures, %d rules", len(all), len(tells))
}

// The faithful one keeps every rule that can be tried, with everything fitted
// and with hardly anything, and takes no longer than the test says.
func TestTheFaithfulEnclosureKeepsAll(t *testing.T) {
	rows := []mutant{{name: "all"}, {name: "one axis", config: bare},
		{name: "fixed speeds", config: func(c *Config) { c.FixedSpeeds = [2]uint8{4, 7} }},
		{name: "115200 baud", config: func(c *Config) { c.Baud = 115200 }},
		{name: "as late as may be", config: func(c *Config) { *c = c.Latest() }},
		{name: "a pseudo-terminal", config: func(c *Config) { *c = c.Latest() }, instant: true},
		{name: "9600 baud", config: func(c *Config) { c.Baud = 9600 }}}
	for _, m := range rows {
		for _, c := range []conform.Config{{}, {Permit: true}, {Move: true}, {Move: true, Permit: true}} {
			found, took := tried(t, m, c)
			kept := 0
			for _, f := range found {
				switch {
				case f.Outcome == conform.Kept:
					kept++
				case f.Outcome != conform.NotTried:
					t.Errorf("%s, move %v, permit %v: %v: %s: %s", m.name, c.Move, c.Permit, f.Outcome, f.ID, f.Words)
				case c.Move && c.Permit:
					t.Logf("%s: not tried: %s: %s", m.name, f.ID, f.Words)
				}
			}
			if m.name == "all" && took > c.Duration() {
				t.Errorf("move %v, permit %v: it took %v, at most %v were said", c.Move, c.Permit, took, c.Duration())
			}
			t.Logf("%s, move %v, permit %v: %d kept of %d in %v", m.name, c.Move, c.Permit, kept, len(found),
				took.Round(time.Second/10))
		}
	}
}

// bare is an enclosure with one axis and nothing else.
func bare(c *Config) { c.Fitted = fittedAzimuth }
