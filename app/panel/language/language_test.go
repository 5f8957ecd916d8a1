package language

import (
	"bytes"
	"encoding/json"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"beamhelm/app/settings"
)

func table(t *testing.T, name string) *Table {
	t.Helper()
	found, err := Of(name)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func TestSay(t *testing.T) {
	de := table(t, "de")
	for english, want := range map[string]string{
		"Track":                          "Nachführen",
		"Locked out: a cause of its own": "Gesperrt: a cause of its own", // what the table lacks stays
		"wants 116.58°":                  "will 116.58°",
		"12 s":                           "12 s",
		"116.58°":                        "116.58°",
		"":                               "",
		"still · 0.0 A":                  "steht · 0.0 A",
		"3 of 11 done, 1 left out":       "3 von 11 erledigt, 1 ausgelassen",
		"The Moon":                       "Der Mond",
		"No longer: The wind is strong":  "Nicht mehr: Der Wind ist stark",
		"10/s, 2 errors since 16:00":     "10/s, 2 Fehler seit 16:00",
		"16:00:09 Drive power is on":     "16:00:09 Antriebe sind eingeschaltet",
		"1 Link and identity ▾":          "1 Leitung und Kennung ▾",
		"Drive, %":                       "Antrieb, %",
	} {
		if got := de.Say(english); got != want {
			t.Errorf("%q: %q, want %q", english, got, want)
		}
		if got := de.Say(english); got != want {
			t.Errorf("%q, once more: %q", english, got)
		}
	}
	if got := Changed(strings.ToUpper).Say("Track"); got != "TRACK" {
		t.Errorf("changed: %q", got)
	}
	if _, err := Of("xx"); err == nil {
		t.Error("there is a table of no language")
	}
}

// TestTablesHoldTogether: a phrase and what is said for it have the same verbs, in the same order.
func TestTablesHoldTogether(t *testing.T) {
	for english, german := range table(t, "de").to {
		if a, b := verb.FindAllString(english, -1), verb.FindAllString(german, -1); !slices.Equal(a, b) {
			t.Errorf("%q has %q, %q has %q", english, a, german, b)
		}
		if strings.TrimSpace(german) == "" || strings.HasSuffix(english, "…") != strings.HasSuffix(german, "…") || strings.HasSuffix(english, "▾") != strings.HasSuffix(german, "▾") {
			t.Errorf("%q: %q", english, german)
		}
	}
}

var update = flag.Bool("update", false, "write the English table anew")

// spoken are the folders whose words the window shows.
func spoken() []string {
	return []string{"../../panel", "../../view", "../../desk", "../../commission", "../../settings", "../../alarm", "../../beside.go", "../../../drive/guard", "../../../drive/step"}
}

// The English table has every phrase of the program, for whoever makes the table of another language.
func TestEnglishIsComplete(t *testing.T) {
	english := map[string]string{}
	for _, folder := range spoken() {
		err := filepath.WalkDir(folder, func(path string, _ fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "/stage/") {
				return err
			}
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
			if err == nil {
				phrases(file, english)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, field := range settings.Fields() {
		english[field.Name] = field.Name // most are put together from the key
	}
	var text bytes.Buffer
	out := json.NewEncoder(&text)
	out.SetEscapeHTML(false)
	out.SetIndent("", " ")
	if err := out.Encode(english); err != nil {
		t.Fatal(err)
	}
	const page = "../../../assets/words/en.json"
	if *update {
		if err := os.WriteFile(page, text.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got := map[string]string{}
	kept, err := os.ReadFile(page)
	if err == nil {
		err = json.Unmarshal(kept, &got)
	}
	if err != nil || !maps.Equal(got, english) {
		t.Errorf("%s differs from the words of the program (%d phrases, %d there): go test ./app/panel/language -update (%v)", page, len(english), len(got), err)
	}
}

// phrases are the literals of a file that are words: with a space in them, or a capital first.
func phrases(file *ast.File, into map[string]string) {
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			if n.Tag != nil {
				return false
			}
		case *ast.BasicLit:
			words, err := strconv.Unquote(n.Value)
			letters := strings.Count(strings.Map(func(r rune) rune {
				if unicode.IsLetter(r) {
					return 'a'
				}
				return ' '
			}, verb.ReplaceAllString(words, "")), "a")
			if n.Kind == token.STRING && err == nil && letters > 1 && (strings.Contains(strings.TrimSpace(words), " ") || unicode.IsUpper([]rune(words)[0])) {
				into[words] = words
			}
		}
		return true
	})
}
