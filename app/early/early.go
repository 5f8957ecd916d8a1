// Package early tells the window library what it reads while it is still being initialised: the
// language of its own words, and how long it keeps what it has drawn. Importing it is all there is to it.
package early

import "os"

const (
	// languages makes the library's own words, such as those of file dialogs, English like all others; under
	// LANG=C.UTF-8, as on servers, it would otherwise print a warning with every command. The library also loads a
	// system font for the first language in the list, whole for each style: 8 MB and a slower start for letters that
	// the window's own typeface has. Gothic, the language, is in hardly any font, and the library has no words in it.
	// Letters that the typeface lacks are still found when they are needed.
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
