package settings

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// Fault is one thing that is wrong with settings.
type Fault struct {
	// Line in the file, from 1; 0 where there is no file.
	Line int
	// Key at fault, members of lists counted from 0 as in bands[0].mhz; empty for the file as a whole.
	Key string
	// Words say what is wrong and what is allowed, on one line.
	Words string
}

// Error is why settings can't be used: every fault, in the order of the file.
type Error struct {
	// File is its name; empty for settings that come from no file.
	File   string
	Faults []Fault
}

var indexes = regexp.MustCompile(`\[\d+\]`)

// Error gives one line for each fault: FILE:LINE: key: what is wrong, what is allowed.
func (e *Error) Error() string {
	lines := make([]string, len(e.Faults))
	for i, f := range e.Faults {
		key := f.Key
		if e.File != "" {
			// The line tells which member of a list it is.
			lines[i] = fmt.Sprintf("%s:%d: ", e.File, f.Line)
			key = indexes.ReplaceAllString(key, "")
		}
		if key != "" {
			lines[i] += key + ": "
		}
		lines[i] += f.Words
	}
	return strings.Join(lines, "\n")
}

// faults gathers what is wrong.
type faults struct {
	all []Fault
	bad map[string]bool // keys and sections at fault
}

func (f *faults) add(key, form string, values ...any) {
	f.all = append(f.all, Fault{Key: key, Words: fmt.Sprintf(form, values...)})
	if f.bad == nil {
		f.bad = map[string]bool{}
	}
	f.bad[key] = true
}

// fine reports that neither the keys nor the sections they stand in are at
// fault, so that a rule between them can be judged.
func (f *faults) fine(keys ...string) bool {
	return !slices.ContainsFunc(keys, func(key string) bool {
		for key != "" {
			if f.bad[key] {
				return true
			}
			key = key[:max(0, strings.LastIndexAny(key, ".["))]
		}
		return false
	})
}

// whole reports that nothing in a section is at fault, nor the section itself.
func (f *faults) whole(section string) bool {
	if !f.fine(section) {
		return false
	}
	for key := range f.bad {
		if strings.HasPrefix(key, section) {
			return false
		}
	}
	return true
}
