package step_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
	"time"

	"beamhelm/drive/step"
	"beamhelm/drive/step/rig"
)

// Commands lists every type with a method obey, and each is taken by a step.
func TestEveryCommand(t *testing.T) {
	var declared, listed []string
	files, _ := filepath.Glob("*.go")
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			if m, ok := d.(*ast.FuncDecl); ok && m.Name.Name == "obey" {
				declared = append(declared, m.Recv.List[0].Type.(*ast.Ident).Name)
			}
		}
	}
	for _, m := range step.Commands() {
		listed = append(listed, reflect.TypeOf(m).Name())
		r := rig.New(100, 40)
		r.PowerOn()
		r.Tick(m)
		r.Run(time.Second)
	}
	if slices.Sort(declared); len(declared) == 0 || !slices.Equal(declared, slices.Sorted(slices.Values(listed))) {
		t.Errorf("declared %v\nlisted %v", declared, listed)
	}
}
