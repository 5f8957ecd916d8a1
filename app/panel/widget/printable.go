package widget

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Printable is words as they may be drawn. Names, notes and errors come from
// other programs and other people: control characters, marks that turn the
// direction of writing, invisible characters and bytes that are no text become a
// sign that something stood there, so that nothing reads as what it isn't.
func Printable(words string) string {
	plain := true
	for i := 0; i < len(words) && plain; i++ {
		plain = words[i] >= ' ' && words[i] < 0x7f
	}
	if plain {
		return words
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029':
			return ' '
		case r == utf8.RuneError || unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Co, r):
			return utf8.RuneError
		}
		return r
	}, words)
}
