// Package crashfile keeps what the runtime says when it ends the program at
// once, as without memory or after a fault in a library of the window: nothing
// in the program can act on that, and nobody may read where it prints. The
// enclosure's watchdog ends the motion then; the next start tells what happened.
package crashfile

import (
	"bufio"
	"cmp"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"beamhelm/app/printable"
	"beamhelm/app/regular"
	"beamhelm/app/settings/replace"
)

// Name is that of the file in the folder of what is kept: empty while nothing
// has happened. The last one that wasn't has Older behind it.
const (
	Name  = "crash.txt"
	Older = ".1"
)

// The most that is read of a file for its reason, and the longest name in it, bytes.
const (
	maxRead   = 64 << 10
	maxReason = 200
)

// Open has the runtime write into a new file, and returns in a few words what it
// wrote of the session before; empty where it wrote nothing.
func Open(folder string) (last string, err error) {
	path := filepath.Join(folder, Name)
	if err := replace.Folder(folder); err != nil {
		return "", err
	}
	if last, err = reasonIn(path); err != nil {
		return "", err
	}
	if last != "" {
		err = os.Rename(path, path+Older)
	} else {
		err = os.Remove(path)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return last, err
	}
	// O_EXCL neither follows a link nor waits at a pipe.
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return last, err
	}
	// The runtime has a descriptor of its own.
	return last, errors.Join(debug.SetCrashOutput(file, debug.CrashOptions{}), file.Close())
}

// reasonIn says in a few words what a file tells; empty for no file and an empty one.
func reasonIn(path string) (string, error) {
	file, err := regular.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	defer file.Close()
	return reason(file), nil
}

// reason reads the stack that failed, which comes first: the runtime prints its
// reason on the standard error alone, here are the functions that it was in.
func reason(from io.Reader) string {
	some, where := false, ""
	for in := bufio.NewScanner(io.LimitReader(from, maxRead)); in.Scan(); {
		line := in.Text()
		if where != "" && line == "" {
			break // another stack
		}
		some = some || line != ""
		if line == "" || line[0] == '\t' || strings.HasSuffix(line, ":") {
			continue
		}
		for _, about := range causes {
			if strings.Contains(line, about.function) {
				return about.words
			}
		}
		if strings.HasPrefix(line, "runtime.") || strings.HasPrefix(line, "internal/") {
			where = cmp.Or(where, "the runtime")
			continue
		}
		if where == "" || where == "the runtime" {
			name, _, _ := strings.Cut(line, "(0x")
			where = printable.Words(name[:min(len(name), maxReason)])
		}
	}
	switch {
	case where != "":
		return "the program crashed in " + where
	case some:
		return "the program crashed"
	}
	return ""
}

// causes are functions of the runtime (Go 1.26) that tell what went wrong.
var causes = []struct{ function, words string }{
	{"runtime.malloc", noMemory}, {"runtime.(*mheap)", noMemory}, {"runtime.sysMap", noMemory},
	{"runtime.persistentalloc", noMemory}, {"runtime.newosproc", "the program could not start a thread"},
	{"runtime.newstack", "the program crashed: stack overflow"},
}

const noMemory = "the program ran out of memory"
