package command

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"beamhelm/assets"
)

func runPasses(args ...string) (status int, stdout, stderr string) {
	var out, wrong bytes.Buffer
	status = Passes(args, strings.NewReader(""), &out, &wrong, assets.Ephemeris())
	return status, out.String(), wrong.String()
}

var passesHere = strings.Fields("-target Moon -lat 55.02 -lon -2.96 -height 190 " +
	"-from 2027-04-14T16:00:00Z -to 2027-04-16T16:00:00Z")

func TestPasses(t *testing.T) {
	status, out, wrong := runPasses(append(passesHere, "-csv")...)
	if status != 0 || wrong != "" || !strings.HasPrefix(out,
		"rise_utc,set_utc,highest_utc,highest_el_deg,rise_az_deg,set_az_deg\n") {
		t.Fatalf("status %d, stderr %q, stdout\n%s", status, wrong, out)
	}
	rows := table(t, out)
	if len(rows) != 3 || rows[0]["rise_utc"] != "" || rows[0]["set_utc"] == "" || rows[1]["rise_utc"] == "" ||
		rows[1]["set_utc"] == "" || rows[2]["set_utc"] != "" {
		t.Fatalf("passes:\n%s", out)
	}
	// Each time is one at which `place` sees the Moon at the horizon.
	for _, c := range []struct{ time, az string }{{rows[0]["set_utc"], rows[0]["set_az_deg"]},
		{rows[1]["rise_utc"], rows[1]["rise_az_deg"]}} {
		_, there, _ := runPlace(strings.Fields("-target Moon -lat 55.02 -lon -2.96 -height 190 -csv -at "+c.time), "")
		row := table(t, there)[0]
		near(t, "elevation at "+c.time, row["el_deg"], 0, 2e-4)
		if row["az_deg"][:6] != c.az[:6] {
			t.Errorf("azimuth %s at %s, in the list %s", row["az_deg"], c.time, c.az)
		}
	}
	if !strings.HasSuffix(rows[0]["set_utc"], "Z") || len(rows[0]["set_utc"]) != len("2027-04-15T01:02:03.4Z") {
		t.Errorf("time %s is not to a tenth of a second", rows[0]["set_utc"])
	}
}

func TestPassesThatFillTheSpan(t *testing.T) {
	_, out, _ := runPasses(
		strings.Fields(
			"-target CasA -lat 55 -lon 0 -height 0 -from 2027-04-14T16:00:00Z -to 2027-04-16T16:00:00Z -json")...)
	var list []struct {
		Rise *string  `json:"rise_utc"`
		Set  *string  `json:"set_utc"`
		Az   *float64 `json:"rise_az_deg"`
	}
	if err := json.Unmarshal([]byte(out), &list); err != nil || len(list) != 1 || list[0].Rise != nil ||
		list[0].Set != nil || list[0].Az == nil {
		t.Errorf("%v in\n%s", err, out)
	}
	_, out, _ = runPasses(
		strings.Fields(
			"-target CasA -lat -55 -lon 0 -height 0 -from 2027-04-14T16:00:00Z -to 2027-04-16T16:00:00Z -json")...)
	if out != "[]\n" {
		t.Errorf("none: %q", out)
	}
}

func TestSharedPasses(t *testing.T) {
	_, alone, _ := runPasses(append(passesHere, "-csv")...)
	_, shared, _ := runPasses(append(passesHere, "-csv", "-partner", "41.7,-72.7,60")...)
	own, both := table(t, alone), table(t, shared)
	if len(both) != 2 || both[0]["set_utc"] != own[0]["set_utc"] || both[0]["rise_utc"] == "" ||
		both[1]["rise_utc"] == own[1]["rise_utc"] {
		t.Errorf("own:\n%sshared:\n%s", alone, shared)
	}
	minimum := append(passesHere, "-csv", "-min", "20")
	_, high, _ := runPasses(minimum...)
	if rows := table(t, high); rows[0]["set_utc"] >= own[0]["set_utc"] {
		t.Errorf("above 20 degrees it sets at %s, above 0 at %s", rows[0]["set_utc"], own[0]["set_utc"])
	}
}

func TestPassesUsage(t *testing.T) {
	for says, args := range map[string]string{
		"-from is not before -to": "-from 2027-04-17T16:00:00Z",
		"-min 91":                 "-min 91",
		"own":                     "-partner 55.02,-2.96,190",
		"latitude,longitude":      "-partner 55.02,-2.96",
		"latitude 95":             "-partner 95,0,0",
		"latitude: \"x\"":         "-partner x,0,0",
		"target":                  "-target Mars",
		"exclude":                 "-csv -json",
	} {
		status, out, wrong := runPasses(append(passesHere, strings.Fields(args)...)...)
		if status != 2 || out != "" || strings.Count(wrong, "\n") != 1 || !strings.Contains(wrong, says) {
			t.Errorf("%s: status %d, stdout %q, stderr %q", args, status, out, wrong)
		}
	}
	if status, _, wrong := runPasses(passesHere[:10]...); status != 2 || !strings.Contains(wrong, "-to is missing") {
		t.Errorf("without -to: %d %q", status, wrong)
	}
	if status, out, _ := runPasses("-help"); status != 0 || !strings.HasPrefix(out, "usage: beamhelm passes") {
		t.Errorf("-help: %d %q", status, out)
	}
}
