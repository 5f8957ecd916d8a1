package command

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamhelm/app/settings"
)

func TestLinkArguments(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	file := filepath.Join(t.TempDir(), "settings.toml")
	own := settings.Practice()
	own.Link.Port, own.Link.Unit = "/dev/ttyUSB7", 9
	if err := os.WriteFile(file, own.Text(), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args string
		want settings.Link // port, baud, unit
		says string
	}{
		{"test -settings " + file, settings.Link{Port: "/dev/ttyUSB7", Baud: 19200, Unit: 9}, ""},
		{"test -settings " + file + " -port /dev/x -baud 57600 -unit 3", settings.Link{Port: "/dev/x", Baud: 57600, Unit: 3}, ""},
		{"test -port /dev/x -unit 300", settings.Link{}, "must be 1 to 247"},
		{"", settings.Link{}, "link test?"},
		{"test it", settings.Link{}, "no such argument"},
		{"test -port /dev/x -parity maybe", settings.Link{}, "even, odd or none"},
		{"test -port /dev/there-is-none", settings.Link{}, "there-is-none"},
	} {
		line, _, err := linkArguments(strings.Fields(c.args))
		if c.says == "" {
			if err != nil || line.Port != c.want.Port || line.Baud != c.want.Baud || line.Unit != c.want.Unit {
				t.Errorf("%q: %+v, %v", c.args, line, err)
			}
			continue
		}
		var out, wrong bytes.Buffer
		if status := Link(strings.Fields(c.args), &out, &wrong); status == 0 || !strings.Contains(wrong.String(), c.says) {
			t.Errorf("%q: status %d, %q, want %q", c.args, status, wrong.String(), c.says)
		}
	}
}
