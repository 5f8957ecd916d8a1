// Package kept keeps what is found and learned while operating and has no
// place in the settings: references of the axes, trims, what the drives have
// shown, the size of the window. Each is a small file of its own, so that one
// that is damaged takes no other with it. A damaged file is set aside and
// named, and what it held counts as not known.
package kept

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"

	"beamhelm/app/regular"
	"beamhelm/app/settings"
	"beamhelm/app/settings/replace"
)

// version is that of the form of the files, not of what they hold.
const version = 1

// Radio is the name under which partners and what else belongs to the radio path are kept.
const Radio = "radio"

// maxBytes is the largest file that is read.
const maxBytes = 8 << 20

// Store is a folder of kept values. Different names may be used at the same time.
type Store struct{ Folder string }

// UsualStore is the store that belongs to settings, in
// $XDG_STATE_HOME/beamhelm and the like on other systems: the folder itself
// for the usual settings file, one within it for practice, and another for
// each other file by its whole path. What was learned of one dish is never
// taken for another.
func UsualStore(source settings.Source) (Store, error) {
	folder := filepath.Join(xdg.StateHome, "beamhelm")
	if source.Practice {
		return Store{filepath.Join(folder, "practice")}, nil
	}
	path, err := filepath.Abs(source.Path)
	if err != nil {
		return Store{}, fmt.Errorf("find what is kept for %s: %w", source.Path, err)
	}
	if path == settings.UsualPath() {
		return Store{folder}, nil
	}
	sum := sha256.Sum256([]byte(path))
	return Store{filepath.Join(folder, "other", hex.EncodeToString(sum[:8]))}, nil
}

// Damage tells that a kept file was damaged and has been set aside.
type Damage struct {
	// Name of the value, Path of its file, Aside where the file is now.
	Name, Path, Aside string
	// Cause is what was wrong with it.
	Cause error
}

// Error says it in one line.
func (d *Damage) Error() string {
	return fmt.Sprintf("the kept %s is damaged and counts as not known: %v; the file is set aside as %s", d.Name,
		d.Cause, d.Aside)
}

// Unwrap gives the cause.
func (d *Damage) Unwrap() error { return d.Cause }

// envelope is the form of a file.
type envelope struct {
	Version int             `json:"version"`
	Sum     string          `json:"crc32"` // of Kept without spaces
	Kept    json.RawMessage `json:"kept"`
}

// Read returns the kept value of a name (lower-case letters and hyphens). Where
// nothing is kept it returns otherwise. A file that is damaged, or whose value
// valid refuses, is set aside: then it returns otherwise and a *Damage. Any
// other error means that the file couldn't be read and is still there.
func Read[T any](s Store, name string, otherwise T, valid func(T) error) (T, error) {
	path := s.path(name)
	text, err := regular.Read(path, maxBytes)
	if errors.Is(err, fs.ErrNotExist) {
		return otherwise, nil
	}
	unfit := errors.Is(err, regular.ErrKind) || errors.Is(err, regular.ErrSize)
	if err != nil && !unfit {
		return otherwise, fmt.Errorf("read the kept %s: %w", name, err)
	}
	var value T
	if err == nil {
		value, err = opened[T](text)
	}
	if err == nil && valid != nil {
		err = valid(value)
	}
	if err == nil {
		return value, nil
	}
	aside, moved := setAside(path)
	if moved != nil {
		return otherwise, fmt.Errorf("the kept %s is damaged (%w) and can't be set aside: %w", name, err, moved)
	}
	return otherwise, &Damage{name, path, aside, err}
}

// Look returns the kept value of a name, or otherwise where nothing is kept, and changes nothing: for commands beside
// a running panel.
func Look[T any](s Store, name string, otherwise T) (T, error) {
	text, err := regular.Read(s.path(name), maxBytes)
	if errors.Is(err, fs.ErrNotExist) {
		return otherwise, nil
	}
	if err == nil {
		var value T
		if value, err = opened[T](text); err == nil {
			return value, nil
		}
	}
	return otherwise, fmt.Errorf("read the kept %s: %w", name, err)
}

// Write keeps a value under a name; see replace.File. What was kept before
// stays when it fails.
func (s Store) Write(name string, value any) error {
	text, err := sealed(value)
	if err != nil {
		return fmt.Errorf("keep the %s: %w", name, err)
	}
	if err := replace.File(s.path(name), text); err != nil {
		return fmt.Errorf("keep the %s: %w", name, err)
	}
	return nil
}

// Remove forgets what is kept under a name; see replace.Remove.
func (s Store) Remove(name string) error { return replace.Remove(s.path(name)) }

func (s Store) path(name string) string {
	if name == "" || strings.Trim(name, "abcdefghijklmnopqrstuvwxyz-") != "" {
		panic(fmt.Sprintf("kept: %q: a name has lower-case letters and hyphens only", name))
	}
	return filepath.Join(s.Folder, name+".json")
}

func sealed(value any) ([]byte, error) {
	plain, err := json.Marshal(value)
	if err != nil {
		return nil, err
	}
	text, err := json.MarshalIndent(envelope{version, sumOf(plain), plain}, "", "  ")
	return append(text, '\n'), err
}

// opened takes a value out of the text of a file.
func opened[T any](text []byte) (value T, err error) {
	var e envelope
	if err := json.Unmarshal(text, &e); err != nil {
		return value, err
	}
	if e.Version != version {
		return value, fmt.Errorf("of version %d, not %d", e.Version, version)
	}
	var plain bytes.Buffer
	if err := json.Compact(&plain, e.Kept); err != nil {
		return value, err
	}
	if sum := sumOf(plain.Bytes()); sum != e.Sum {
		return value, fmt.Errorf("its check sum is %s, not %s", sum, e.Sum)
	}
	if err := json.Unmarshal(e.Kept, &value); err != nil {
		var nothing T
		return nothing, err
	}
	return value, nil
}

func sumOf(plain []byte) string { return fmt.Sprintf("%08x", crc32.ChecksumIEEE(plain)) }

// maxAside is how many damaged files of a name are left lying about.
const maxAside = 9

// setAside renames a damaged file; the first ones stay, the last is replaced.
func setAside(path string) (aside string, err error) {
	for i := 1; i <= maxAside; i++ {
		aside = fmt.Sprintf("%s.damaged-%d", path, i)
		if _, err := os.Lstat(aside); errors.Is(err, fs.ErrNotExist) {
			break
		}
	}
	return aside, os.Rename(path, aside)
}
