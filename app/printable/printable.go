// Package printable makes words that come from elsewhere fit to be shown:
// names, notes and errors of other programs and other people.
package printable

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Words is words on one line as they may be shown. Control characters, marks
// that turn the direction of writing, invisible characters and bytes that are no
// text become a sign that something stood there, so that nothing reads as what it
// isn't and no terminal obeys it.
func Words(words string) string {
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
