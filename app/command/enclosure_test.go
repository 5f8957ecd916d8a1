package command

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamhelm/drive/firmware"
)

func enclosureSays(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out strings.Builder
	err := enclosure(t.Context(), args, &out)
	return out.String(), err
}

func TestEnclosurePinsAreAllThere(t *testing.T) {
	out, err := enclosureSays(t, "pins")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range firmware.Pins() {
		if !strings.Contains(out, "  "+p.Board+" ") || !strings.Contains(out, p.Words) {
			t.Errorf("%s is missing", p.Name)
		}
	}
}

func TestEnclosurePicturesAreDrawings(t *testing.T) {
	for _, what := range []string{"wiring", "stop"} {
		out, err := enclosureSays(t, "picture", what)
		if err != nil {
			t.Fatal(err)
		}
		for d := xml.NewDecoder(strings.NewReader(out)); ; {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", what, err)
			}
		}
		name := filepath.Join(t.TempDir(), "picture.svg")
		if _, err := enclosureSays(t, "picture", what, "-o", name); err != nil {
			t.Fatal(err)
		}
		if text, err := os.ReadFile(name); err != nil || string(text) != out {
			t.Errorf("the file differs: %v", err)
		}
		if _, err := enclosureSays(t, "picture", what, "-o", name); !errors.Is(err, os.ErrExist) {
			t.Errorf("a file that is there: %v", err)
		}
	}
}

var updatePictures = flag.Bool("update-pictures", false, "draw the handbook's pictures of the enclosure anew")

// The handbook's drawings are those of the table of pins.
func TestHandbookDrawsTheseWires(t *testing.T) {
	for name, drawing := range map[string]string{"enclosure-wiring.svg": firmware.Wiring(),
		"enclosure-stop.svg": firmware.StopCircuit()} {
		name = filepath.Join("..", "..", "assets", "handbook", "pictures", name)
		if *updatePictures {
			if err := os.WriteFile(name, []byte(drawing), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if text, err := os.ReadFile(name); err != nil || string(text) != drawing {
			t.Errorf("%s is stale (%v): go test ./app/command -run HandbookDraws -update-pictures draws it anew", name,
				err)
		}
	}
}

func TestEnclosureStationIsReadBack(t *testing.T) {
	out, err := enclosureSays(t, "station")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := firmware.ParseStation(out); err != nil {
		t.Error(err)
	}
}

func TestEnclosureRefuses(t *testing.T) {
	bad := filepath.Join(t.TempDir(), "bad")
	if err := os.WriteFile(bad, []byte("unit = 0\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		args []string
		want string
	}{
		{nil, "pins, picture, station, write or verify?"},
		{[]string{"paint"}, `"paint": pins`},
		{[]string{"pins", "all"}, `"all": no such argument`},
		{[]string{"picture", "box"}, "wiring or stop?"},
		{[]string{"write"}, "no port"},
		{[]string{"verify", "-port", "/dev/ttyNONE", "here"}, `"here": no such argument`},
		{[]string{"write", "-port", "/dev/ttyNONE", "-station", bad}, "line 1: unit: 0: must be 1 to 247"},
	} {
		if _, err := enclosureSays(t, row.args...); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%v: %v, want %q", row.args, err, row.want)
		}
	}
}
