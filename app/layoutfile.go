package main

import (
	"encoding/json"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"reflect"
	"sync/atomic"

	"beamhelm/app/panel"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/regular"
	"beamhelm/app/settings/replace"
)

// layoutFile keeps a file of where the window's controls are up to date. With
// an empty path it does nothing.
type layoutFile struct {
	path   string
	window *panel.Window
	last   panel.Layout

	newest  atomic.Pointer[panel.Layout]
	changed chan struct{}
}

func newLayoutFile(path string) *layoutFile {
	l := &layoutFile{path: path, changed: make(chan struct{}, 1)}
	if path != "" {
		offwindow.Go(l.write)
	}
	return l
}

// shown is called on Fyne's goroutine after every tick of the window.
func (l *layoutFile) shown() {
	if l.path == "" || l.window == nil {
		return
	}
	layout := l.window.Layout()
	same := layout
	same.Frame, same.Goroutines = l.last.Frame, l.last.Goroutines
	if l.last.Control != nil && reflect.DeepEqual(same, l.last) {
		return
	}
	l.last = layout
	l.newest.Store(&layout)
	select {
	case l.changed <- struct{}{}:
	default: // the one that is being written isn't the newest: it is looked for again
	}
}

// write writes the newest layout, beside the window's goroutine, until it can't.
func (l *layoutFile) write() {
	for range l.changed {
		text, err := json.Marshal(l.newest.Load())
		if err == nil {
			err = replacePlain(l.path, text)
		}
		if err != nil {
			log.Printf("the layout is not written any more: %v", err)
			return
		}
	}
}

// replacePlain replaces a plain file in a folder that is there: no link is
// followed and nothing is made on the way.
func replacePlain(path string, text []byte) error {
	if info, err := os.Lstat(path); err == nil && !info.Mode().IsRegular() {
		return fmt.Errorf("%s: %w", path, regular.ErrKind)
	}
	if _, err := os.Stat(filepath.Dir(path)); err != nil {
		return err
	}
	return replace.File(path, text)
}
