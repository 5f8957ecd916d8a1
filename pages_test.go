package beamhelm_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// pages returns the project's own Markdown pages by name.
func pages(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && name != "." && (strings.HasPrefix(entry.Name(), ".") || entry.Name() == "testdata" || entry.Name() == "bin") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(name, ".md") {
			text, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			all[name] = string(text)
		}
		return nil
	})
	if err != nil {
		t.Fatalf("reading the pages: %v", err)
	}
	return all
}

var (
	link = regexp.MustCompile(`\]\(([^)#\s]+)(#[^)]*)?\)`)
	// placeholder is a line of capitals alone, which stands for words still to be written.
	placeholder = regexp.MustCompile(`(?m)^[A-Z]{5,}$`)
	address     = regexp.MustCompile(`\b00[0-5][0-9A-F]\b`)
)

// TestPagesHoldTogether: every link of a page leads to a file that is there.
func TestPagesHoldTogether(t *testing.T) {
	for name, text := range pages(t) {
		for _, found := range link.FindAllStringSubmatch(text, -1) {
			if strings.Contains(found[1], "://") {
				continue
			}
			if _, err := os.Stat(filepath.Join(filepath.Dir(name), filepath.FromSlash(found[1]))); err != nil {
				t.Errorf("%s links to %s: %v", name, found[1], err)
			}
		}
		if word := placeholder.FindString(text); word != "" {
			t.Errorf("%s has words still to be written: %s", name, word)
		}
	}
}

// TestRegisterPageNamesEveryRegister: a builder must find each address from
// 0000 to 005F in a table of the register page.
func TestRegisterPageNamesEveryRegister(t *testing.T) {
	named := map[string]bool{}
	for line := range strings.Lines(pages(t)[filepath.Join("assets", "handbook", "registers.md")]) {
		if !strings.HasPrefix(line, "| 0") {
			continue
		}
		for _, cell := range strings.Split(line, "|") {
			found := address.FindAllString(cell, -1)
			for _, a := range found {
				named[a] = true
			}
			// A cell such as "001B to 001F" names those between as well.
			if len(found) == 2 && strings.Contains(cell, " to ") {
				from, _ := strconv.ParseUint(found[0], 16, 16)
				to, _ := strconv.ParseUint(found[1], 16, 16)
				for a := from; a <= to; a++ {
					named[fmt.Sprintf("%04X", a)] = true
				}
			}
		}
	}
	for a := range 0x60 {
		if name := fmt.Sprintf("%04X", a); !named[name] {
			t.Errorf("the register page has no row for %s", name)
		}
	}
}
