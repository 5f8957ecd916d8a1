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
	"unicode"
)

// pages returns the project's own Markdown pages by name.
func pages(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && name != "." && (strings.HasPrefix(entry.Name(), ".") || entry.Name() == "testdata" ||
			entry.Name() == "bin") {
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
	all := pages(t)
	for name, text := range all {
		for _, found := range link.FindAllStringSubmatch(text, -1) {
			if strings.Contains(found[1], "://") {
				continue
			}
			to := filepath.Join(filepath.Dir(name), filepath.FromSlash(found[1]))
			if _, err := os.Stat(to); err != nil {
				t.Errorf("%s links to %s: %v", name, found[1], err)
			}
			if heading := strings.TrimPrefix(found[2], "#"); heading != "" &&
				!strings.Contains(anchors(all[to]), " "+heading+" ") {
				t.Errorf("%s links to %s%s: there is no such heading", name, found[1], found[2])
			}
		}
		if word := placeholder.FindString(text); word != "" {
			t.Errorf("%s has words still to be written: %s", name, word)
		}
	}
}

// anchors are the headings of a page as links name them, with spaces about each.
func anchors(page string) string {
	all := " "
	for line := range strings.Lines(page) {
		if words, is := strings.CutPrefix(strings.TrimLeft(line, "#"), " "); is && strings.HasPrefix(line, "#") {
			kept := strings.Map(func(r rune) rune {
				switch {
				case r == ' ':
					return '-'
				case r == '-' || r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r):
					return unicode.ToLower(r)
				}
				return -1
			}, strings.TrimSpace(words))
			all += kept + " "
		}
	}
	return all
}

// TestTheHandbookIsWhole: every page of the handbook is in the README's list or linked from another page, and none is
// empty.
func TestTheHandbookIsWhole(t *testing.T) {
	all := pages(t)
	for name, text := range all {
		if filepath.Dir(name) != filepath.Join("assets", "handbook") {
			continue
		}
		linked := false
		for _, other := range all {
			linked = linked || strings.Contains(other, "("+filepath.Base(name)) ||
				strings.Contains(other, "handbook/"+filepath.Base(name))
		}
		if !linked || len(text) < 400 {
			t.Errorf("%s: linked %v, %d letters", name, linked, len(text))
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
