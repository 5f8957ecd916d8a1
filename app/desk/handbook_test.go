package desk

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"beamhelm/app/desk/watching"
	"beamhelm/app/settings"
	"beamhelm/drive/enclosure"
)

// readingsPage is the handbook's page of readings, from here.
const readingsPage = "../../assets/handbook/readings.md"

var update = flag.Bool("update", false, "write the handbook's page of readings anew")

const readingsHead = `# Every reading

What the enclosure reports twice a second, with its default limits and what to do when one is crossed. Set the limits in Set-up under 'Alarm limits'; a limit counts when it
has been crossed for the hold time, and ends beyond the hysteresis. What is not fitted is not shown and not judged. A motor's current is judged only when it has been driven
for more than a second.

<!-- made from the program's own tables: go test ./app/desk -run Handbook -update -->
The default limits are those of a dish with a 24 V drive supply: common practice, no
source. **Set them to suit your own dish.**
`

// The handbook has every reading whose limits can be set, its limits and what to do.
func TestHandbookListsTheReadings(t *testing.T) {
	var b strings.Builder
	b.WriteString(readingsHead)
	limit := func(name string, l settings.Optional, unit string) string {
		if v := l.Or(1e9); v != 1e9 {
			return fmt.Sprintf(", %s %g %s", name, v, unit)
		}
		return ""
	}
	keys := strings.NewReplacer("alarm_low", "`alarm_low`", "alarm_high", "`alarm_high`")
	for _, r := range settings.Readings() {
		u := r.Usual
		limits := limit("alarm below", u.AlarmLow, r.Unit) + limit("warning below", u.WarningLow, r.Unit) +
			limit("warning above", u.WarningHigh, r.Unit) + limit("alarm above", u.AlarmHigh, r.Unit)
		if limits == "" {
			limits = ", no limits until you set them"
		}
		fmt.Fprintf(&b, "\n## %s, %s\n\n`%s`, register %04X: %s.\n\n- Default: %s; hysteresis %g %s, hold %g s.\n",
			r.Name,
			r.Unit, r.Key, r.Register, keys.Replace(r.Why), limits[2:], u.Hysteresis, r.Unit, u.HoldS)
		place := int(r.Register) - enclosure.AddressReadings
		if place < 0 {
			b.WriteString("- Look for ice, wind, a dragging brake or a worn bearing before you drive on.\n")
			continue
		}
		if low := watching.NextStep(place, true); low.Code != watching.NextStep(place, false).Code {
			fmt.Fprintf(&b, "- Too low: %s\n", low)
		}
		fmt.Fprintf(&b, "- Out of its limits: %s\n", watching.NextStep(place, false))
	}
	if *update {
		if err := os.WriteFile(readingsPage, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := os.ReadFile(readingsPage); err != nil || string(got) != b.String() {
		t.Errorf("%s differs from the tables: go test ./app/desk -run Handbook -update (%v)", readingsPage, err)
	}
}
