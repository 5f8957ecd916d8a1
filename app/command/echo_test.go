package command

import (
	"bytes"
	"strconv"
	"strings"
	"testing"

	"beamhelm/assets"
)

func runEcho(args ...string) (status int, stdout, stderr string) {
	var out, wrong bytes.Buffer
	status = Echo(args, strings.NewReader(""), &out, &wrong, assets.Ephemeris())
	return status, out.String(), wrong.String()
}

var echoHere = strings.Fields("-lat -43.9 -lon 170.4 -height 320 -mhz 1296 -at 2024-01-05T21:16:33Z -airless")

// Source: the first line of ephem/testdata/moon_sun_places.csv (JPL DE431, ERFA 2006/2000A); loss by
// the radar equation (computed).
func TestEcho(t *testing.T) {
	status, out, wrong := runEcho(append(echoHere, "-csv")...)
	const header = "utc,own_doppler_hz,own_delay_s,own_loss_db,own_spread_hz,partner_el_deg," +
		"mutual_doppler_hz,mutual_delay_s," +
		"mutual_loss_db,mutual_spread_hz,polarisation_deg,moon_sky_k,"
	if status != 0 || wrong != "" || !strings.HasPrefix(out, header) {
		t.Fatalf("status %d, stderr %q, stdout\n%s", status, wrong, out)
	}
	row := table(t, out)[0]
	near(t, "Doppler", row["own_doppler_hz"], -542.1442, 0.005)
	near(t, "delay", row["own_delay_s"], 2.593311698, 1e-6)
	near(t, "loss", row["own_loss_db"], 271.37, 0.01)
	near(t, "elevation", row["moon_el_deg"], 53.901792, 1e-5)
	for _, name := range []string{"partner_el_deg", "mutual_doppler_hz", "mutual_delay_s", "mutual_loss_db",
		"mutual_spread_hz", "polarisation_deg", "note"} {
		if row[name] != "" {
			t.Errorf("%s is %q without a partner", name, row[name])
		}
	}
	if k, err := strconv.ParseFloat(row["moon_sky_k"], 64); err != nil || k < 3 || k > 8 {
		t.Errorf("sky behind the Moon %q K", row["moon_sky_k"])
	}
}

func TestEchoWithPartner(t *testing.T) {
	args := append(echoHere, "-csv", "-step", "1m", "-count", "2", "-partner")
	_, out, _ := runEcho(append(args, "-34.9,138.6,50")...)
	rows := table(t, out)
	if len(rows) != 2 || rows[1]["utc"] != "2024-01-05T21:17:33Z" {
		t.Fatalf("rows:\n%s", out)
	}
	_, there, _ :=
		runPlace(strings.Fields("-target Moon -lat -34.9 -lon 138.6 -height 50 -airless -csv -at 2024-01-05T21:16:33Z"),
			"")
	el, _ := strconv.ParseFloat(table(t, there)[0]["el_deg"], 64)
	near(t, "the partner's elevation", rows[0]["partner_el_deg"], el, 1e-6)
	// A partner beside the station has the own echo's figures.
	_, out, _ = runEcho(append(args, "-43.9,170.4,320.001")...)
	row := table(t, out)[0]
	for _, name := range []string{"doppler_hz", "delay_s", "loss_db", "spread_hz"} {
		own, _ := strconv.ParseFloat(row["own_"+name], 64)
		near(t, "mutual "+name, row["mutual_"+name], own, 1e-3)
	}
	near(t, "polarisation", row["polarisation_deg"], 0, 1e-4)
}

func TestEchoUsage(t *testing.T) {
	for says, args := range map[string]string{
		"-mhz 0":       "-mhz 0",
		"not a number": "-mhz NaN",
		"own":          "-partner -43.9,170.4,320",
		"more than 1":  "-partner 1,2,3 -partner 4,5,6",
		"latitude 95":  "-lat 95",
		"RFC 3339":     "-at now",
	} {
		status, out, wrong := runEcho(append(echoHere, strings.Fields(args)...)...)
		if status != 2 || out != "" || strings.Count(wrong, "\n") != 1 || !strings.Contains(wrong, says) {
			t.Errorf("%s: status %d, stdout %q, stderr %q", args, status, out, wrong)
		}
	}
	if status, _, wrong := runEcho(echoHere[:6]...); status != 2 || !strings.Contains(wrong, "-mhz is missing") {
		t.Errorf("without -mhz: %d %q", status, wrong)
	}
	if status, out, _ := runEcho("-h"); status != 0 || !strings.HasPrefix(out, "usage: beamhelm echo") {
		t.Errorf("-h: %d %q", status, out)
	}
}
