// Command serial tells which packages have tests that run in one goroutine: neither the tests, nor what they use of
// this module, start another. The race detector can find nothing there, and makes them slower by a factor of ten.
//
//	go run ./.ci/serial [-not] [-tags TAGS]
//
// It prints the import paths of these packages, or with -not those of the others, a line each.
package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// listed is a package as go list tells it, or the program of its tests (ImportPath ends in .test).
type listed struct {
	ImportPath, Dir, ForTest                     string
	GoFiles, CgoFiles, TestGoFiles, XTestGoFiles []string
	Deps                                         []string
	Module                                       *struct{ Main bool }
}

func main() {
	not := flag.Bool("not", false, "print the other packages")
	tags := flag.String("tags", "", "build tags")
	flag.Parse()
	packages, err := list(*tags)
	if err == nil {
		var names []string
		if names, err = serial(packages, !*not); err == nil {
			fmt.Println(strings.Join(names, "\n"))
			return
		}
	}
	fmt.Fprintln(os.Stderr, "serial:", err)
	os.Exit(1)
}

// list returns every package of the module and the dependencies of its tests, as go list tells them.
func list(tags string) (packages []listed, err error) {
	command := exec.Command("go", "list", "-tags", tags, "-deps", "-test",
		"-json=ImportPath,Dir,ForTest,GoFiles,CgoFiles,TestGoFiles,XTestGoFiles,Deps,Module", "./...")
	command.Stderr = os.Stderr
	out, err := command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := command.Start(); err != nil {
		return nil, err
	}
	for decoder := json.NewDecoder(out); ; {
		var p listed
		if err := decoder.Decode(&p); errors.Is(err, io.EOF) {
			return packages, command.Wait()
		} else if err != nil {
			return nil, err
		}
		packages = append(packages, p)
	}
}

// serial returns the packages with tests whose tests run in one goroutine, or the others.
func serial(packages []listed, wanted bool) (names []string, err error) {
	starts, tests := map[string]bool{}, map[string][]string{}
	for _, p := range packages {
		if name, is := strings.CutSuffix(p.ImportPath, ".test"); is {
			tests[name] = p.Deps
		}
		if p.Module == nil || !p.Module.Main || p.ForTest != "" || strings.HasSuffix(p.ImportPath, ".test") {
			continue
		}
		if starts[p.ImportPath], err = anyStarts(p.Dir, p.GoFiles, p.CgoFiles); err != nil {
			return nil, err
		}
		// A program of tests has no name of a package: its own starts are kept under that of the program.
		if starts[p.ImportPath+".test"], err = anyStarts(p.Dir, p.TestGoFiles, p.XTestGoFiles); err != nil {
			return nil, err
		}
	}
	for name, uses := range tests {
		started := starts[name+".test"] || slices.ContainsFunc(uses, func(used string) bool {
			plain, _, _ := strings.Cut(used, " ") // one that is built for a test has the test's name behind it
			return starts[plain]
		})
		if started != wanted {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names, nil
}

// concurrent are the packages that run what they are given beside whoever gave it, or go round the language's rules.
var concurrent = []string{`"C"`, `"fyne.io/`, `"net/http"`, `"testing/synctest"`, `"unsafe"`}

// concurrentCalls are the names of functions that do. Start is that of other programs, whose output is read meanwhile.
var concurrentCalls = []string{"AfterFunc", "Go", "Parallel", "RunParallel", "Start"}

// anyStarts reports that one of the files has something run beside itself. What the libraries start for their own work
// alone does not count.
func anyStarts(folder string, lists ...[]string) (bool, error) {
	for _, name := range slices.Concat(lists...) {
		file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(folder, name), nil, parser.SkipObjectResolution)
		if err != nil {
			return false, err
		}
		if startsIn(file) {
			return true, nil
		}
	}
	return false, nil
}

func startsIn(file *ast.File) (found bool) {
	for _, spec := range file.Imports {
		found = found || slices.ContainsFunc(concurrent, func(path string) bool {
			return strings.HasPrefix(spec.Path.Value, path)
		})
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			found = true
		case *ast.CallExpr:
			if s, ok := n.Fun.(*ast.SelectorExpr); ok {
				found = found || slices.Contains(concurrentCalls, s.Sel.Name)
			}
		}
		return !found
	})
	return found
}
