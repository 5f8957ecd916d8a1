package command

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamhelm/app/settings"
	"beamhelm/drive/conform"
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
		{"test -settings " + file + " -port /dev/x -baud 57600 -unit 3",
			settings.Link{Port: "/dev/x", Baud: 57600, Unit: 3}, ""},
		{"test -port /dev/x -unit 300", settings.Link{}, "must be 1 to 247"},
		{"", settings.Link{}, "link test?"},
		{"test it", settings.Link{}, "no such argument"},
		{"test -port /dev/x -parity maybe", settings.Link{}, "even, odd or none"},
		{"test -port /dev/there-is-none -move", settings.Link{}, "the answer was not yes"},
		{"test -port /dev/there-is-none -permit -yes", settings.Link{}, "there-is-none"},
		{"test -port /dev/there-is-none", settings.Link{}, "there-is-none"},
	} {
		r, err := linkArguments(strings.Fields(c.args))
		line := r.line
		if c.says == "" {
			if err != nil || line.Port != c.want.Port || line.Baud != c.want.Baud || line.Unit != c.want.Unit {
				t.Errorf("%q: %+v, %v", c.args, line, err)
			}
			continue
		}
		var out, wrong bytes.Buffer
		if status := Link(strings.Fields(c.args), strings.NewReader(""), &out, &wrong); status == 0 ||
			!strings.Contains(wrong.String(), c.says) {
			t.Errorf("%q: status %d, %q, want %q", c.args, status, wrong.String(), c.says)
		}
	}
}

func TestLinkAsksBeforeItMoves(t *testing.T) {
	for _, c := range []struct {
		r      linkRequest
		answer string
		agreed bool
		says   string
	}{
		{linkRequest{}, "", true, ""},
		{linkRequest{move: true}, "yes\n", true, "The dish will move."},
		{linkRequest{move: true}, "y\n", false, "hard-wired stop"},
		{linkRequest{permit: true}, "", false, "transmitter off"},
		{linkRequest{permit: true, move: true, sure: true}, "", true, ""},
	} {
		var out bytes.Buffer
		err := agreed(c.r, strings.NewReader(c.answer), &out)
		if (err == nil) != c.agreed || !strings.Contains(out.String(), c.says) || c.says == "" && out.Len() > 0 {
			t.Errorf("%+v, answer %q: %v, %q", c.r, c.answer, err, out.String())
		}
	}
}

var update = flag.Bool("update", false, "write the handbook's table of the rules of link test anew")

// The handbook's page holds every rule as it is tried, one line each.
func TestTheHandbookHasTheRules(t *testing.T) {
	name := filepath.Join("..", "..", "assets", "handbook", "linktest.md")
	page, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := strings.Cut(string(page), "## The rules\n")
	if !found {
		t.Fatal("the page has no heading 'The rules'")
	}
	_, after, found := strings.Cut(rest, "\n## ")
	if !found {
		t.Fatal("nothing follows the rules")
	}
	var table strings.Builder
	table.WriteString("\n| what is tried | section | needs |\n|---|---|---|\n")
	for _, r := range conform.Rules() {
		if r.Needs != conform.Hands {
			fmt.Fprintf(&table, "| %s | %s | %v |\n", r.Words, r.Section, r.Needs)
		}
	}
	table.WriteString("\nWhat needs hands at the dish, and is never tried:\n\n| rule | section |\n|---|---|\n")
	for _, r := range conform.Rules() {
		if r.Needs == conform.Hands {
			fmt.Fprintf(&table, "| %s | %s |\n", r.Words, r.Section)
		}
	}
	want := before + "## The rules\n" + table.String() + "\n## " + after
	if *update {
		err = os.WriteFile(name, []byte(want), 0o644)
	} else if want != string(page) {
		err = errors.New(
			"the page doesn't hold the rules as they are: go test ./app/command -run Handbook -update writes them")
	}
	if err != nil {
		t.Error(err)
	}
}

func TestLinkLists(t *testing.T) {
	var out, wrong bytes.Buffer
	if status := Link([]string{"test", "-list"}, strings.NewReader(""), &out, &wrong); status != 0 ||
		strings.Count(out.String(), "\n") != len(conform.Rules())+1 {
		t.Errorf("status %d, %s%s", status, out.String(), wrong.String())
	}
}
