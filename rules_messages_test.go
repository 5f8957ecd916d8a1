package beamhelm_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// sentence is three words of small letters in a row.
var sentence = regexp.MustCompile(`\b[a-z']{2,}(?:[ ,]+[a-z']{2,}){2,}`)

// deskNames are names in the desk that are no sentences: those of targets in the records, and of circumstances by which
// what is usual is kept.
var deskNames = []string{`"the noise source"`, `"the sky at several elevations"`, `"at half speed"`}

// TestDeskTellsCodes: the desk and its parts tell codes with arguments, and app/message alone words them. So the words
// of a thing stand once, and nothing has to look into sentences for what happened.
func TestDeskTellsCodes(t *testing.T) {
	for _, f := range sources(t) {
		if f.isTest || !within(f.folder, "app/desk", "app/wear") {
			continue
		}
		for _, found := range sentences(f.syntax) {
			t.Errorf("%s: %s: give it a code, and words in app/message", files.Position(found.Pos()), found.Value)
		}
	}
}

// TestDeskTellsCodesCatches shows what is found, and what isn't meant.
func TestDeskTellsCodesCatches(t *testing.T) {
	for body, want := range map[string]int{
		`t.warn("the dish holds now")`:                        1,
		`return "Not started, " + "it is still on the way"`:   1,
		"const why = `the time is over`":                      1,
		`return message.Of("desk.not-started")`:               0,
		`return fmt.Errorf("the settings do not fit: %w", e)`: 0,
		`return fmt.Errorf("the settings do not fit")`:        1,
		`_ = "the noise source"`:                              0,
		`var _ struct{ A int "a tag of words" }`:              0,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "", "package p\nfunc f() any {\n"+body+"\n}\n", 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(sentences(file)); got != want {
			t.Errorf("%s: %d found, want %d", body, got, want)
		}
	}
}

// sentences are the literals of a file that an operator could read as one; errors that wrap another are for whoever
// calls.
func sentences(file *ast.File) (found []*ast.BasicLit) {
	var tags []*ast.BasicLit
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			tags = append(tags, n.Tag)
		case *ast.CallExpr:
			if f, is := n.Fun.(*ast.SelectorExpr); is && f.Sel.Name == "Errorf" && wraps(n.Args) {
				return false
			}
		case *ast.BasicLit:
			if n.Kind == token.STRING && sentence.MatchString(n.Value) && !slices.Contains(deskNames, n.Value) &&
				!slices.Contains(tags, n) {
				found = append(found, n)
			}
		}
		return true
	})
	return found
}

func wraps(args []ast.Expr) bool {
	format, is := args[0].(*ast.BasicLit)
	return is && strings.Contains(format.Value, "%w")
}
