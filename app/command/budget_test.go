package command

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"beamhelm/assets"
)

func runBudget(stdin string, args ...string) (status int, stdout, stderr string) {
	var out, wrong bytes.Buffer
	status = Budget(args, strings.NewReader(stdin), &out, &wrong, assets.Ephemeris())
	return status, out.String(), wrong.String()
}

// The columns in the order that is promised, a line a row, those without an answer with a note alone.
func TestBudget(t *testing.T) {
	text, err := os.ReadFile("../../ephem/budget/testdata/authorities/budget.csv")
	if err != nil {
		t.Fatal(err)
	}
	status, out, wrong := runBudget(string(text), "-batch", "-")
	const header = "row,note,moon_az_deg,moon_el_deg,sun_off_deg,g0_dbi,hpbw_deg,eta_mb,t_sky_k," +
		"t_moon_k,t_sun_k,t_air_k," +
		"t_ground_k,t_ant_k,t_sys_k," +
		"path_db,air_db,filling_db,pointing_db,echo_dbm,cn0_dbhz,snr_2500_db,snr_50_db,spread_hz,cn0_spread_db," +
		"t_sys_within_k,cn0_within_db\n"
	if status != 0 || wrong != "" || !strings.HasPrefix(out, header) {
		t.Fatalf("status %d, stderr %q, stdout\n%s", status, wrong, out)
	}
	asked, answered := table(t, string(text[bytes.Index(text, []byte("row,lat")):])), table(t, out)
	if len(asked) != len(answered) {
		t.Fatalf("%d rows asked, %d answered", len(asked), len(answered))
	}
	for i, row := range answered {
		if row["row"] != asked[i]["row"] || (row["note"] != "") != (asked[i]["refused"] == "1") ||
			(row["cn0_dbhz"] == "") != (row["note"] != "") {
			t.Errorf("row %s: %v", asked[i]["row"], row)
		}
	}
	near(t, "the first echo", answered[0]["cn0_dbhz"], 25.177, 0.04)
}

func TestBudgetUsage(t *testing.T) {
	for name, c := range map[string]struct {
		stdin string
		args  []string
		says  string
	}{
		"a column is missing": {"row,lat_deg\n1,2\n", []string{"-batch", "-"}, "the column lon_deg is missing"},
		"nothing":             {"", []string{"-batch", "-"}, "empty"},
		"no batch":            {"", nil, "-batch is missing"},
		"another flag":        {"", []string{"-batch", "-", "-lat", "4"}, "doesn't go with -batch"},
	} {
		status, out, wrong := runBudget(c.stdin, c.args...)
		if status != 2 || out != "" || strings.Count(wrong, "\n") != 1 || !strings.Contains(wrong, c.says) {
			t.Errorf("%s: status %d, stdout %q, stderr %q", name, status, out, wrong)
		}
	}
	if status, _, wrong := runBudget("", "-batch", "/nowhere/at.csv"); status != 1 ||
		!strings.Contains(wrong, "reading the batch") {
		t.Errorf("no file: %d %q", status, wrong)
	}
	if status, out, _ := runBudget("", "-h"); status != 0 || !strings.HasPrefix(out, "usage: beamhelm budget") {
		t.Errorf("-h: %d %q", status, out)
	}
}
