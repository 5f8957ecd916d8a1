package main

import (
	"encoding/json"
	"log"
	"reflect"

	"beamhelm/app/panel"
	"beamhelm/app/settings/replace"
)

// layoutFile keeps a file of where the window's controls are up to date. With
// an empty path it does nothing.
type layoutFile struct {
	path   string
	window *panel.Window
	last   panel.Layout
}

func newLayoutFile(path string) *layoutFile { return &layoutFile{path: path} }

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
	text, err := json.Marshal(layout)
	if err == nil {
		err = replace.File(l.path, text)
	}
	if err != nil {
		log.Printf("the layout is not written any more: %v", err)
		l.path = ""
	}
}
