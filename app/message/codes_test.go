package message_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"beamhelm/app/message"
)

// codeType is the type whose constants are codes.
const codeType = "beamhelm/app/message.Code"

// told is what the sources of the program tell: each code with the arguments that it has at each place.
type told map[message.Code][][]types.Type

// A code that is told has words, what has words is told, and the arguments are as many as the verbs and of their kind.
func TestEveryCodeHasWords(t *testing.T) {
	all := told{}
	for _, p := range packages(t) {
		for _, file := range p.files {
			for _, d := range file.Decls {
				all.add(p.info, d)
			}
		}
	}
	if len(all) < 300 {
		t.Fatalf("only %d codes are found", len(all))
	}
	known := message.Codes()
	for code, places := range all {
		format, ok := message.Format(code)
		if !ok {
			t.Errorf("%q has no words", code)
		}
		for _, args := range places {
			if wrong := misfit(format, args); wrong != "" {
				t.Errorf("%q, %q: %s", code, format, wrong)
			}
		}
	}
	for _, code := range known {
		if _, is := all[code]; !is && code != message.Text("x").Code {
			t.Errorf("nothing tells %q", code)
		}
	}
	shape := regexp.MustCompile(`^[a-z-]+(\.[a-z-]+)+$`)
	for _, name := range testFiles(t, "../desk") {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if lit, is := n.(*ast.BasicLit); is && lit.Kind == token.STRING {
				text, _ := strconv.Unquote(lit.Value)
				part, _, _ := strings.Cut(text, ".")
				ofPart := func(c message.Code) bool { return strings.HasPrefix(string(c), part+".") }
				if shape.MatchString(text) && !slices.Contains(known, message.Code(text)) &&
					slices.ContainsFunc(known, ofPart) {
					t.Errorf("%s looks for %q, which nothing tells", name, text)
				}
			}
			return true
		})
	}
}

// Formats and arguments that don't fit are found.
func TestMisfit(t *testing.T) {
	number, figure, words := types.Typ[types.Int], types.Typ[types.Float64], types.Typ[types.String]
	for _, row := range []struct {
		format string
		args   []types.Type
		fits   bool
	}{
		{"100 %% of %d, %.1f° %s", []types.Type{number, figure, words}, true},
		{"%d", nil, false}, {"", []types.Type{number}, false}, {"%d", []types.Type{figure}, false},
		{"%.1f", []types.Type{number}, false}, {"%s", []types.Type{number}, false}, {"%h", []types.Type{words}, false},
		{"%C", []types.Type{figure}, false}, {"%N", []types.Type{words}, false},
	} {
		if wrong := misfit(row.format, row.args); (wrong == "") != row.fits {
			t.Errorf("%q with %v: %q", row.format, row.args, wrong)
		}
	}
}

// add takes in the codes of a declaration. Where a call has a code that isn't written there, it may be any of those
// that are written beside calls in the same declaration.
func (all told) add(info *types.Info, d ast.Decl) {
	var loose []message.Code
	var calls [][]types.Type
	in := map[ast.Expr]bool{}
	ast.Inspect(d, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr:
			at := codeAt(info, n)
			if at < 0 || n.Ellipsis.IsValid() {
				return true
			}
			var args []types.Type
			for _, a := range n.Args[at+1:] {
				args = append(args, info.TypeOf(a))
			}
			if code, is := codeOf(info, n.Args[at]); is {
				in[n.Args[at]] = true
				all[code] = append(all[code], args)
			} else {
				calls = append(calls, args)
			}
		case *ast.BinaryExpr:
			if n.Op == token.EQL || n.Op == token.NEQ { // that looks at a message, and tells none
				in[n.X], in[n.Y] = true, true
			}
		case ast.Expr:
			if code, is := codeOf(info, n); is && !in[n] {
				loose = append(loose, code)
				return false
			}
		}
		return true
	})
	for _, code := range loose {
		all[code] = append(all[code], calls...)
	}
}

// codeAt is where among the arguments of a call a code stands that any number of values follow; -1 for none.
func codeAt(info *types.Info, call *ast.CallExpr) int {
	s, is := info.TypeOf(call.Fun).(*types.Signature)
	if !is || !s.Variadic() || s.Params().Len() < 2 {
		return -1
	}
	if at := s.Params().Len() - 2; s.Params().At(at).Type().String() == codeType {
		return at
	}
	return -1
}

// codeOf is the code that an expression is, where it is written there.
func codeOf(info *types.Info, e ast.Expr) (message.Code, bool) {
	v, is := info.Types[e]
	if !is || v.Value == nil || v.Type.String() != codeType || constant.StringVal(v.Value) == "" {
		return "", false
	}
	return message.Code(constant.StringVal(v.Value)), true
}

var verbs = regexp.MustCompile(`%[-+#0 ]*[0-9]*(?:\.[0-9]+)?([A-Za-z%])`)

// misfit says what about the arguments doesn't fit a format; empty for nothing.
func misfit(format string, args []types.Type) string {
	var all []string
	for _, v := range verbs.FindAllStringSubmatch(format, -1) {
		if v[1] != "%" {
			all = append(all, v[1])
		}
	}
	if len(all) != len(args) {
		return strconv.Itoa(len(args)) + " arguments"
	}
	for i, verb := range all {
		basic, _ := args[i].Underlying().(*types.Basic)
		is := func(kind types.BasicInfo) bool { return basic != nil && basic.Info()&kind != 0 }
		worded := is(types.IsString) || method(args[i], "String") || method(args[i], "Error")
		fits := map[string]bool{
			"d": is(types.IsInteger), "f": is(types.IsFloat), "g": is(types.IsFloat), "s": worded || isGuard(args[i]),
			"q": is(types.IsString), "C": worded, "L": worded || isGuard(args[i]), "N": isGuard(args[i]),
		}
		fit, known := fits[verb]
		if !known {
			fit = args[i].String() == "time.Time"
		}
		if !fit {
			return "%" + verb + " for " + args[i].String()
		}
	}
	return ""
}

func isGuard(t types.Type) bool { return t.String() == "beamhelm/drive/guard.Code" }

func method(t types.Type, name string) bool {
	m, _, _ := types.LookupFieldOrMethod(t, false, nil, name)
	_, is := m.(*types.Func)
	return is
}

// listed is a package as go list tells it.
type listed struct {
	ImportPath, Dir, Export string
	GoFiles, Imports        []string
}

// checked is a package with the types of its expressions.
type checked struct {
	files []*ast.File
	info  *types.Info
}

// packages are those of the program that tell messages.
func packages(t *testing.T) (all []checked) {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", "-export", "-json=ImportPath,Dir,Export,GoFiles,Imports",
		"beamhelm/app/desk/...", "beamhelm/app/commission", "beamhelm/app/wear", "beamhelm/app/echorun").Output()
	if err != nil {
		t.Fatal(err)
	}
	list := map[string]listed{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		list[p.ImportPath] = p
	}
	fset := token.NewFileSet()
	exported := func(path string) (io.ReadCloser, error) { return os.Open(list[path].Export) }
	from := importer.ForCompiler(fset, "gc", exported)
	for _, path := range slices.Sorted(maps.Keys(list)) {
		p := list[path]
		if !slices.Contains(p.Imports, "beamhelm/app/message") {
			continue
		}
		c := checked{info: &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{},
			Defs: map[*ast.Ident]types.Object{}}}
		for _, name := range p.GoFiles {
			file, err := parser.ParseFile(fset, filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			c.files = append(c.files, file)
		}
		if _, err := (&types.Config{Importer: from}).Check(path, fset, c.files, c.info); err != nil {
			t.Fatal(err)
		}
		all = append(all, c)
	}
	return all
}

func testFiles(t *testing.T, tree string) (names []string) {
	t.Helper()
	err := filepath.WalkDir(tree, func(name string, _ os.DirEntry, err error) error {
		if strings.HasSuffix(name, "_test.go") {
			names = append(names, name)
		}
		return err
	})
	if err != nil || len(names) < 40 {
		t.Fatalf("%d files: %v", len(names), err)
	}
	return names
}
