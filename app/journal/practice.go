package journal

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Each session of practice has a file of its own: its sky begins at the same
// moment as that of the one before, and the rows of both would be one another's.
const (
	practicePrefix = "practice-"
	practiceSuffix = ".db"
	practiceStamp  = "20060102-150405"
	// keptPractice is how many sessions of practice are kept.
	keptPractice = 10
)

// PracticePath is the file of a session of practice that begins now, by the
// machine's clock. Sessions older than the newest few are removed.
func PracticePath(folder string, now time.Time) string {
	old := practiceFiles(folder)
	for len(old) >= keptPractice {
		for _, part := range []string{"", "-wal", "-shm"} {
			// What can't be removed now will be another time.
			_ = os.Remove(filepath.Join(folder, old[0]+part))
		}
		old = old[1:]
	}
	return filepath.Join(folder, practicePrefix+now.UTC().Format(practiceStamp)+practiceSuffix)
}

// NewestPractice is the file of the newest session of practice; where there is
// none it tells of the file that isn't there.
func NewestPractice(folder string) (string, error) {
	all := practiceFiles(folder)
	if len(all) == 0 {
		return "", &fs.PathError{Op: "open", Path: filepath.Join(folder, practicePrefix+"*"+practiceSuffix),
			Err: errors.New("no session of practice is recorded")}
	}
	return filepath.Join(folder, all[len(all)-1]), nil
}

// practiceFiles are the names of the files of sessions of practice, oldest first.
func practiceFiles(folder string) (names []string) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		stamp, is := strings.CutPrefix(e.Name(), practicePrefix)
		stamp, ends := strings.CutSuffix(stamp, practiceSuffix)
		if _, err := time.Parse(practiceStamp, stamp); is && ends && err == nil && e.Type().IsRegular() {
			names = append(names, e.Name())
		}
	}
	slices.Sort(names)
	return names
}
