//go:build planted

package endtoend

import (
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
)

// attack is one way of doing harm to the running program from outside.
type attack struct {
	name string
	// short: it is tried on every check, the others in the long runs alone.
	short bool
	// tries is how many attacks it makes, where it is more than one.
	tries int
	try   func(*testing.T)
}

// attacks of a kind, and what must hold in all of them.
type attacks struct {
	short       string // its name among the tests
	kind, holds string
	rows        []attack
}

// allAttacks is the whole suite.
func allAttacks() []attacks {
	return []attacks{signalAttacks(), cableAttacks(), instanceAttacks(), fileAttacks(), diskAttacks(), networkAttacks(),
		settingsAttacks(), clockAttacks(), clockStepAttacks(), memoryAttacks()}
}

func (a attacks) tried() (n int) {
	for _, row := range a.rows {
		n += max(1, row.tries)
	}
	return n
}

// TestAttacks attacks the running program, each row with a program, an enclosure and a home of its own.
func TestAttacks(t *testing.T) {
	suite := allAttacks()
	var mu sync.Mutex
	held := make([]int, len(suite))
	t.Run("rows", func(t *testing.T) {
		for i, kind := range suite {
			for _, row := range kind.rows {
				if !row.short && !everyAttack {
					continue
				}
				t.Run(kind.short+" "+row.name, func(t *testing.T) {
					t.Parallel()
					row.try(t)
					if !t.Failed() {
						mu.Lock()
						held[i] += max(1, row.tries)
						mu.Unlock()
					}
				})
			}
		}
	})
	if everyAttack {
		keepAttackTable(t, attackTable(suite, held))
	}
}

// The page, and the marks between which its table of attacks is kept.
const (
	attackPage  = "../../README.md"
	attackBegin = "<!-- attacks: begin -->\n"
	attackEnd   = "<!-- attacks: end -->\n"
)

func attackTable(suite []attacks, held []int) string {
	var b strings.Builder
	b.WriteString("| attack | what must hold | tried | held |\n|---|---|---|---|\n")
	for i, kind := range suite {
		fmt.Fprintf(&b, "| %s | %s | %d | %d |\n", kind.kind, kind.holds, kind.tried(), held[i])
	}
	return b.String()
}

// keepAttackTable compares the page's table, or writes it again.
func keepAttackTable(t *testing.T, table string) {
	t.Helper()
	t.Logf("what was tried:\n%s", table)
	page, before, now, after := attackRows(t)
	if now == table {
		return
	}
	if !*update {
		t.Errorf("%s says otherwise (go test -tags 'planted long' ./app/endtoend -run Attacks -update writes it anew)",
			attackPage)
		return
	}
	if err := os.WriteFile(attackPage, []byte(before+table+after), 0o644); err != nil {
		t.Fatalf("%s (%d bytes): %v", attackPage, len(page), err)
	}
}

func attackRows(t *testing.T) (page, before, table, after string) {
	t.Helper()
	text, err := os.ReadFile(attackPage)
	if err != nil {
		t.Fatal(err)
	}
	page = string(text)
	before, rest, has := strings.Cut(page, attackBegin)
	table, after, hasEnd := strings.Cut(rest, attackEnd)
	if !has || !hasEnd {
		t.Fatalf("%s has no marks for the attacks", attackPage)
	}
	return page, before + attackBegin, table, attackEnd + after
}

// TestAttackTable: the page tells of every kind of attack and of how many there are; what held is
// the long run's to say.
func TestAttackTable(t *testing.T) {
	_, _, table, _ := attackRows(t)
	for _, kind := range allAttacks() {
		row := fmt.Sprintf("| %s | %s | %d | ", kind.kind, kind.holds, kind.tried())
		if !strings.Contains(table, row) {
			t.Errorf("%s lacks %q: the long run with -update writes it", attackPage, row)
		}
	}
	if rows := strings.Count(table, "\n") - 2; rows != len(allAttacks()) {
		t.Errorf("%s has %d rows of attacks, want %d", attackPage, rows, len(allAttacks()))
	}
}
