// Package fonts holds the typeface of the window: B612, drawn for cockpit
// displays. All its figures have one width, bold or regular, and it has a true
// minus sign. Its licence is LICENSE.txt beside it.
package fonts

import _ "embed"

//go:embed B612-Regular.otf
var regular []byte

//go:embed B612-Bold.otf
var bold []byte

// Regular returns the OpenType file of the regular weight. It must not be changed.
func Regular() []byte { return regular }

// Bold returns the OpenType file of the bold weight. It must not be changed.
func Bold() []byte { return bold }
