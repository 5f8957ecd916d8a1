package command

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamhelm/app/settings"
)

func TestSettings(t *testing.T) {
	folder := t.TempDir()
	good, bad, absent := filepath.Join(folder, "good.toml"), filepath.Join(folder, "bad.toml"),
		filepath.Join(folder, "absent.toml")
	mine := settings.Practice()
	mine.Station.Name = "Mine"
	if err := settings.Write(good, mine); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(bad, append(mine.Text(), "\n[air]\n"...), 0o600); err != nil {
		t.Fatal(err)
	}
	faulty := filepath.Join(folder, "faulty.toml")
	text := bytes.Replace(mine.Text(), []byte("pulses = 1024"), []byte("pulses = -1"), 2)
	if err := os.WriteFile(faulty, text, 0o600); err != nil {
		t.Fatal(err)
	}
	rows := []struct {
		name, usual string
		args        []string
		status      int
		out, wrong  string // the beginning of stdout, and what stderr holds
	}{
		{"check", absent, []string{"check", good}, 0, good + ": nothing wrong: Mine, bands: 2\n", ""},
		{"check a broken file", absent, []string{"check", bad}, 1, "", bad + ":"},
		{"check two faults", absent, []string{"check", faulty}, 1, "",
			"axes.azimuth.pulses: -1 is out of range; must be 0.25 to 100000000 per turn\n" + faulty + ":"},
		{"check an absent file", good, []string{"check", absent}, 1, "", "no such file"},
		{"check nothing", good, []string{"check", ""}, 1, "", "no file is named"},
		{"show", good, []string{"show"}, 0, "# From " + good + "\n# Beamhelm's settings.", ""},
		{"show practice", absent, []string{"show"}, 0, "# PRACTICE: there is no " + absent, ""},
		{"show a named file", absent, []string{"show", "-settings", good}, 0, "# From " + good, ""},
		{"show an absent file", good, []string{"show", "-settings", absent}, 1, "", "no such file"},
		{"show a file without a name", good, []string{"show", "-settings", ""}, 1, "", "no file is named"},
		{"show a broken file", bad, []string{"show"}, 1, "", "not TOML"},
		{"help", good, []string{"-help"}, 0, "usage: beamhelm settings check FILE", ""},
		{"help of show", good, []string{"show", "-h"}, 0, "usage: beamhelm settings check FILE", ""},
		{"nothing", good, nil, 2, "", "check or show?"},
		{"another word", good, []string{"chek", good}, 2, "", `"chek" is neither check nor show`},
		{"check without a file", good, []string{"check"}, 2, "", "check takes one FILE"},
		{"check two files", good, []string{"check", good, good}, 2, "", "check takes one FILE"},
		{"show a word", good, []string{"show", good}, 2, "", "was not expected"},
		{"show with an unknown flag", good, []string{"show", "-json"}, 2, "", "-json"},
		{"show with a flag without its file", good, []string{"show", "-settings"}, 2, "", "needs an argument"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			var out, wrong bytes.Buffer
			status := settingsFrom(row.usual, row.args, &out, &wrong)
			if status != row.status {
				t.Errorf("status %d, want %d", status, row.status)
			}
			if !strings.HasPrefix(out.String(), row.out) || row.out == "" && out.Len() > 0 {
				t.Errorf("stdout %q, want %q", out.String(), row.out)
			}
			if !strings.Contains(wrong.String(), row.wrong) || row.wrong == "" && wrong.Len() > 0 {
				t.Errorf("stderr %q, want %q", wrong.String(), row.wrong)
			}
		})
	}
}

// TestShownSettingsCanBeUsed: what show writes is a settings file.
func TestShownSettingsCanBeUsed(t *testing.T) {
	var out, wrong bytes.Buffer
	if status := settingsFrom(filepath.Join(t.TempDir(), "absent.toml"), []string{"show"}, &out, &wrong); status != 0 {
		t.Fatal(wrong.String())
	}
	if _, err := settings.Parse("shown.toml", out.Bytes()); err != nil {
		t.Error(err)
	}
}
