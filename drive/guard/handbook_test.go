package guard

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

// page is the handbook's list of the guards, from here.
const page = "../../assets/handbook/guards.md"

var update = flag.Bool("update", false, "write the handbook's list of the guards anew")

const head = `# The guards

Each guard watches one thing, many times a second. What it finds stands in the alarms, with what to do next. A guard that ended motion has **locked out** the drives: nothing
moves until the cause is understood and you press **Release**. The first cause is kept, and what it explains stays silent behind it.

This list is made from the program's own rows (` + "`go test ./drive/guard -run Handbook -update`" + `), and a test keeps the two the same.

> **Beamhelm is a computer program, not a safety device.** Hard-wired end switches, and a stop circuit that takes the power from both drives without any computer, belong in
> the enclosure. Before you go to the dish, isolate the drives there and lock the switch.

## What a guard may do

| response | what happens |
|---|---|
`

// explained says what each response does, in the order of their strength.
func explained() []string {
	return []string{
		"it tells, and does nothing else",
		"it tells, with an amber mark",
		"the transmit permit is withdrawn",
		"motion ends in one direction of one axis; the other direction is free",
		"the demands stay at zero; motion goes on by itself when the finding is gone",
		"the axes slow down, stop and are held",
		"the dish goes to the wind stow after a countdown that you can cancel",
		"motion ends at once and is locked out; drive power stays on; the transmit permit must be requested again",
		"motion ends at once, drive power goes off, and both are locked out; the transmit permit must be " +
			"requested again",
	}
}

// handbook is the page as the rows have it.
func handbook() string {
	var b strings.Builder
	b.WriteString(head)
	for r, words := range explained() {
		fmt.Fprintf(&b, "| %s | %s |\n", Response(r), words)
	}
	for _, row := range rows {
		fmt.Fprintf(&b, "\n## %s%s\n\n**%s.** %s\n\n- Response: %s", strings.ToUpper(row.Name[:1]), row.Name[1:],
			strings.TrimSuffix(row.Words, "."), row.Next, row.Response)
		if row.Refuses {
			b.WriteString("; while it stands nothing starts and no power comes on")
		}
		if row.EndsPermit {
			b.WriteString("; the transmit permit is withdrawn and must be requested again")
		}
		if row.RefusesPower {
			b.WriteString("; while it stands no power comes on")
		}
		if row.Always {
			b.WriteString("; also with drive power off and nothing moving")
		}
		b.WriteString(".\n")
		if row.Distrusts {
			b.WriteString("- The axis is no longer referenced: set its position again.\n")
		}
		if row.PerAxis {
			b.WriteString("- Judged for each axis by itself.\n")
		}
		if row.Hold > 0 {
			fmt.Fprintf(&b, "- Found after %s s.\n",
				strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", row.Hold.Seconds()), "0"), "."))
		}
		if len(row.Behind) > 0 {
			var names []string
			for _, cause := range row.Behind {
				names = append(names, RowOf(cause).Name)
			}
			fmt.Fprintf(&b, "- Silent while this stands, which explains it: %s.\n", strings.Join(names, ", "))
		}
	}
	return b.String()
}

func TestHandbookListsTheRows(t *testing.T) {
	if len(explained()) != int(TripPower)+1 {
		t.Fatal("a response is not explained")
	}
	want := handbook()
	if *update {
		if err := os.WriteFile(page, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s differs from the rows: go test ./drive/guard -run Handbook -update", page)
	}
}
