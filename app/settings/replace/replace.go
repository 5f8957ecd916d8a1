// Package replace writes whole files so that a reader, and a power cut, find
// either the old one or the new one, never a part.
package replace

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// File puts text in place of the file: written beside it, brought to the disk,
// then renamed over it. Folders that are missing are made. An existing file
// keeps its permissions, a new one can be read by its owner alone; a symbolic
// link stays one, and what it points to is replaced. After an error the old
// file is as it was.
func File(path string, text []byte) error {
	err := file(path, text, save)
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return nil
}

// save brings text to the disk.
func save(f *os.File, text []byte) error {
	if _, err := f.Write(text); err != nil {
		return err
	}
	return f.Sync()
}

// Remove removes a file, for a power cut too.
func Remove(path string) error {
	if err := os.Remove(path); err != nil {
		return err
	}
	return bring(filepath.Dir(path))
}

// Folder makes a folder, and those above it, where they are missing. Their names
// are brought to the disk: a power cut that took one would take all that is in it.
func Folder(path string) error {
	if about, err := os.Stat(path); err == nil && about.IsDir() {
		return nil
	}
	above := filepath.Dir(path)
	if above != path {
		if err := Folder(above); err != nil {
			return err
		}
	}
	err := os.Mkdir(path, 0o700)
	if about, stat := os.Stat(path); err != nil && (stat != nil || !about.IsDir()) {
		return err
	}
	return bring(above)
}

func file(path string, text []byte, save func(*os.File, []byte) error) error {
	path, err := followed(path)
	if err != nil {
		return err
	}
	mode := os.FileMode(0o600)
	switch info, err := os.Stat(path); {
	case err == nil && !info.Mode().IsRegular():
		return errors.New("not a regular file")
	case err == nil:
		mode = info.Mode().Perm()
	case !errors.Is(err, os.ErrNotExist):
		return err
	}
	folder := filepath.Dir(path)
	if err := Folder(folder); err != nil {
		return err
	}
	beside, err := os.CreateTemp(folder, "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	err = errors.Join(beside.Chmod(mode), save(beside, text))
	err = errors.Join(err, beside.Close())
	if err == nil {
		err = os.Rename(beside.Name(), path)
	}
	if err != nil {
		return errors.Join(err, ignoreAbsent(os.Remove(beside.Name())))
	}
	return bring(folder)
}

func ignoreAbsent(err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	return err
}

// maxLinks is how many symbolic links are followed.
const maxLinks = 40

// followed goes along symbolic links to the file itself, which need not exist.
func followed(path string) (string, error) {
	for range maxLinks {
		target, err := os.Readlink(path)
		if err != nil {
			return path, nil // no link, or what is wrong shows when it is written
		}
		if !filepath.IsAbs(target) {
			target = filepath.Join(filepath.Dir(path), target)
		}
		path = target
	}
	return "", fmt.Errorf("more than %d symbolic links", maxLinks)
}
