package main

import (
	"os"
	"path/filepath"
	"testing"
)

func TestTheLayoutFollowsNoLinkAndMakesNoFolder(t *testing.T) {
	folder := t.TempDir()
	target, link := filepath.Join(folder, "target"), filepath.Join(folder, "link")
	for _, err := range []error{os.WriteFile(target, []byte("mine"), 0o600), os.Symlink("target", link)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := replacePlain(link, []byte("{}")); err == nil {
		t.Error("it wrote through a link")
	}
	if text, _ := os.ReadFile(target); string(text) != "mine" {
		t.Errorf("the link's target holds %q", text)
	}
	if err := replacePlain(filepath.Join(folder, "new", "layout"), []byte("{}")); err == nil {
		t.Error("it made a folder")
	}
	if err := replacePlain(filepath.Join(folder, "layout"), []byte("{}")); err != nil {
		t.Error(err)
	}
}
