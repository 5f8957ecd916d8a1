package widget

import "beamhelm/app/printable"

// Printable is words as they may be drawn.
func Printable(words string) string { return printable.Words(words) }
