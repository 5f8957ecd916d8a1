package kept

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
)

// ErrLocked: another process holds the lock.
var ErrLocked = errors.New("another panel of this dish is running")

// Lock is held for as long as the process lives, or until it is closed. A
// process that dies lets it go.
type Lock struct{ files []*os.File }

// LockDish keeps a second panel of a dish out for the life of this one: one
// that would use the same store, or drive by the same port. It returns ErrLocked
// where there is one. Any other error means that nothing could be locked; the
// lock is to be used all the same.
func LockDish(s Store, port string) (*Lock, error) {
	l := &Lock{}
	var trouble error
	for _, path := range lockPaths(s, port) {
		f, err := locked(path)
		if errors.Is(err, ErrLocked) {
			l.Close()
			return nil, err
		}
		if err != nil {
			trouble = errors.Join(trouble, fmt.Errorf("keep a second panel of this dish out: %w", err))
			continue
		}
		l.files = append(l.files, f)
	}
	return l, trouble
}

// lockPaths are the files of the locks. A port is the same by whichever link it is named.
func lockPaths(s Store, port string) []string {
	paths := []string{filepath.Join(s.Folder, "panel.lock")}
	if port == "" {
		return paths
	}
	if whole, err := filepath.EvalSymlinks(port); err == nil {
		port = whole
	}
	sum := sha256.Sum256([]byte(port))
	return append(paths, filepath.Join(xdg.StateHome, "beamhelm", "ports", hex.EncodeToString(sum[:8])+".lock"))
}

// Close lets the lock go.
func (l *Lock) Close() {
	for _, f := range l.files {
		f.Close()
	}
	l.files = nil
}
