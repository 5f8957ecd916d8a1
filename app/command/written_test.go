package command

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamhelm/assets"
)

// What is written for the user is readable by the user alone, and never half there.
func TestNewFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := newFile(path, func(w io.Writer) error { _, err := fmt.Fprint(w, "all"); return err }); err != nil {
		t.Fatal(err)
	}
	about, err := os.Stat(path)
	if err != nil || about.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", about.Mode(), err)
	}
	half := path + "2"
	if err := newFile(half, func(io.Writer) error { return io.ErrShortWrite }); err == nil {
		t.Error("no error")
	}
	if _, err := os.Stat(half); err == nil {
		t.Error("half a file is left")
	}
}

// The help of rehearse has every word that the scripts in the program use.
func TestRehearseTellsItsWords(t *testing.T) {
	words := map[string]bool{}
	for word := range strings.FieldsFuncSeq(rehearseUsage,
		func(r rune) bool { return strings.ContainsRune(" \n|,:;()[]", r) }) {
		words[strings.ToLower(word)] = true
	}
	scripts := assets.Rehearsals()
	names, err := fs.Glob(scripts, "*.rehearsal")
	if err != nil || len(names) < 50 {
		t.Fatalf("%d scripts, %v", len(names), err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(scripts, name)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(text)) {
			used := strings.Fields(line)
			switch {
			case len(used) == 0 || strings.HasPrefix(used[0], "#"):
				continue
			case used[0] != "at":
				used = used[:1]
			case used[2] == "do":
				used = []string{used[0], used[2], used[3]}
			default:
				used = []string{used[0], used[2]}
			}
			for _, word := range used {
				if !words[word] {
					t.Errorf("%s: the help lacks %q of %q", name, word, strings.TrimSpace(line))
				}
			}
		}
	}
}
