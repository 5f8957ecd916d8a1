package beamhelm_test

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// The chip's emulator is under the GPL, the program is not: so nothing that is
// handed out may be linked with it. It is a process of its own, built by tests.

// emulatorWords may stand in these places alone: its one source, the tests'
// package that builds it, what installs it, and what speaks of it.
var emulatorPlaces = []string{
	"drive/firmware/body", "drive/firmware/rig", ".ci/packages", "rules_firmware_test.go", "NOTICE", "DEVELOPERS.md",
	"CHANGELOG.md",
}

func TestEmulatorIsNotHandedOut(t *testing.T) {
	for _, f := range sources(t) {
		for _, imported := range f.imports() {
			if imported == "C" && within(f.folder, "drive") {
				t.Errorf("%s: import \"C\": the drive needs no C compiler, and the emulator is never linked", f.name)
			}
			if within(imported, "./drive/firmware/rig") && !f.isTest {
				t.Errorf("%s imports %s: it is for tests alone", f.name, imported)
			}
		}
	}
	listed, err := exec.Command("git", "ls-files", "-co", "--exclude-standard").Output()
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for name := range strings.Lines(string(listed)) {
		name = strings.TrimSuffix(name, "\n")
		text, err := os.ReadFile(name)
		if err != nil || !strings.Contains(strings.ToLower(string(text)), "sim"+"avr") {
			continue // a file that was taken away and is still listed
		}
		found++
		if !within(name, emulatorPlaces...) && !slices.Contains(emulatorPlaces, name) {
			t.Errorf("%s names the emulator: it has no business there", name)
		}
	}
	if found < 3 {
		t.Errorf("only %d files name the emulator: this test looks in the wrong place", found)
	}
}

// What is installed for the users of the program holds no emulator.
func TestEmulatorIsInstalledForTestsAlone(t *testing.T) {
	for _, group := range []string{"build", "display", "package", "try", "bench"} {
		packages, err := exec.Command("sh", "-c", ". .ci/packages && packages_of "+group).Output()
		if err != nil {
			t.Fatal(group, err)
		}
		if strings.Contains(string(packages), "sim"+"avr") {
			t.Errorf("the group %s installs it", group)
		}
	}
	script, err := os.ReadFile("package")
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(script), "drive/firmware/body") ||
		strings.Contains(string(script), "drive/firmware/rig") {
		t.Error("the package takes from the tests' folders")
	}
}
