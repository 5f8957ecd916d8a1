//go:build peers

package pack

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestRebuild: the generator makes the program's own pack again, byte for byte, from the
// Debian packages casacore-data-jpl-de405, python3-casacore and python3-erfa.
func TestRebuild(t *testing.T) {
	again := filepath.Join(t.TempDir(), "again.pack")
	if out, err := exec.Command("/usr/bin/python3", "generate/generate.py", again).CombinedOutput(); err != nil {
		t.Fatalf("generating the pack: %v\n%s", err, out)
	}
	text, err := os.ReadFile(again)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, ownPack(t)) {
		t.Errorf("the generator made %d bytes that differ from the %d of the pack", len(text), len(ownPack(t)))
	}
}
