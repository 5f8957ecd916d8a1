//go:build !unix

package kept

import (
	"os"
	"path/filepath"

	"beamhelm/app/settings/replace"
)

// locked opens the file; here the system gives a port to one program only.
func locked(path string) (*os.File, error) {
	if err := replace.Folder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	return os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
}
