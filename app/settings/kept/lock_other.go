//go:build !unix

package kept

import (
	"os"
	"path/filepath"
)

// locked opens the file; here the system gives a port to one program only.
func locked(path string) (*os.File, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	return os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
}
