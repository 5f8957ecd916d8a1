package beamhelm_test

import (
	"go/ast"
	"strings"
	"testing"
)

// startsAlone are the trees whose goroutines need no way out: tools, and what
// plays the enclosure or asks a running panel from outside.
var startsAlone = []string{"ending", "app/journal/bench", "app/command", "drive/bench", "drive/badcable",
	"drive/replica", "drive/firmware/rig"}

// startsOutside are single files that run outside the panel.
var startsOutside = map[string]bool{"app/stopline/ask.go": true}

// TestEveryGoroutineHasTheWayOut: a panic in a goroutine that was not started
// through package ending ends the program with the drives still on.
func TestEveryGoroutineHasTheWayOut(t *testing.T) {
	for _, f := range sources(t) {
		if f.isTest || !within(f.folder, "app", "drive") || within(f.folder, startsAlone...) || startsOutside[f.name] {
			continue
		}
		for _, at := range bareStarts(f.syntax) {
			t.Errorf("%s: a goroutine that is not started through package ending: a panic in it would leave the "+
				"drives on", files.Position(at.Pos()))
		}
	}
}

// untested have goroutines that end with the process alone: ways out of it, tools, and the rig of the firmware's tests.
var untested = []string{"ending", "app/journal/bench", ".ci", "drive/firmware/rig"}

// TestEveryGoroutineEndsWithItsOwner: where a goroutine is started, the package's tests end by looking for some that
// are left.
func TestEveryGoroutineEndsWithItsOwner(t *testing.T) {
	starts, looks := map[string]string{}, map[string]bool{}
	for _, f := range sources(t) {
		switch {
		case f.isTest:
			looks[f.folder] = looks[f.folder] || strings.Contains(string(f.text), "goleak.VerifyTestMain(m")
		case !within(f.folder, untested...) && len(anyStarts(f.syntax)) > 0:
			starts[f.folder] = f.name
		}
	}
	if len(starts) < 10 {
		t.Errorf("goroutines are started in %v alone", starts)
	}
	for folder, name := range starts {
		if !looks[folder] {
			t.Errorf("%s: a goroutine is started, and no test of the package looks for what is left of it "+
				"(goleak.VerifyTestMain)", name)
		}
	}
}

// anyStarts are bareStarts, and the calls X.Go(name, work).
func anyStarts(file *ast.File) []ast.Node {
	found := bareStarts(file)
	ast.Inspect(file, func(n ast.Node) bool {
		if call, ok := n.(*ast.CallExpr); ok {
			if s, ok := call.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "Go" {
				found = append(found, n)
			}
		}
		return true
	})
	return found
}

// bareStarts are the go statements, and the calls X.Go(work)
// that start a goroutine without a name. What offwindow starts has one.
func bareStarts(file *ast.File) (found []ast.Node) {
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			found = append(found, n)
		case *ast.CallExpr:
			s, ok := n.Fun.(*ast.SelectorExpr)
			if !ok {
				break
			}
			on, _ := s.X.(*ast.Ident)
			if s.Sel.Name == "Go" && len(n.Args) == 1 && (on == nil || on.Name != "offwindow") {
				found = append(found, n)
			}
		}
		return true
	})
	return found
}
