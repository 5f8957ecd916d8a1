package command

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/adrg/xdg"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
)

func runSkeds(args ...string) (status int, stdout, stderr string) {
	var out, wrong bytes.Buffer
	status = Skeds(append([]string{"-practice", "-from", "2027-04-14T16:00:00Z", "-days", "6"}, args...), &out, &wrong)
	return status, out.String(), wrong.String()
}

// A state folder of the test's own.
func ownState(t *testing.T) kept.Store {
	t.Helper()
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	xdg.Reload()
	t.Cleanup(xdg.Reload)
	store, err := kept.UsualStore(settings.Source{Practice: true})
	if err != nil {
		t.Fatal(err)
	}
	return store
}

// The list is ranked, its terms add up, and each window is one of the passes that `passes` finds shared.
func TestSkeds(t *testing.T) {
	ownState(t)
	status, out, wrong := runSkeds("-with", "larch hollow", "-csv")
	if status != 0 || wrong != "" {
		t.Fatalf("status %d, %s", status, wrong)
	}
	rows := table(t, out)
	if len(rows) < 4 {
		t.Fatalf("%d windows:\n%s", len(rows), out)
	}
	number := func(row map[string]string, name string) float64 {
		v, err := strconv.ParseFloat(row[name], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for i, row := range rows {
		sum := 0.0
		for _, term := range []string{"distance_db", "noise_db", "air_db", "polarisation_db", "spread_loss_db"} {
			sum += number(row, term)
		}
		near(t, "sum of the terms", strconv.FormatFloat(-sum, 'f', 4, 64), number(row, "merit_db"), 0.03)
		if i > 0 && number(row, "merit_db") > number(rows[i-1], "merit_db") {
			t.Errorf("rank %d is better than the one before:\n%s", i+1, out)
		}
		best, err := time.Parse(time.RFC3339, row["best_utc"])
		if err != nil || number(row, "el_deg") <= 0 || number(row, "partner_el_deg") <= 0 {
			t.Errorf("row %v: %v", row, err)
		}
		_, there, _ := runPlace(strings.Fields("-target Moon -lat 55.02 -lon -2.96 -height 190 -csv -at "+best.Format(
			time.RFC3339)), "")
		near(t, "elevation at "+row["best_utc"], row["el_deg"], number(table(t, there)[0], "el_deg"), 0.1)
	}
	_, text, _ := runSkeds("-with", "Larch Hollow")
	if lines := strings.Split(strings.TrimSpace(text), "\n"); len(lines) != len(rows)+1 || len(lines[1]) > 200 {
		t.Errorf("text:\n%s", text)
	}
	_, calendar, _ := runSkeds("-with", "Larch Hollow", "-ics")
	if got := strings.Count(calendar, "BEGIN:VEVENT\r\n"); got != len(rows) {
		t.Errorf("%d events of %d windows", got, len(rows))
	}
}

func TestSkedsTakesThePanelsList(t *testing.T) {
	store := ownState(t)
	list := "name,locator,polarisation,note\nOak Bank,JN18eu,circular,\n"
	if err := store.Write(kept.Radio, desk.KeptRadio{Kept: radio.Kept{Partners: list,
		Partner: "Oak Bank"}}); err != nil {
		t.Fatal(err)
	}
	if status, out, wrong := runSkeds("-with", "Oak Bank", "-mode", "voice", "-band", "5760 MHz",
		"-csv"); status != 0 ||
		!strings.Contains(out, "Oak Bank") || table(t, out)[0]["tolerated_hz"] != "200" {
		t.Errorf("status %d: %s%s", status, out, wrong)
	}
	file := filepath.Join(t.TempDir(), "partners.csv")
	if err := os.WriteFile(file, []byte(strings.Replace(list, "Oak Bank", "Elm Row", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, out, wrong := runSkeds("-with", "Elm Row", "-partners", file, "-json"); status != 0 ||
		!strings.Contains(out, "Elm Row") {
		t.Errorf("status %d: %s%s", status, out, wrong)
	}
	// What can't be read is told, and left as it is.
	path := filepath.Join(store.Folder, kept.Radio+".json")
	if err := os.WriteFile(path, []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, _, wrong := runSkeds("-with", "Oak Bank"); status != 1 || !strings.Contains(wrong, "kept radio") {
		t.Errorf("status %d: %s", status, wrong)
	}
	if _, err := os.Stat(path); err != nil {
		t.Errorf("a command set a file of the panel aside: %v", err)
	}
}

func TestSkedsUsage(t *testing.T) {
	ownState(t)
	for says, args := range map[string]string{
		"-with is missing; the list has: Quarry Ridge": "-csv",
		"no partner \"Nowhere\"":                       "-with Nowhere",
		"exclude each other":                           "-with Larch -csv -ics",
		"-days 0":                                      "-days 0",
		"-shortest -1":                                 "-shortest -1",
		"mode \"smoke\"":                               "-with Larch -mode smoke",
		"no band \"1 MHz\"":                            "-band=1_MHz",
		"not expected":                                 "more",
		"not both":                                     "-settings FILE",
	} {
		with := []string{}
		for _, word := range strings.Fields(args) {
			with = append(with, strings.ReplaceAll(strings.Replace(word, "Larch", "Larch Hollow", 1), "_", " "))
		}
		if strings.Contains(args, "band") {
			with = append(with, "-with", "Larch Hollow")
		}
		status, out, wrong := runSkeds(with...)
		if status != 2 || out != "" || strings.Count(wrong, "\n") != 1 || !strings.Contains(wrong, says) {
			t.Errorf("%s: status %d, stdout %q, stderr %q", args, status, out, wrong)
		}
	}
	if status, out, _ := runSkeds("-help"); status != 0 || !strings.HasPrefix(out, "usage: beamhelm skeds") {
		t.Errorf("-help: %d %q", status, out)
	}
}
