package main

import (
	"io"
	"os"

	"fyne.io/fyne/v2/app"

	"beamhelm"
	"beamhelm/app/panel"
)

// refuse shows in a small window why the program doesn't start, where nobody
// reads what it prints: a start from a desktop would else show nothing at all.
func refuse(words string, stderr io.Writer) {
	if windowless() || !hasDisplay() || isRead(stderr) {
		return
	}
	details := beamhelm.Metadata()
	details.ID = "" // see open
	app.SetMetadata(details)
	panel.Refuse(app.New(), words)
}

// isRead says that somebody reads a stream: a person at a terminal or a program
// at the other end of a pipe. Desktops give a file, a socket or nothing.
func isRead(stream io.Writer) bool {
	file, is := stream.(*os.File)
	if !is {
		return true // a test's
	}
	about, err := file.Stat()
	if err != nil {
		return false
	}
	if about.Mode()&os.ModeCharDevice != 0 {
		nothing, err := os.Stat(os.DevNull)
		return err != nil || !os.SameFile(about, nothing)
	}
	return about.Mode()&os.ModeNamedPipe != 0
}

// hasDisplay says that there is where a window can be.
func hasDisplay() bool {
	return !needsDisplay || os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
}
