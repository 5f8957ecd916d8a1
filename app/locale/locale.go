// Package locale sets the language of the window library's own words, such as those of
// file dialogs, to English, the language of all others. Under LANG=C, as on servers and in
// containers, the library would also complain on the standard error output while the program is
// still being initialised, for every command. Importing this package is all there is to it.
package locale

import "os"

// The one init of the program: Go initialises packages whose imports are ready
// in the order of their paths, so this one runs before the library's own.
func init() { os.Setenv("LANGUAGE", "en") }
