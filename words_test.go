package beamhelm_test

import (
	"go/ast"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// wordList reads rows of two columns parted by a tab; lines with # are comments.
func wordList(t *testing.T, name string) (rows [][2]string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		word, use, two := strings.Cut(line, "\t")
		if !two || use == "" {
			t.Fatalf("%s: %q has one column", name, line)
		}
		rows = append(rows, [2]string{word, use})
	}
	return rows
}

// avoided finds the words of the list in a text, those that are allowed where they stand left out.
type avoided struct {
	words   []*regexp.Regexp
	use     []string
	allowed *regexp.Regexp
	names   []string // whole texts that are names in the program
}

func newAvoided(t *testing.T) (a avoided) {
	t.Helper()
	for _, row := range wordList(t, "words.txt") {
		end := `\b`
		if last := row[0][len(row[0])-1]; last == '.' || last == ':' {
			end = ""
		}
		a.words = append(a.words, regexp.MustCompile(`(?i)\b(?:`+row[0]+`)`+end))
		a.use = append(a.use, row[1])
	}
	var senses []string
	for _, row := range wordList(t, "words_allowed.txt") {
		if name, is := strings.CutPrefix(row[0], "="); is {
			a.names = append(a.names, name)
			continue
		}
		senses = append(senses, regexp.QuoteMeta(row[0]))
	}
	a.allowed = regexp.MustCompile(`(?i)\b(?:` + strings.Join(senses, "|") + `)\b`)
	return a
}

// in returns what is found, with the word to use.
func (a avoided) in(text string) (found []string) {
	text = a.allowed.ReplaceAllString(text, "…")
	for i, word := range a.words {
		if hit := word.FindString(text); hit != "" {
			found = append(found, strconv.Quote(hit)+": say "+a.use[i])
		}
	}
	return found
}

var code = regexp.MustCompile("(?s)```.*?```|`[^`\n]*`|\\]\\([^)]*\\)|<!--.*?-->")

// isName says that a text is a name in the program, not words for a reader: of a
// control, a column, a file, a register.
func isName(text string) bool {
	return !strings.Contains(text, " ") && strings.ContainsAny(text, "-_/:") ||
		strings.HasPrefix(text, "CREATE ") || strings.HasPrefix(text, "SELECT ")
}

// quietFolders show nothing to an operator: test rigs, benches and what draws pictures for tests.
var quietFolders = []string{"drive/step/rig", "drive/bench", "app/journal/bench", "drive/firmware/rig",
	"drive/firmware/body", ".ci"}

// TestWords: no label, message, settings comment, command-line text or page uses a word of the list.
func TestWords(t *testing.T) {
	a := newAvoided(t)
	for _, f := range sources(t) {
		if f.isTest || within(f.folder, quietFolders...) {
			continue
		}
		ast.Inspect(f.syntax, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.BasicLit:
				if n.Kind != token.STRING {
					break
				}
				text, err := strconv.Unquote(n.Value)
				if err != nil || isName(text) || slices.Contains(a.names, text) {
					break
				}
				for _, found := range a.in(text) {
					t.Errorf("%s: %s", files.Position(n.Pos()), found)
				}
			}
			return true
		})
	}
	for name, text := range pages(t) {
		text = code.ReplaceAllStringFunc(text, func(s string) string {
			return strings.Repeat("\n", strings.Count(s, "\n")) + "…"
		})
		for i, line := range strings.Split(text, "\n") {
			for _, found := range a.in(line) {
				t.Errorf("%s:%d: %s", name, i+1, found)
			}
		}
	}
}

// TestWordsCatch shows that the list finds what it should, and lets the other senses pass.
func TestWordsCatch(t *testing.T) {
	a := newAvoided(t)
	for _, text := range []string{
		"wants 115.47°", "0.10° est.", "Tooth play", "it bears no more", "what the motor bears for ever",
		"position not trusted", "Wind, greatest", "request it anew", "it came anew", "run-up",
		"Of two seeds nothing is said.", "drive applied no more", "leave to transmit",
	} {
		if len(a.in(text)) == 0 {
			t.Errorf("%q passes", text)
		}
	}
	for _, text := range []string{"commanded 115.47°", "at least 2", "interpolated", "bearing",
		"once more", "estimate", "playground"} {
		if found := a.in(text); len(found) > 0 {
			t.Errorf("%q: %v", text, found)
		}
	}
}
