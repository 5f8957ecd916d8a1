package beamhelm_test

import (
	"go/ast"
	"go/parser"
	"slices"
	"testing"
)

// frames are the types of package mount that are all an azimuth and an elevation, each from another zero.
var frames = []string{"SkyDirection", "Boresight", "AxisAngles"}

// conversions are the places of a file at which one frame is called another.
func conversions(file *ast.File) (found []ast.Node) {
	ast.Inspect(file, func(n ast.Node) bool {
		if call, ok := n.(*ast.CallExpr); ok {
			if name, ok := call.Fun.(*ast.SelectorExpr); ok && slices.Contains(frames, name.Sel.Name) {
				if of, ok := name.X.(*ast.Ident); ok && (of.Name == "mount" || of.Name == "desk") {
					found = append(found, n)
				}
			}
		}
		return true
	})
	return found
}

// TestFramesAreNotConverted: the compiler refuses an axis angle where a sky direction is meant, until somebody calls
// it one. Trim, squint and mount model lie between them.
func TestFramesAreNotConverted(t *testing.T) {
	for _, f := range sources(t) {
		for _, n := range conversions(f.syntax) {
			t.Errorf("%s calls one frame another: mount.Chain leads from one to the other", files.Position(n.Pos()))
		}
	}
	bad, err := parser.ParseFile(files, "bad.go", `package a
		var d = mount.SkyDirection(axes)
		var e, f = desk.AxisAngles(d), d.Boresight(o)`, 0)
	if err != nil || len(conversions(bad)) != 2 {
		t.Errorf("%d conversions found of 2, %v", len(conversions(bad)), err)
	}
}
