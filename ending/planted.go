//go:build planted

package ending

import (
	"os"
	"path/filepath"
	"time"
)

// planted plants a panic: when a file with the goroutine's name appears in the
// folder named by BEAMHELM_PANICS, a goroutine started in that name panics. The
// work goes on beside it, which is the harder case: nothing has unwound.
func planted(name string) {
	file := filepath.Join(os.Getenv("BEAMHELM_PANICS"), name)
	go func() {
		defer func() {
			if reason := recover(); reason != nil {
				leave(Failure{name, reason, nil})
			}
		}()
		for {
			if _, err := os.Stat(file); err == nil {
				panic("planted in " + name)
			}
			time.Sleep(20 * time.Millisecond)
		}
	}()
}

// Here panics where a file with the place's name is in that folder, and hangs
// for ever where one named 'hang PLACE' is.
func Here(place string) {
	folder := os.Getenv("BEAMHELM_PANICS")
	if _, err := os.Stat(filepath.Join(folder, place)); err == nil {
		panic("planted in " + place)
	}
	if _, err := os.Stat(filepath.Join(folder, "hang "+place)); err == nil {
		select {}
	}
}
