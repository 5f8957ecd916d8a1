package main

import (
	"encoding"
	"encoding/json"
	"flag"
	"maps"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"beamhelm/app/desk"
	"beamhelm/app/lastsession"
	"beamhelm/app/panel"
)

var updateKeys = flag.Bool("update-keys", false, "write the list of kept keys anew")

// keptKeysList has a line for each figure and word that is kept.
const keptKeysList = "testdata/keptkeys.txt"

// What earlier versions kept is read by this one: a field that is renamed keeps its key. A key that is new
// is added with -update-keys; one that goes needs a way for what was kept under it.
func TestKeptKeysStay(t *testing.T) {
	keys := map[string]bool{}
	for _, kept := range []any{desk.Kept{}, hearing{}, usual{}, trims{}, panel.Look{}, lastsession.Note{}} {
		addKeys(keys, reflect.TypeOf(kept), reflect.TypeOf(kept).String())
	}
	list := strings.Join(slices.Sorted(maps.Keys(keys)), "\n") + "\n"
	if *updateKeys {
		if err := os.WriteFile(keptKeysList, []byte(list), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	before, err := os.ReadFile(keptKeysList)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(before)) {
		if !keys[strings.TrimSpace(line)] {
			t.Errorf("kept by earlier versions, and read no more: %s", line)
		}
	}
	if list != string(before) && !t.Failed() {
		t.Error("a key is new: run with -update-keys")
	}
}

// addKeys adds the paths by JSON keys to everything that a value of a type keeps.
func addKeys(keys map[string]bool, of reflect.Type, path string) {
	if of.Implements(reflect.TypeFor[json.Marshaler]()) { // has tests of its own
		keys[path+" "+of.String()] = true
		return
	}
	if of.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		keys[path+" string"] = true
		return
	}
	switch of.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		addKeys(keys, of.Elem(), path+"[]")
	case reflect.Struct:
		for _, field := range reflect.VisibleFields(of) {
			key, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			if !field.IsExported() || key == "-" || len(field.Index) > 1 {
				continue
			}
			if key == "" {
				key = field.Name
			}
			addKeys(keys, field.Type, path+"."+key)
		}
	default:
		keys[path+" "+of.Kind().String()] = true
	}
}
