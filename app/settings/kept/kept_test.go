package kept

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/adrg/xdg"

	"beamhelm/app/settings"
)

// place stands for any kept value.
type place struct {
	Counts   int32
	AngleDeg float64
	How      string
}

var (
	nowhere = place{How: "not known"}
	known   = place{-123456, 271.25, "by the mark <&> and more"}
)

func valid(p place) error {
	if math.Abs(p.AngleDeg) > 3600 {
		return fmt.Errorf("angle %v is beyond 3600 degrees", p.AngleDeg)
	}
	return nil
}

func TestKept(t *testing.T) {
	s := Store{filepath.Join(t.TempDir(), "state", "beamhelm")}
	if got, err := Read(s, "reference", nowhere, valid); err != nil || got != nowhere {
		t.Errorf("nothing kept: got %+v, %v", got, err)
	}
	for _, p := range []place{known, {}, {1, 2, "three"}} {
		if err := s.Write("reference", p); err != nil {
			t.Fatal(err)
		}
		if got, err := Read(s, "reference", nowhere, valid); err != nil || got != p {
			t.Errorf("got %+v, %v, want %+v", got, err, p)
		}
	}
	if got, err := Read(s, "trims", map[string]place{}, nil); err != nil || len(got) != 0 {
		t.Errorf("another name: got %v, %v", got, err)
	}
}

func TestDamage(t *testing.T) {
	good, err := sealed(known)
	if err != nil {
		t.Fatal(err)
	}
	tooFar, err := sealed(place{AngleDeg: 4000})
	if err != nil {
		t.Fatal(err)
	}
	otherKind, err := sealed(map[string]string{"AngleDeg": "5"})
	if err != nil {
		t.Fatal(err)
	}
	rows := []struct {
		name  string
		text  []byte
		cause string
	}{
		{"empty", nil, "unexpected end"},
		{"half", good[:len(good)/2], "unexpected end"},
		{"zeros", make([]byte, len(good)), "invalid character"},
		{"a digit changed", bytes.Replace(good, []byte("271.25"), []byte("171.25"), 1), "check sum"},
		{"another version", bytes.Replace(good, []byte(`"version": 1`), []byte(`"version": 2`), 1), "version 2"},
		{"null", []byte("null"), "version 0"},
		{"no value", []byte(`{"version": 1, "crc32": "00000000"}`), "unexpected end"},
		{"another kind of value", otherKind, "cannot unmarshal"},
		{"refused", tooFar, "beyond 3600 degrees"},
		{"much too long", bytes.Repeat([]byte(" "), maxBytes+1), "more than"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			s := Store{t.TempDir()}
			path := filepath.Join(s.Folder, "reference.json")
			if err := os.WriteFile(path, row.text, 0o600); err != nil {
				t.Fatal(err)
			}
			got, err := Read(s, "reference", nowhere, valid)
			var damage *Damage
			if got != nowhere || !errors.As(err, &damage) || !strings.Contains(damage.Cause.Error(), row.cause) {
				t.Fatalf("got %+v, %v, want the cause %q", got, err, row.cause)
			}
			if strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), damage.Aside) {
				t.Errorf("it says %q", err)
			}
			if aside, err := os.ReadFile(damage.Aside); err != nil || !bytes.Equal(aside, row.text) {
				t.Errorf("set aside: %v", err)
			}
			if got, err := Read(s, "reference", nowhere, valid); got != nowhere || err != nil {
				t.Errorf("a second time: %+v, %v", got, err)
			}
		})
	}
}

func TestFewFilesAreSetAside(t *testing.T) {
	s := Store{t.TempDir()}
	for range maxAside + 3 {
		if err := os.WriteFile(filepath.Join(s.Folder, "trims.json"), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Read(s, "trims", 0, nil); err == nil {
			t.Fatal("damage not seen")
		}
	}
	if all, _ := os.ReadDir(s.Folder); len(all) != maxAside {
		t.Errorf("%d files lie about, want %d", len(all), maxAside)
	}
}

func TestWhatCannotBeReadOrKept(t *testing.T) {
	s := Store{t.TempDir()}
	folder := filepath.Join(s.Folder, "window.json")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	var damage *Damage
	if got, err := Read(s, "window", nowhere, valid); got != nowhere || err == nil || errors.As(err, &damage) {
		t.Errorf("a folder in its place: %+v, %v", got, err)
	}
	if err := s.Write("window", known); err == nil || !strings.HasPrefix(err.Error(), "keep the window: ") {
		t.Errorf("a folder in its place: %v", err)
	}
	if err := s.Write("learned", math.NaN()); err == nil {
		t.Error("not-a-number was kept")
	}
	if _, err := os.Stat(filepath.Join(s.Folder, "learned.json")); !errors.Is(err, os.ErrNotExist) {
		t.Error("a file was written")
	}
}

func TestStoresOfDifferentDishesDiffer(t *testing.T) {
	t.Cleanup(xdg.Reload) // runs last, when the environment is as it was
	state := t.TempDir()
	t.Setenv("XDG_STATE_HOME", state)
	t.Setenv("XDG_CONFIG_HOME", filepath.Join(state, "config"))
	xdg.Reload()
	seen := map[string]string{}
	for _, source := range []settings.Source{
		{Practice: true}, {Path: settings.UsualPath()}, {Path: "/home/one/dish.toml"}, {Path: "/home/two/dish.toml"},
		{Path: "dish.toml"},
	} {
		s, err := UsualStore(source)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("%+v", source)
		if !strings.HasPrefix(s.Folder, filepath.Join(state, "beamhelm")) {
			t.Errorf("%s: %s isn't in the state folder", name, s.Folder)
		}
		if other, taken := seen[s.Folder]; taken {
			t.Errorf("%s shares %s with %s", name, s.Folder, other)
		}
		seen[s.Folder] = name
	}
	absolute, _ := filepath.Abs("dish.toml")
	s, _ := UsualStore(settings.Source{Path: absolute})
	if _, same := seen[s.Folder]; !same {
		t.Error("the same file by another path has another store")
	}
}

func FuzzOpened(f *testing.F) {
	good, err := sealed(known)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add([]byte(`{"version":1,"crc32":"","kept":null}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		value, err := opened[place](text)
		if err == nil {
			again, err := sealed(value)
			if err != nil {
				t.Fatal(err)
			}
			if got, err := opened[place](again); err != nil || got != value {
				t.Fatalf("got %+v, %v, want %+v", got, err, value)
			}
		} else if value != (place{}) {
			t.Fatal("a value came with the error")
		}
	})
}
