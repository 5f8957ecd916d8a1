package settings

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// formerFile is the practice file as a program with the former names wrote it,
// with the number of names that it has.
func formerFile(t *testing.T) (text []byte, count int) {
	t.Helper()
	section := ""
	out := strings.Split(string(Practice().Text()), "\n")
	for i, line := range out {
		if strings.HasPrefix(line, "[") {
			section = strings.Trim(line, "[]")
		}
		for _, names := range formerNames() {
			if strings.TrimSuffix(strings.ReplaceAll(names[0], "[]", ""),
				".*") != strings.TrimSuffix(strings.TrimSuffix(section, ".elevation"), ".azimuth") {
				continue
			}
			if rest, is := strings.CutPrefix(out[i], names[2]+" "); is {
				out[i], count = names[1]+" "+rest, count+1
			}
		}
	}
	return []byte(strings.Join(out, "\n")), count
}

// TestFormerNamesAreRead: a file with the former names loads, tells each of
// them, and is written with the new ones.
func TestFormerNamesAreRead(t *testing.T) {
	text, count := formerFile(t)
	path := filepath.Join(t.TempDir(), "settings.toml")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	s, source, err := LoadNamed(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(s.Text(), Practice().Text()) {
		t.Error("the file with the former names means something else")
	}
	told := map[string]bool{}
	for _, r := range source.Renamed {
		told[patternOf(r.Old)] = true
		line := strings.Split(string(text), "\n")[r.Line-1]
		if old := r.Old[strings.LastIndex(r.Old, ".")+1:]; !strings.HasPrefix(line, old) {
			t.Errorf("%s should stand in line %d, where %q stands", r.Old, r.Line, line)
		}
	}
	if len(source.Renamed) != count {
		t.Errorf("%d of %d former names were told", len(source.Renamed), count)
	}
	for _, names := range formerNames() {
		if !told[names[0]+"."+names[1]] {
			t.Errorf("%s.%s was not told", names[0], names[1])
		}
	}
	if err := Write(path, s); err != nil {
		t.Fatal(err)
	}
	if _, source, err = LoadNamed(path); err != nil || len(source.Renamed) > 0 {
		t.Errorf("written and read again: %v, %v", source.Renamed, err)
	}
	written, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"bears_blocked_s", "tooth_play_deg", "least_elevation_deg"} {
		if bytes.Contains(written, []byte(name)) {
			t.Errorf("%s was written", name)
		}
	}
}

func TestRenamedSaysWhatToDo(t *testing.T) {
	text := []byte(strings.Replace(string(Practice().Text()), "backlash_deg", "tooth_play_deg", 1))
	_, renamed, err := parse("dish.toml", text)
	if err != nil || len(renamed) != 1 {
		t.Fatal(renamed, err)
	}
	const want = "axes.azimuth.tooth_play_deg is now called backlash_deg; " +
		"the former name is read in this version only, and saving in Set-up writes the new one"
	if got := renamed[0].String(); got != want {
		t.Errorf("%q", got)
	}
}

// TestFormerNameFaults: what is wrong with a former name is told of its own line;
// a file that gives both names is refused.
func TestFormerNameFaults(t *testing.T) {
	line := regexp.MustCompile(`(?m)^backlash_deg.*$`)
	for _, row := range []struct{ line, words string }{
		{"tooth_play_deg = 9", "axes.azimuth.backlash_deg: 9 is out of range"},
		{"tooth_play_deg = 1\nbacklash_deg = 1",
			"axes.azimuth.tooth_play_deg: is the former name of backlash_deg, which is given as well"},
	} {
		done := false
		text := line.ReplaceAllStringFunc(string(Practice().Text()), func(was string) string {
			if done {
				return was
			}
			done = true
			return row.line
		})
		_, err := Parse("dish.toml", []byte(text))
		faults, ok := errors.AsType[*Error](err)
		at := slices.IndexFunc(strings.Split(text, "\n"),
			func(l string) bool { return strings.HasPrefix(l, "tooth_play_deg") }) + 1
		if !ok || len(faults.Faults) != 1 || faults.Faults[0].Line != at || !strings.Contains(err.Error(), row.words) {
			t.Errorf("%q: %v, want line %d: %s", row.line, err, at, row.words)
		}
	}
}

// TestFormerNamesAreGone: no former name is a key, and each leads to one.
func TestFormerNamesAreGone(t *testing.T) {
	schema := newSchema()
	for _, names := range formerNames() {
		if _, known := schema.fields[names[0]+"."+names[1]]; known {
			t.Errorf("%s.%s is a key", names[0], names[1])
		}
		if _, known := schema.fields[names[0]+"."+names[2]]; !known {
			t.Errorf("%s.%s is not a key", names[0], names[2])
		}
	}
}
