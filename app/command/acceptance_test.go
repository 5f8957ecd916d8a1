//go:build peers

package command_test

import (
	"os/exec"
	"path/filepath"
	"testing"
)

// What the program prints of places, passes and echoes is checked against ERFA and JPL DE405 by a
// program of its own, which goes other ways.
func TestTheSkyAgainstOthers(t *testing.T) {
	program := filepath.Join(t.TempDir(), "beamhelm")
	if out, err := exec.Command("go", "build", "-tags", "no_emoji", "-o", program,
		"beamhelm/app").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	script := filepath.Join("..", "..", "ephem", "testdata", "authorities", "acceptance.py")
	for _, seed := range []string{"1", "20270414", "20590101"} {
		out, err := exec.Command("/usr/bin/python3", script, program, seed, "400").CombinedOutput()
		if err != nil {
			t.Errorf("seed %s: %v", seed, err)
		}
		t.Logf("seed %s:\n%s", seed, out)
	}
}
