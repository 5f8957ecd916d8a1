package stopline

import (
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strconv"
)

// prefix and suffix of a socket's name; between them stands the number of the process.
const prefix, suffix = "stop-", ".socket"

// Folders are where sockets of this user's panels may lie, the preferred one
// first: in the session's own run-time folder, in the one that the user usually
// has (a shell without a session is not told of it), and in the temporary folder.
func Folders() []string {
	var folders []string
	add := func(folder string) {
		for _, f := range folders {
			if f == folder {
				return
			}
		}
		folders = append(folders, folder)
	}
	if folder := os.Getenv("XDG_RUNTIME_DIR"); filepath.IsAbs(folder) {
		add(filepath.Join(folder, "beamhelm"))
	}
	if own := filepath.Join("/run/user", strconv.Itoa(os.Getuid())); isFolder(own) {
		add(filepath.Join(own, "beamhelm"))
	}
	add(filepath.Join(os.TempDir(), fmt.Sprintf("beamhelm-%d", os.Getuid())))
	return folders
}

func isFolder(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.IsDir()
}

// maxPath is the longest path of a socket, in bytes: sun_path holds 104 with
// the closing zero on BSD and macOS, 108 on Linux.
const maxPath = 103

// usable is the first folder that is private, made where it is missing, in which
// a socket may have that name.
func usable(folders []string, name string) (string, error) {
	var wrong error
	for _, folder := range folders {
		if path := filepath.Join(folder, name); len(path) > maxPath {
			wrong = errors.Join(wrong, fmt.Errorf("%s is too long for a socket's path", path))
			continue
		}
		if err := os.Mkdir(folder, 0o700); err != nil && !errors.Is(err, os.ErrExist) {
			wrong = errors.Join(wrong, err)
			continue
		}
		if err := private(folder); err != nil {
			wrong = errors.Join(wrong, err)
			continue
		}
		return folder, nil
	}
	return "", wrong
}

// private reports that nobody else can put anything into a folder, nor put
// another in its place.
func private(folder string) error {
	info, err := os.Lstat(folder)
	switch {
	case err != nil:
		return err
	case !info.IsDir():
		return fmt.Errorf("%s is no folder", folder)
	case !ownedBy(info, os.Getuid()):
		return fmt.Errorf("%s belongs to somebody else", folder)
	case othersMayEnter(info):
		return fmt.Errorf("%s is open to others: its permissions must be 0700", folder)
	}
	above, err := os.Stat(filepath.Dir(folder))
	if err != nil {
		return err
	}
	if !ownedBy(above, os.Getuid()) && !ownedBy(above, 0) || othersMayReplace(above) {
		return fmt.Errorf("%s lies where somebody else could replace it", folder)
	}
	return nil
}

// removeLeft removes the sockets that dead panels left in a private folder.
func removeLeft(folder string) {
	paths, err := filepath.Glob(filepath.Join(folder, prefix+"*"+suffix))
	if err != nil {
		return
	}
	for _, path := range paths {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&os.ModeSocket == 0 {
			continue
		}
		connection, err := net.DialUnix("unix", nil, &net.UnixAddr{Name: path, Net: "unix"})
		if err == nil {
			connection.Close()
		} else if isDead(err) {
			_ = os.Remove(path) // one that stays is passed over by whoever asks
		}
	}
}
