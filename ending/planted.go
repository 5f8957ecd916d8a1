//go:build planted

package ending

import (
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// Here panics where a file with the place's name is in the folder that
// BEAMHELM_PANICS names, and says at what time. It hangs without end where one
// named 'hang PLACE' is, and makes 'hung PLACE' beside it. Each place has the
// name of the goroutine it is in.
func Here(place string) {
	folder := os.Getenv("BEAMHELM_PANICS")
	if _, err := os.Stat(filepath.Join(folder, place)); err == nil {
		panic(fmt.Sprintf("planted in %s at %d", place, time.Now().UnixNano()))
	}
	if _, err := os.Stat(filepath.Join(folder, "hang "+place)); err == nil {
		_ = os.WriteFile(filepath.Join(folder, "hung "+place), nil, 0o600)
		select {}
	}
}
