// Package locale gives the window library a language it can read. Under
// LANG=C, as on servers and in containers, the library complains on the
// standard error output while the program is still being initialised, for
// every command. Importing this package is all there is to it.
package locale

import "os"

// The one init of the program: Go initialises packages whose imports are ready
// in the order of their paths, so this one runs before the library's own.
func init() {
	for _, name := range []string{"LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"} {
		switch v := os.Getenv(name); v {
		case "", "C", "C.UTF-8", "C.utf8", "POSIX":
		default:
			return
		}
	}
	os.Setenv("LANGUAGE", "en")
}
