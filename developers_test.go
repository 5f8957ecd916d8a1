package beamhelm_test

import (
	"bytes"
	"go/ast"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// The picture of the house is the one that its imports make now.
func TestThePictureOfTheHouseIsOfNow(t *testing.T) {
	kept, err := os.ReadFile(".ci/picture/house.svg")
	if err != nil {
		t.Fatal(err)
	}
	made, err := exec.Command("go", "run", "./.ci/picture").Output()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(kept, made) {
		t.Error("the imports have changed: go run ./.ci/picture > .ci/picture/house.svg, and look at it")
	}
	if bytes.Contains(made, []byte("stroke-dasharray")) {
		t.Error("a room uses one above it: see the dashed arrow of .ci/picture/house.svg")
	}
}

// declared collects what the module's packages declare: each name alone, and with its type or package before it.
func declared(t *testing.T) map[string]bool {
	t.Helper()
	names := map[string]bool{}
	add := func(before string, ident *ast.Ident) {
		names[ident.Name], names[before+"."+ident.Name] = true, true
	}
	for _, f := range sources(t) {
		if f.isTest {
			continue
		}
		file := f.syntax
		for _, d := range file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				add(file.Name.Name, d.Name)
				if d.Recv != nil {
					add(receiver(d.Recv.List[0].Type), d.Name)
				}
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					declaredBy(spec, file.Name.Name, add)
				}
			}
		}
	}
	return names
}

func declaredBy(spec ast.Spec, pkg string, add func(string, *ast.Ident)) {
	switch spec := spec.(type) {
	case *ast.ValueSpec:
		for _, name := range spec.Names {
			add(pkg, name)
		}
	case *ast.TypeSpec:
		add(pkg, spec.Name)
		if s, is := spec.Type.(*ast.StructType); is {
			for _, field := range s.Fields.List {
				for _, name := range field.Names {
					add(spec.Name.Name, name)
				}
			}
		}
	}
}

// receiver is the name of a method's type.
func receiver(expression ast.Expr) string {
	switch e := expression.(type) {
	case *ast.StarExpr:
		return receiver(e.X)
	case *ast.IndexExpr:
		return receiver(e.X)
	case *ast.Ident:
		return e.Name
	}
	return ""
}

// Every name and path in the walk of a click and of a Stop exists.
func TestTheWalksNamesExist(t *testing.T) {
	page, err := os.ReadFile("DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, walk, _ := strings.Cut(string(page), "\n## From a click to a register\n")
	walk, _, found := strings.Cut(walk, "\n## ")
	spans := regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(walk, -1)
	if !found || len(spans) < 30 {
		t.Fatalf("%d names are found", len(spans))
	}
	names, word := declared(t), regexp.MustCompile(`[A-Za-z_]\w*(\.[A-Za-z_]\w*)*`)
	for _, span := range spans {
		if strings.Contains(span[1], "/") {
			if _, err := os.Stat(span[1]); err != nil {
				t.Error(err)
			}
			continue
		}
		for _, name := range word.FindAllString(span[1], -1) {
			parts := strings.Split(name, ".")
			for i, part := range parts {
				if i > 0 {
					part = parts[i-1] + "." + part
				}
				if part != "true" && !names[part] && (i > 0 || len(parts) == 1) {
					t.Errorf("`%s`: there is no %s", span[1], part)
				}
			}
		}
	}
}
