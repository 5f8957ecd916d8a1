package station

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"beamhelm/app/message"
)

// WordsWrong says what is wrong with words of the operator's that are to be kept and shown, of so many letters at
// most; nothing when they are fine.
func WordsWrong(words string, most int) message.Message {
	switch n := utf8.RuneCountInString(words); {
	case n == 0 || n > most:
		return message.Of("words.letters", most)
	case strings.ContainsFunc(words, unicode.IsControl):
		return message.Of("words.control")
	}
	return message.Message{}
}
