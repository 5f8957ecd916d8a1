package beamhelm_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"
)

// The rules of the house, read from the source itself. Each failure says which
// rule, where, and why the rule is there.

const (
	maxFileLines     = 380
	maxFunctionLines = 60
	maxColumns       = 120 // a tab counts four
	// tableMark, alone on a comment line, exempts a file (before the package
	// clause or at a declaration at its top level) or a function (in its doc)
	// from the length rules: tables of coefficients may be long.
	tableMark = "//beamhelm:table"
)

// goFile is one parsed file of the module.
type goFile struct {
	name   string // slash-separated, from the root
	folder string // "." for the root
	isTest bool
	text   []byte
	syntax *ast.File
}

// within says whether a folder is one of the trees or lies in one.
func within(folder string, trees ...string) bool {
	return slices.ContainsFunc(trees, func(tree string) bool {
		return folder == tree || strings.HasPrefix(folder, tree+"/")
	})
}

// parsed is every Go file of the module, read once for all tests.
var parsed = sync.OnceValues(func() (all []goFile, err error) {
	err = filepath.WalkDir(".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := entry.Name()
		if entry.IsDir() && name != "." && (strings.HasPrefix(base, ".") || base == "testdata" || base == "bin") {
			return filepath.SkipDir
		}
		if entry.IsDir() || !strings.HasSuffix(base, ".go") {
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		syntax, err := parser.ParseFile(files, name, text, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		slashed := filepath.ToSlash(name)
		all = append(all, goFile{slashed, path.Dir(slashed), strings.HasSuffix(base, "_test.go"), text, syntax})
		return nil
	})
	return all, err
})

// files are the positions of what is parsed.
var files = token.NewFileSet()

// sources returns every Go file of the module.
func sources(t *testing.T) []goFile {
	t.Helper()
	all, err := parsed()
	if err != nil {
		t.Fatalf("reading the sources: %v", err)
	}
	return all
}

// imports returns the import paths of a file, those of this module shortened
// to their folder with a leading "./".
func (f goFile) imports() []string {
	var paths []string
	for _, spec := range f.syntax.Imports {
		p, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			panic(err) // the parser has accepted it
		}
		if rest, own := strings.CutPrefix(p, "beamhelm/"); own {
			p = "./" + rest
		}
		paths = append(paths, p)
	}
	return paths
}

// importRule forbids imports to some folders.
type importRule struct {
	why string
	// holds says to which folders the rule applies.
	holds func(folder string) bool
	// forbids says which imports break it. Own packages begin with "./".
	forbids func(imported string) bool
	// testsToo applies it to test files as well; pure spares the shells and commands in its folders.
	testsToo, pure bool
}

func in(trees ...string) func(string) bool {
	return func(folder string) bool { return within(folder, trees...) }
}

func oneOf(trees ...string) func(string) bool {
	return func(imported string) bool { return within(imported, trees...) }
}

// pureTrees are the packages that only compute: they can be stepped by hand,
// replayed from a record and tested without a machine.
var pureTrees = []string{
	"ephem", "app/view", "app/desk", "app/message", "app/commission", "app/echotest", "app/transceiver/codec",
	"app/audio/spectrum", "app/wear", "app/alarm",
	"drive/step", "drive/motion", "drive/guard",
	"drive/mount", "drive/enclosure", "drive/replica/plant",
}

// shells are the single files in which a pure package is run: they hold the
// locks and the clock, so that nothing else in the package needs any.
var shells = []string{"app/desk/runner.go"}

// isPure says whether the rules of pure packages hold for a file.
func (f goFile) isPure() bool {
	return within(f.folder, pureTrees...) && !f.isTest && f.syntax.Name.Name != "main" &&
		!slices.Contains(shells, f.name)
}

var importRules = []importRule{
	{
		why: "only the program's own package may open Fyne's driver, or the window's packages could not be " +
			"tested without a display",
		holds:    func(folder string) bool { return folder != "app" },
		forbids:  oneOf("fyne.io/fyne/v2/app"),
		testsToo: true,
	},
	{
		why: "only the program's own package opens the sound system, which needs a C compiler: all else hears it " +
			"through app/audio",
		holds:   func(folder string) bool { return folder != "app" && folder != "app/audio/soundcard" },
		forbids: oneOf("./app/audio/soundcard", "github.com/gen2brain/malgo"),
	},
	{
		why:      "only the window uses Fyne; everything else must run without one",
		holds:    func(folder string) bool { return folder != "." && folder != "app" && !within(folder, "app/panel") },
		forbids:  oneOf("fyne.io/fyne/v2", "github.com/dweymouth/fyne-tooltip"),
		testsToo: true,
	},
	{
		why:      "the drive must not know the sky nor the window: directions arrive as plain values",
		holds:    in("drive"),
		forbids:  oneOf("./ephem", "./app", "./assets", "fyne.io/fyne/v2"),
		testsToo: true,
	},
	{
		why:      "the sky is arithmetic: it knows neither machine, window nor embedded files",
		holds:    in("ephem"),
		forbids:  oneOf("./drive", "./app", "./assets", "fyne.io/fyne/v2"),
		testsToo: true,
	},
	{
		why:      "the window shows the desk's status and gives it orders; it never reaches the machine past the desk",
		holds:    in("app/panel"),
		forbids:  oneOf("./drive"),
		testsToo: true,
	},
	{
		why: "files, ports, programs and names are used beside the window's goroutine, by way of " +
			"app/panel/offwindow: what hangs must not make Esc deaf",
		holds: func(folder string) bool { return within(folder, "app/panel") && folder != "app/panel/offwindow" },
		forbids: oneOf("os", "os/exec", "net", "syscall", "io/ioutil", "golang.org/x/sys", "go.bug.st/serial",
			"./app/settings/replace", "./app/settings/kept"),
	},
	{
		why:      "the embedded files depend on nothing, so that anything may depend on them",
		holds:    in("assets"),
		forbids:  oneOf("./drive", "./app", "./ephem"),
		testsToo: true,
	},
	{
		why:   "a pure package has no files, logs, locks or chance in it",
		holds: in(pureTrees...),
		pure:  true,
		forbids: oneOf("os", "log", "sync", "math/rand", "net", "syscall", "os/exec", "golang.org/x/sync",
			"golang.org/x/sys"),
	},
	{
		why:      "motion, guard, mount and enclosure stand alone: of drive they may use mount and enclosure only",
		holds:    in("drive/motion", "drive/guard", "drive/mount", "drive/enclosure"),
		testsToo: true,
		forbids: func(imported string) bool {
			return within(imported, "./drive") && !within(imported, "./drive/mount", "./drive/enclosure")
		},
	},
}

// spared are the single files that may use more than their folder, and do no harm by it:
// the size of words is an environment variable, which no disk keeps waiting.
var spared = []string{"app/panel/scale.go"}

func TestImportRules(t *testing.T) {
	all := sources(t)
	for _, f := range all {
		for _, rule := range importRules {
			if !rule.holds(f.folder) || slices.Contains(spared, f.name) || f.isTest && !rule.testsToo ||
				rule.pure && !f.isPure() {
				continue
			}
			for _, imported := range f.imports() {
				if rule.forbids(imported) && !within(imported, "./"+f.folder) {
					t.Errorf("%s imports %s: %s", f.name, imported, rule.why)
				}
			}
		}
	}
}

// TestSkyMeetsMachineAtTheDesk keeps the one place where both are known. The
// simulated dish of practice, which stands under the real sky, is the other side of it.
func TestSkyMeetsMachineAtTheDesk(t *testing.T) {
	sky, machine := map[string]string{}, map[string]string{}
	for _, f := range sources(t) {
		for _, imported := range f.imports() {
			if within(imported, "./ephem") {
				sky[f.folder] = f.name
			}
			if within(imported, "./drive") {
				machine[f.folder] = f.name
			}
		}
	}
	for folder, file := range sky {
		if other, both := machine[folder]; both && folder != "app" &&
			!within(folder, "app/desk", "app/practice", "app/command", "app/rehearse") {
			t.Errorf("%s imports the sky and %s the drive: the desk is the only place where sky meets machine", file,
				other)
		}
	}
}

// clockCalls are the functions of package time that read or wait on a clock.
var clockCalls = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}

func TestPurePackagesReadNoClock(t *testing.T) {
	for _, f := range sources(t) {
		if !f.isPure() {
			continue
		}
		ast.Inspect(f.syntax, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains(clockCalls, n.Sel.Name) {
					t.Errorf("%s: time.%s in a pure package: the time is an input", files.Position(n.Pos()), n.Sel.Name)
				}
			case *ast.GoStmt:
				t.Errorf("%s: a goroutine in a pure package: it must do its work in the caller's step",
					files.Position(n.Pos()))
			}
			return true
		})
	}
}

// TestGoroutinesOfTheWindow: they begin in one place, so that they end in one way.
func TestGoroutinesOfTheWindow(t *testing.T) {
	for _, f := range sources(t) {
		if !within(f.folder, "app/panel") || f.isTest || f.folder == "app/panel/offwindow" {
			continue
		}
		ast.Inspect(f.syntax, func(n ast.Node) bool {
			if begun, ok := n.(*ast.GoStmt); ok {
				t.Errorf("%s: a goroutine that offwindow.Go doesn't know of", files.Position(begun.Pos()))
			}
			return true
		})
	}
}

func TestLengths(t *testing.T) {
	for _, f := range sources(t) {
		if f.isTest || ast.IsGenerated(f.syntax) {
			continue
		}
		lines := strings.Count(string(f.text), "\n")
		if lines > maxFileLines && !hasMark(f.syntax.Comments) {
			t.Errorf("%s has %d lines, at most %d: split it by what it is about (a table of coefficients is "+
				"exempt with %s)", f.name, lines, maxFileLines, tableMark)
		}
		for _, declaration := range f.syntax.Decls {
			function, ok := declaration.(*ast.FuncDecl)
			if !ok || function.Body == nil {
				continue
			}
			length := files.Position(function.End()).Line - files.Position(function.Pos()).Line + 1
			if length > maxFunctionLines && (function.Doc == nil || !hasMark([]*ast.CommentGroup{function.Doc})) {
				t.Errorf("%s: %s has %d lines, at most %d", files.Position(function.Pos()), function.Name.Name, length,
					maxFunctionLines)
			}
		}
	}
}

// TestWidth: a line fits beside another on a screen. Raw strings, whose lines are another language's, and generated
// files are let be.
func TestWidth(t *testing.T) {
	for _, f := range sources(t) {
		if ast.IsGenerated(f.syntax) {
			continue
		}
		for _, line := range tooWide(string(f.text), rawLines(f.syntax)) {
			t.Errorf("%s:%d is wider than %d columns", f.name, line, maxColumns)
		}
	}
}

// tooWide is the lines, from 1, that are too wide and not among those let be.
func tooWide(text string, letBe map[int]bool) (lines []int) {
	for i, line := range strings.Split(text, "\n") {
		if utf8.RuneCountInString(line)+3*strings.Count(line, "\t") > maxColumns && !letBe[i+1] {
			lines = append(lines, i+1)
		}
	}
	return lines
}

func TestWidthCatches(t *testing.T) {
	fits := "\t" + strings.Repeat("°", maxColumns-4)
	if got := tooWide(fits+"\n"+fits+"°\n"+fits+"°", map[int]bool{3: true}); !slices.Equal(got, []int{2}) {
		t.Errorf("too wide: lines %v, want 2", got)
	}
}

// rawLines is the lines on which raw strings stand.
func rawLines(syntax *ast.File) map[int]bool {
	on := map[int]bool{}
	ast.Inspect(syntax, func(n ast.Node) bool {
		if text, ok := n.(*ast.BasicLit); ok && text.Kind == token.STRING && text.Value[0] == '`' {
			for line := files.Position(text.Pos()).Line; line <= files.Position(text.End()).Line; line++ {
				on[line] = true
			}
		}
		return true
	})
	return on
}

func hasMark(groups []*ast.CommentGroup) bool {
	for _, group := range groups {
		for _, comment := range group.List {
			if comment.Text == tableMark {
				return true
			}
		}
	}
	return false
}

func TestEveryPackageSaysWhatItIs(t *testing.T) {
	documented := map[string]int{}
	for _, f := range sources(t) {
		key := f.folder
		if f.isTest {
			if _, known := documented[key]; !known {
				documented[key] = 0
			}
		}
		if f.syntax.Doc != nil && f.syntax.Doc.Text() != "" {
			documented[key]++
		} else {
			documented[key] += 0
		}
	}
	for folder, count := range documented {
		if count != 1 {
			t.Errorf("folder %s has %d package comments, want 1: it says what the package is for", folder, count)
		}
	}
}

// unhelpfulNames say nothing about what is inside.
var unhelpfulNames = []string{"util", "utils", "common", "manager", "helper", "helpers", "data", "misc", "shared",
	"base", "core", "types"}

func TestNames(t *testing.T) {
	for _, f := range sources(t) {
		parts := append(strings.Split(f.folder, "/"), strings.TrimSuffix(path.Base(f.name), ".go"))
		for _, part := range parts {
			if slices.Contains(unhelpfulNames, strings.TrimSuffix(part, "_test")) {
				t.Errorf("%s: the name %q says nothing about what is inside", f.name, part)
			}
		}
	}
}

// Written in halves so that this file passes its own test.
var leftovers = regexp.MustCompile(`\b(TO` + `DO|FIX` + `ME|XX` + `X)\b`)

func TestNothingIsLeftForLater(t *testing.T) {
	for _, f := range sources(t) {
		// What a library prints while it is being initialised can only be kept
		// back before that: the one init there is.
		early := f.folder == "app/early"
		for _, group := range f.syntax.Comments {
			for _, comment := range group.List {
				if leftovers.MatchString(comment.Text) {
					t.Errorf("%s: a note for later: do it or drop it", files.Position(comment.Pos()))
				}
			}
		}
		for _, declaration := range f.syntax.Decls {
			if function, ok := declaration.(*ast.FuncDecl); ok && function.Recv == nil &&
				function.Name.Name == "init" && !early {
				t.Errorf("%s: func init: what a package needs is made where it is used", files.Position(function.Pos()))
			}
		}
	}
}

// TestNoTestIsSkipped: a test that doesn't run shows nothing. What needs
// something special has a build tag, and the check script brings what it needs.
func TestNoTestIsSkipped(t *testing.T) {
	for _, f := range sources(t) {
		if !f.isTest {
			continue
		}
		ast.Inspect(f.syntax, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok && slices.Contains([]string{"Skip", "Skipf", "SkipNow"}, s.Sel.Name) {
				if x, ok := s.X.(*ast.Ident); ok && slices.Contains([]string{"t", "b", "f", "tb", "rt"}, x.Name) {
					t.Errorf("%s: a test that can skip itself", files.Position(n.Pos()))
				}
			}
			return true
		})
	}
}

// forbiddenWords must not be read on the screen: this is a computer program,
// and someone might trust such a word with their life.
var forbiddenWords = regexp.MustCompile(`(?i)emergency|fail-?safe|\bsafe\b|\bsafely\b`)

func TestScreenPromisesNoSafety(t *testing.T) {
	for _, f := range sources(t) {
		if f.isTest || !within(f.folder, "app") {
			continue
		}
		ast.Inspect(f.syntax, func(n ast.Node) bool {
			if literal, ok := n.(*ast.BasicLit); ok && literal.Kind == token.STRING &&
				forbiddenWords.MatchString(literal.Value) {
				t.Errorf("%s: %s: nothing on the screen may promise safety", files.Position(n.Pos()), literal.Value)
			}
			return true
		})
	}
}

// TestRulesCatch shows that the rules can fail: each row breaks one.
func TestRulesCatch(t *testing.T) {
	rows := []struct{ folder, imported string }{
		{"app/panel/sky", "fyne.io/fyne/v2/app"},
		{"app/panel/spectrum", "./app/audio/soundcard"},
		{"app/desk", "fyne.io/fyne/v2"},
		{"drive/step", "./ephem"},
		{"drive/link", "./app/desk"},
		{"drive/motion", "./drive/guard"},
		{"ephem/passes", "./assets"},
		{"app/panel", "./drive/mount"},
		{"app/view", "os"},
		{"app/panel/setup", "os"},
		{"app/panel", "net/http"},
		{"app/panel/save", "./app/settings/replace"},
		{"drive/guard", "sync/atomic"},
		{"drive/replica/plant", "math/rand/v2"},
		{"ephem", "log/slog"},
	}
	for _, row := range rows {
		caught := slices.ContainsFunc(importRules, func(r importRule) bool {
			return r.holds(row.folder) && r.forbids(row.imported)
		})
		if !caught {
			t.Errorf("no rule keeps %s from importing %s", row.folder, row.imported)
		}
	}
	for _, row := range []struct{ folder, imported string }{
		{"app/panel/offwindow", "os"}, {"app/panel/records", "io/fs"}, {"drive/step", "./drive/guard"},
		{"drive/guard", "./drive/enclosure"}, {"app/desk", "./ephem"},
		{"app/desk", "./drive/mount"}, {"app", "fyne.io/fyne/v2/app"}, {"drive/link", "sync"},
		{"app/panel/sky", "./app/desk"},
	} {
		for _, r := range importRules {
			if r.holds(row.folder) && r.forbids(row.imported) {
				t.Errorf("%s may import %s, but: %s", row.folder, row.imported, r.why)
			}
		}
	}
}
