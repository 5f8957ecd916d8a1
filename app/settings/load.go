package settings

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"

	"beamhelm/app/regular"
)

// UsualPath is where settings are read from when no file is named:
// $XDG_CONFIG_HOME/beamhelm/settings.toml, and the like on other systems. The
// environment counts as it was when the program began.
func UsualPath() string { return filepath.Join(xdg.ConfigHome, "beamhelm", "settings.toml") }

// Source says where settings come from.
type Source struct {
	// Path of the file; empty when Practice.
	Path string
	// Practice says that there is no file and the simulated dish is used.
	Practice bool
	// Recorded says that the file of the path can't be used, and since when those that stand in for it have been in
	// force; zero: they are the file's.
	Recorded time.Time
	// Renamed are the keys that the file gives under their former names, in its order.
	Renamed []Renamed
}

// LoadNamed reads the file that the operator has named. It must exist.
func LoadNamed(path string) (Settings, Source, error) {
	if path == "" {
		return Settings{}, Source{}, errors.New("read settings: no file is named")
	}
	text, err := read(path)
	if err != nil {
		return Settings{}, Source{}, fmt.Errorf("read settings: %w", err)
	}
	s, renamed, err := parse(path, text)
	if err != nil {
		return Settings{}, Source{}, err
	}
	return s, Source{Path: path, Renamed: renamed}, nil
}

// LoadUsual reads the file at the usual path. Only where there is nothing at
// all at that path it returns practice; a file that can't be read or used is an error.
func LoadUsual(path string) (Settings, Source, error) {
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return Practice(), Source{Practice: true}, nil
	}
	return LoadNamed(path)
}

// read reads a file, and of one that is too large no more than shows that.
func read(path string) ([]byte, error) {
	f, err := regular.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxBytes+16))
}
