// Package early tells the window library what it reads while it is still being initialised: the
// language of its own words, and how long it keeps what it has drawn. Importing it is all there is to it.
package early

import "os"

const (
	// languages: the library's own words, such as those of file dialogs, are English like all others; under
	// LANG=C.UTF-8, as on servers, it would else complain for every command. It also looks for a font of the system
	// that has the first of the languages, and reads it whole for each style: 8 MB and a slower start for letters that
	// the window's own typeface has. Hardly any font has Gothic, and the library no words of it. Letters that the
	// typeface lacks are still looked for when they come up.
	languages = "got:en"
	// keeps is how long a text that is shown no more stays drawn, of a minute by default: a figure that
	// changes ten times a second leaves a picture of each value behind. The library walks through a window that isn't
	// painted 10 s before that time is over, so it must be longer.
	keeps = "15s"
)

// The one init of the program: Go initialises packages whose imports are ready
// in the order of their paths, so this one runs before the library's own.
func init() {
	os.Setenv("LANGUAGE", languages)
	os.Setenv("FYNE_CACHE", keeps)
}
